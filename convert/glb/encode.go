package glb

import (
	"encoding/binary"
	"math"

	"planfold/convert/mesh"
)

// Layout says what is where in a buffer made by EncodeMesh: positions, normals
// (three float32 a vertex, little-endian), then the indices of all primitives.
type Layout struct {
	Bytes      int64       `json:"bytes"`
	Vertices   int         `json:"vertices"`
	Min        [3]float32  `json:"min"`            // of the positions as stored
	Max        [3]float32  `json:"max"`            // of the positions as stored
	Wide       bool        `json:"wide,omitempty"` // indices are uint32, else uint16
	Primitives []Primitive `json:"primitives"`
	Centre     mesh.Vec    `json:"centre"` // what positions are stored about, metres

	first, shown int // groups; all if none are shown
}

// Primitive is the run of indices of one group of the mesh.
type Primitive struct {
	Group int `json:"group"`
	First int `json:"first"` // index, not byte
	Count int `json:"count"` // three a triangle
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

// EncodeMesh stores m's positions less the centre, with normals rebuilt and
// vertices split at creases. Vertices that no triangle uses are left out. A mesh
// without triangles gives an empty buffer and no primitives.
func EncodeMesh(m *mesh.Mesh, centre mesh.Vec) ([]byte, Layout) {
	v := shade(m)
	l := Layout{Vertices: len(v.position), Wide: len(v.position) > maxNarrow, Centre: centre, Primitives: v.primitives}
	size := 24*l.Vertices + l.indexBytes()*len(v.index)
	size = (size + 3) &^ 3
	l.Bytes = int64(size)
	b := make([]byte, 0, size)
	for i, p := range v.position {
		for k, x := range m.Positions[p].Sub(centre) {
			f := single(x)
			if i == 0 {
				l.Min[k], l.Max[k] = f, f
			}
			l.Min[k], l.Max[k] = min(l.Min[k], f), max(l.Max[k], f)
			b = appendFloat(b, f)
		}
	}
	for _, n := range v.normal {
		for _, x := range n {
			b = appendFloat(b, single(x))
		}
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
