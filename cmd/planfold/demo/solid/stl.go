package solid

import (
	"bytes"
	"encoding/binary"
	"math"

	"planfold/convert/mesh"
)

// STL is s as a binary STL file.
func (s *Solid) STL() []byte {
	var b bytes.Buffer
	header := make([]byte, 80)
	copy(header, "planfold demo, millimetres")
	b.Write(header)
	le := binary.LittleEndian
	word := make([]byte, 0, 50)
	b.Write(le.AppendUint32(nil, uint32(len(s.Triangles))))
	for _, t := range s.Triangles {
		p, q, r := s.Points[t[0]], s.Points[t[1]], s.Points[t[2]]
		word = word[:0]
		for _, v := range []mesh.Vec{q.Sub(p).Cross(r.Sub(p)).Unit(), p, q, r} {
			for _, x := range v {
				word = le.AppendUint32(word, math.Float32bits(float32(x)+0))
			}
		}
		b.Write(append(word, 0, 0))
	}
	return b.Bytes()
}
