// Package gltf reads glTF 2.0, as .gltf with its buffers and as GLB: the shape,
// the nodes with their names, the plain colours, and the first colours and texture
// coordinates of vertices. It is a checked reader: every size, offset, count and
// reference is compared with the bytes that are there before anything is allocated
// or read by it, and checks and reading share one parse, so that no second reader
// can understand the file differently.
//
// A file goes through container (GLB chunks) and text (JSON values with their
// places), then buffers, accessors, meshes, materials and nodes, each refused at
// its first fault. Skins, morph targets, textures, cameras, lights and
// animations are not read; diagnostics say so.
//
// The format: Khronos Group, glTF 2.0 Specification, version 2.0.1
// (ISO/IEC 12113:2022).
package gltf

import (
	"bytes"
	"fmt"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
)

// SniffBinary tells a GLB file by its first bytes, or by its name.
func SniffBinary(head []byte, name string) bool {
	return bytes.HasPrefix(head, []byte(magic)) || strings.HasSuffix(strings.ToLower(name), ".glb")
}

// Sniff tells a glTF file in text, which is a JSON object, by its first bytes,
// or by its name.
func Sniff(head []byte, name string) bool {
	head = bytes.TrimLeft(head[len(source.BOM(head)):], " \t\r\n")
	return bytes.HasPrefix(head, []byte("{")) || strings.HasSuffix(strings.ToLower(name), ".gltf")
}

// Decode reads a file, GLB or text. The scene is nil when the file is refused.
func Decode(f *source.File) (*mesh.Scene, diag.List, error) {
	turn, err := upright(f.Up)
	if err != nil {
		return nil, nil, err
	}
	r := &reader{file: f}
	scene := r.decode(turn)
	if r.err != nil {
		return nil, nil, r.err
	}
	if r.fault != nil {
		r.list.Add(*r.fault)
		return nil, r.list, nil
	}
	if len(scene.Meshes) == 0 {
		r.list.Add(f.Empty())
		return nil, r.list, nil
	}
	return scene, r.list, nil
}

// reader holds what is known of the file so far. The first fault ends reading:
// from then on what the reader's methods return has no meaning, and loops stop.
type reader struct {
	file  *source.File
	list  diag.List
	fault *diag.Diagnostic
	err   error // the machine's

	text
	binary    bool   // GLB
	chunk     []byte // the BIN chunk
	chunkAt   int
	hasChunk  bool
	quantized bool // KHR_mesh_quantization
	unpacked  int  // bytes that compressed views made so far

	buffers   []buffer
	views     []view
	accessors []accessor
	materials []mesh.Material
	shapes    []shape
	meshes    []*mesh.Mesh
	meshOf    map[string]int // by what the primitives read: its number in meshes
	order     []uint32       // of the present primitive: its corners, as numbers of positions
	triangles int            // read so far
	removed   [2]int         // degenerate, duplicate
	skipped   skipped
}

func (r *reader) decode(turn mesh.Mat) *mesh.Scene {
	for _, stage := range []func(){
		r.container, r.parse, r.asset, r.extensions,
		r.readBuffers, r.readViews, r.readAccessors, r.readMaterials, r.readMeshes,
	} {
		if stage(); r.stopped() {
			return nil
		}
	}
	scene := r.nodes(turn)
	if r.stopped() {
		return nil
	}
	r.note()
	r.list.Add(r.file.Removed(r.removed[0], r.removed[1])...)
	return scene
}

func (r *reader) stopped() bool { return r.fault != nil || r.err != nil }

// fail keeps the first fault, at a JSON value.
func (r *reader) fail(c *diag.Code, v int, format string, args ...any) {
	at := r.file.Start()
	message := fmt.Sprintf(format, args...)
	if v >= 0 && v < len(r.values) {
		at = r.at(int(r.values[v].start))
		if p := r.pointer(v); p != "" {
			message = p + ": " + message
		}
	}
	r.failAt(c, at, "%s", message)
}

func (r *reader) failAt(c *diag.Code, p diag.Position, format string, args ...any) {
	if r.fault == nil {
		d := c.At(p, format, args...)
		r.fault = &d
	}
}

// at is the place of an offset in the JSON text.
func (r *reader) at(offset int) diag.Position {
	if r.binary {
		return r.file.Byte(r.base + offset)
	}
	return r.file.Text(r.base + offset)
}

// upright turns glTF's Y up to the plan's up axis by one quarter turn.
func upright(up byte) (mesh.Mat, error) {
	switch up {
	case 'Z', 0:
		return mesh.Mat{0: 1, 6: 1, 9: -1, 15: 1}, nil
	case 'Y':
		return mesh.Identity(), nil
	case 'X':
		return mesh.Mat{1: -1, 4: 1, 10: 1, 15: 1}, nil
	}
	return mesh.Mat{}, fmt.Errorf("up axis %q is none of X, Y and Z", up)
}

// asset checks the version.
func (r *reader) asset() {
	asset := r.need(0, "asset")
	version := r.need(asset, "version")
	major, _, ok := versionOf(r.str(version))
	switch {
	case r.stopped():
	case !ok:
		r.fail(diag.GltfValue, version, "%.40q is no version", r.str(version))
	case major != 2:
		r.fail(diag.GltfVersion, version, "the version is %s; 2.0 is read", r.str(version))
	}
	if v := r.field(asset, "minVersion"); v >= 0 {
		major, minor, ok := versionOf(r.str(v))
		if !ok {
			r.fail(diag.GltfValue, v, "%.40q is no version", r.str(v))
		} else if major > 2 || minor > 0 {
			r.fail(diag.GltfVersion, v, "the least version is %s; 2.0 is read", r.str(v))
		}
	}
}

func versionOf(s string) (major, minor int, ok bool) {
	var rest string
	n, _ := fmt.Sscanf(s, "%d.%d%s", &major, &minor, &rest)
	return major, minor, n == 2 && fmt.Sprintf("%d.%d", major, minor) == s && major >= 0
}
