package glb

import (
	"encoding/binary"
	"math"

	"planfold/convert/mesh"
)

// Layout says what is where in a buffer made by EncodeMesh or CompressMesh: a stream
// of positions, one of normals, those of colours and of texture coordinates if the mesh
// has them, then the indices of all primitives.
type Layout struct {
	Bytes      int64       `json:"bytes"`
	Vertices   int         `json:"vertices"`
	Min        [3]float32  `json:"min"`            // of the positions as stored
	Max        [3]float32  `json:"max"`            // of the positions as stored
	Wide       bool        `json:"wide,omitempty"` // indices are uint32, else uint16
	Colors     bool        `json:"colors,omitempty"`
	TexCoords  bool        `json:"texCoords,omitempty"`
	Primitives []Primitive `json:"primitives"`
	Centre     mesh.Vec    `json:"centre"`           // what positions are stored about, metres
	Step       float64     `json:"step,omitempty"`   // what one of a stored position is, metres; 0: they are float32 metres
	Packed     []int64     `json:"packed,omitempty"` // bytes of each stream in turn, compressed; nil: they are plain

	first, shown int // groups; all if none are shown
}

// Primitive is the run of indices of one group of the mesh.
type Primitive struct {
	Group int `json:"group"`
	First int `json:"first"` // index, not byte
	Count int `json:"count"` // three a triangle
}

// Frame leads from positions as stored to those of the mesh.
func (l Layout) Frame() mesh.Mat {
	m := mesh.Translation(l.Centre)
	if l.Step > 0 {
		m[0], m[5], m[10] = l.Step, l.Step, l.Step
	}
	return m
}

// Part is the layout as a document needs it to show only the n groups from first on;
// of their materials the first is first's.
func (l Layout) Part(first, n int) Layout {
	l.first, l.shown = first, n
	return l
}

// shows reports whether a primitive is of the part.
func (l Layout) shows(p Primitive) bool {
	return l.shown == 0 || p.Group >= l.first && p.Group < l.first+l.shown
}

// maxNarrow is the most vertices that uint16 indices reach: 65535 restarts a strip
// and is not allowed as an index.
const maxNarrow = 65535

// stream is one attribute of all vertices.
type stream struct {
	stride     int // bytes a vertex
	component  int
	kind       string
	normalized bool
	filter     string // of the compressed stream
}

// streams of the vertices, in the buffer's order.
func (l Layout) streams() []stream {
	position := stream{stride: 12, component: typeFloat32, kind: "VEC3"}
	normal := position
	if l.Step > 0 {
		position.stride, position.component = 8, typeInt16
	}
	if l.Packed != nil {
		normal = stream{stride: 4, component: typeInt8, kind: "VEC3", normalized: true, filter: "OCTAHEDRAL"}
	}
	list := []stream{position, normal}
	if l.Colors {
		list = append(list, stream{stride: 8, component: typeUint16, kind: "VEC4", normalized: true})
	}
	if l.TexCoords {
		list = append(list, stream{stride: 8, component: typeFloat32, kind: "VEC2"})
	}
	return list
}

// EncodeMesh stores m's positions less the centre, with normals rebuilt and
// vertices split at creases, in float32. Vertices that no triangle uses are left out.
// A mesh without triangles gives an empty buffer and no primitives.
func EncodeMesh(m *mesh.Mesh, centre mesh.Vec) ([]byte, Layout) {
	v := arrange(m, shade(m))
	l := layoutOf(m, &v)
	l.Centre = centre
	size := l.indexBytes() * len(v.index)
	for _, s := range l.streams() {
		size += s.stride * l.Vertices
	}
	size = (size + 3) &^ 3
	l.Bytes = int64(size)
	b := l.single(make([]byte, 0, size), m, v.position)
	for _, n := range v.normal {
		for _, x := range n {
			b = appendFloat(b, single(x))
		}
	}
	for _, a := range attributesOf(m, &v) {
		b = append(b, a...)
	}
	for _, i := range v.index {
		if l.Wide {
			b = binary.LittleEndian.AppendUint32(b, uint32(i))
		} else {
			b = binary.LittleEndian.AppendUint16(b, uint16(i))
		}
	}
	return append(b, make([]byte, size-len(b))...), l
}

// layoutOf is what is common to all ways to store v.
func layoutOf(m *mesh.Mesh, v *shaded) Layout {
	return Layout{
		Vertices: len(v.position), Wide: len(v.position) > maxNarrow, Primitives: v.primitives,
		Colors: m.Colors != nil, TexCoords: m.TexCoords != nil,
	}
}

// attributesOf lists the streams of colours, as shorts of which the greatest is 1, and of
// texture coordinates.
func attributesOf(m *mesh.Mesh, v *shaded) (list [][]byte) {
	if m.Colors != nil {
		b := make([]byte, 0, 8*len(v.wedge))
		for _, w := range v.wedge {
			for _, x := range m.Colors[w] {
				b = binary.LittleEndian.AppendUint16(b, uint16(float64(within01(float64(x))*math.MaxUint16)+0.5))
			}
		}
		list = append(list, b)
	}
	if m.TexCoords != nil {
		b := make([]byte, 0, 8*len(v.wedge))
		for _, w := range v.wedge {
			b = appendFloat(appendFloat(b, single(float64(m.TexCoords[w][0]))), single(float64(m.TexCoords[w][1])))
		}
		list = append(list, b)
	}
	return list
}

// single stores positions in float32.
func (l *Layout) single(b []byte, m *mesh.Mesh, position []int32) []byte {
	for i, p := range position {
		for k, x := range m.Positions[p].Sub(l.Centre) {
			f := single(x)
			l.bound(i, k, f)
			b = appendFloat(b, f)
		}
	}
	return b
}

// bound takes coordinate k of vertex i into the bounds.
func (l *Layout) bound(i, k int, f float32) {
	if i == 0 {
		l.Min[k], l.Max[k] = f, f
	}
	l.Min[k], l.Max[k] = min(l.Min[k], f), max(l.Max[k], f)
}

func (l Layout) indexBytes() int {
	if l.Wide {
		return 4
	}
	return 2
}

func appendFloat(b []byte, f float32) []byte {
	return binary.LittleEndian.AppendUint32(b, math.Float32bits(f))
}

// single rounds to float32; a negative zero becomes a plain one, so that equal
// numbers are equal bytes.
func single(x float64) float32 {
	if f := float32(x); f != 0 {
		return f
	}
	return 0
}
