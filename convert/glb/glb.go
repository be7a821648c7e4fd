// Package glb writes glTF 2.0: meshes as raw buffers without names or materials,
// documents that refer to such buffers by URI, and single .glb files.
//
// EncodeMesh turns one mesh into a plain buffer, CompressMesh into one of a grid and
// packed streams; each gives the Layout that a document needs to refer to the buffer.
// The two travel apart, so that one buffer, stored once, serves every document that
// shows the mesh. Document collects nodes, meshes, materials, cameras
// and animations and is encoded as canonical JSON: members in the order of the
// types in wire.go, no white space, no HTML escapes, shortest round-trip numbers, LF.
// Pack makes one self-contained file of a document and its buffers.
//
// Nothing here reads glTF but to check what is about to be handed out: Encode
// decodes its own bytes again with an independent reader and follows every index.
// The package knows no path; it promises the same bytes on every machine.
//
// Reference: Khronos glTF 2.0 specification (ISO/IEC 12113:2022).
package glb

// Version changes whenever the same mesh may give another buffer, or the same one another
// error.
const Version = "6"
