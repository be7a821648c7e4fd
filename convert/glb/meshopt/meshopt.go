// Package meshopt packs vertices and triangles as the glTF extension
// EXT_meshopt_compression does, and unpacks them.
//
// A stream holds equal elements (mode ATTRIBUTES) or the corners of a list of
// triangles (TRIANGLES); INDICES, any other list of numbers, is only unpacked.
// Filters stand between elements and stream: OCTAHEDRAL for unit vectors, both ways;
// EXPONENTIAL is only undone. Packing is exact and of one way: the same input gives
// the same bytes. It pays off on vertices in the order of their first use, and on
// triangles that follow their neighbours. Streams to be unpacked may hold anything:
// a fault is an error, and no more is allocated than count elements.
//
// Reference: Khronos glTF, EXT_meshopt_compression (ratified), appendices A and B.
package meshopt

import "errors"

var (
	errHeader = errors.New("the stream does not begin with its mode's byte")
	errShort  = errors.New("the stream ends too early")
	errLong   = errors.New("something follows the stream's elements")
	errTail   = errors.New("the stream's last bytes are not those of its mode")
	errStride = errors.New("elements of this size cannot be packed in this mode")
)
