package glb

import (
	"bytes"
	"encoding/binary"

	"planfold/convert/glb/meshopt"
	"planfold/convert/mesh"
)

// CompressMesh is EncodeMesh for devices that take KHR_mesh_quantization and
// EXT_meshopt_compression. Positions lie on a grid made for a mesh that deviates so
// much from its source, metres, about the crossing next to the middle of its bounds,
// or, too large for a grid, are float32 about centre. They are off by no more than the
// layout's Error, and normals by no more than 0.6°.
func CompressMesh(m *mesh.Mesh, centre mesh.Vec, deviation float64) ([]byte, Layout) {
	bounds := m.Bounds()
	step := gridStep(bounds, deviation)
	if step > 0 {
		centre = bounds.Centre()
	}
	return compress(m, centre, step)
}

func compress(m *mesh.Mesh, centre mesh.Vec, step float64) ([]byte, Layout) {
	v := arrange(m, shade(m))
	l := layoutOf(m, &v)
	l.Centre, l.Step, l.Packed = centre, step, []int64{}
	if l.Vertices == 0 {
		return nil, l
	}
	var b []byte
	add := func(packed []byte) {
		l.Packed = append(l.Packed, int64(len(packed)))
		b = append(b, packed...)
	}
	positions := l.positions(m, v.position)
	elements, normals := units(v.normal)
	streams := l.streams()
	add(packed(streams[0], positions, positions))
	add(packed(streams[1], elements, normals))
	for i, a := range attributesOf(m, &v) {
		add(packed(streams[2+i], a, a))
	}
	add(packedTriangles(v.index))
	l.Bytes = int64(len(b))
	return b, l
}

// Error is the most that a stored position is off, metres. The grid of float32 is that
// of the largest coordinate.
func (l Layout) Error() float64 {
	if l.Step > 0 {
		return gridError(l.Step)
	}
	largest := float32(0)
	for k := range 3 {
		largest = max(largest, -l.Min[k], l.Max[k])
	}
	return gridError(float64(largest) / (1 << 23))
}

// positions on the layout's grid, whose centre moves to a crossing; four shorts a
// vertex, the last one zero.
func (l *Layout) positions(m *mesh.Mesh, position []int32) []byte {
	if l.Step == 0 {
		return l.single(nil, m, position)
	}
	var line mesh.Vec
	for k := range line {
		line[k] = nearest(l.Centre[k], l.Step)
		l.Centre[k] = float64(line[k] * l.Step)
	}
	b := make([]byte, 0, 8*len(position))
	for i, p := range position {
		for k, x := range m.Positions[p] {
			q := int16(nearest(x, l.Step) - line[k])
			l.bound(i, k, float32(q))
			b = binary.LittleEndian.AppendUint16(b, uint16(q))
		}
		b = append(b, 0, 0)
	}
	return b
}

// units are normals for the octahedral filter, and what it makes of them.
func units(normals []mesh.Vec) (elements, decoded []byte) {
	for _, n := range normals {
		e, d := meshopt.PackUnit(n)
		elements = append(elements, e[:]...)
		decoded = append(decoded, d[:]...)
	}
	return elements, decoded
}

// packed compresses a stream, and unpacks it again to see that it is what a device
// will get.
func packed(s stream, elements, want []byte) []byte {
	b := meshopt.PackAttributes(elements, s.stride)
	got, err := meshopt.UnpackAttributes(b, len(elements)/s.stride, s.stride)
	if err != nil || !meshopt.Unfilter(s.filter, got, s.stride) || !bytes.Equal(got, want) {
		panic("glb: internal error: compressed vertices do not come back")
	}
	return b
}

func packedTriangles(index []int32) []byte {
	corners := make([]uint32, len(index))
	for i, v := range index {
		corners[i] = uint32(v)
	}
	b := meshopt.PackTriangles(corners)
	got, err := meshopt.UnpackTriangles(b, len(corners))
	if err != nil || !sameTriangles(corners, got) {
		panic("glb: internal error: compressed triangles do not come back")
	}
	return b
}

// sameTriangles compares corners; a triangle may begin at another one.
func sameTriangles(a, b []uint32) bool {
	for i := 0; i < len(a); i += 3 {
		x, y := [3]uint32(a[i:]), [3]uint32(b[i:])
		if x != y && x != [3]uint32{y[1], y[2], y[0]} && x != [3]uint32{y[2], y[0], y[1]} {
			return false
		}
	}
	return len(a) == len(b)
}
