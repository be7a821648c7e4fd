package glb

import (
	"encoding/binary"

	"planfold/convert/mesh"
)

// Lines adds a mesh of lines, each between two of the points, which are kept in single
// precision. Like an animation's keyframes they go to a buffer of their own, which store
// is given and returns the URI of.
func (d *Document) Lines(name string, points []mesh.Vec, ends [][2]int32, look mesh.Material, store func([]byte) string) int {
	var l Layout // its bounds alone
	var data []byte
	for i, p := range points {
		for k, x := range p {
			f := single(x)
			l.bound(i, k, f)
			data = appendFloat(data, f)
		}
	}
	view, first := len(d.wire.BufferViews), int64(len(data))
	for _, e := range ends {
		data = binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(data, uint32(e[0])), uint32(e[1]))
	}
	size := int64(len(data))
	buffer := len(d.wire.Buffers)
	d.wire.Buffers = append(d.wire.Buffers, wireBuffer{URI: store(data), ByteLength: size})
	d.wire.BufferViews = append(d.wire.BufferViews,
		wireBufferView{Buffer: buffer, ByteLength: first, Target: targetVertices},
		wireBufferView{Buffer: buffer, ByteOffset: first, ByteLength: size - first, Target: targetIndices})
	a := len(d.wire.Accessors)
	d.wire.Accessors = append(d.wire.Accessors,
		wireAccessor{BufferView: view, ComponentType: typeFloat32, Count: len(points), Type: "VEC3", Min: l.Min[:], Max: l.Max[:]},
		wireAccessor{BufferView: view + 1, ComponentType: typeUint32, Count: 2 * len(ends), Type: "SCALAR"})
	d.wire.Meshes = append(d.wire.Meshes, wireMesh{Name: name, Primitives: []wirePrimitive{
		{Attributes: wireAttributes{Position: a}, Indices: a + 1, Material: d.material(look), Mode: modeLines},
	}})
	return len(d.wire.Meshes) - 1
}
