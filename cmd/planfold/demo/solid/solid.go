// Package solid models the demo's machine parts: closed surfaces of triangles,
// in millimetres, made without boolean operations, and writes them as STL, OBJ and GLB.
//
// A part is swept from sections (Sweep), stacked from flat layers (Stack) or
// turned about an axis (Revolve); bosses and holes are added by giving flat faces
// inner loops (Push, Pierce). A part may consist of several closed surfaces that
// run into each other, as a rib into a wall. It is no general modeller: loops that
// touch or cross where the text does not allow it give an open surface, which the
// demo's tests would see.
package solid

import (
	"math"

	"planfold/convert/mesh"
)

// Solid is a closed surface, counter-clockwise seen from outside.
type Solid struct {
	Points    []mesh.Vec
	Triangles [][3]int32
	index     map[[3]int64]int32
}

// grid is the distance in mm within which two points are one.
const grid = 1e-6

func snap(x float64) int64 { return int64(math.Round(x / grid)) }

// point is the number of the vertex at p.
func (s *Solid) point(p mesh.Vec) int32 {
	key := [3]int64{snap(p[0]), snap(p[1]), snap(p[2])}
	if i, ok := s.index[key]; ok {
		return i
	}
	if s.index == nil {
		s.index = map[[3]int64]int32{}
	}
	i := int32(len(s.Points))
	s.index[key] = i
	s.Points = append(s.Points, p)
	return i
}

// triangle adds a triangle, unless two of its corners are one.
func (s *Solid) triangle(a, b, c int32) {
	if a != b && b != c && c != a {
		s.Triangles = append(s.Triangles, [3]int32{a, b, c})
	}
}

// quad adds a four-sided face, cut along its shorter diagonal.
func (s *Solid) quad(a, b, c, d int32) {
	if s.Points[a].Distance(s.Points[c]) <= s.Points[b].Distance(s.Points[d]) {
		s.triangle(a, b, c)
		s.triangle(a, c, d)
		return
	}
	s.triangle(a, b, d)
	s.triangle(b, c, d)
}

// Join is all the given parts in one, side by side: nothing is welded or cut.
func Join(parts ...*Solid) *Solid {
	out := &Solid{}
	for _, p := range parts {
		base := int32(len(out.Points))
		out.Points = append(out.Points, p.Points...)
		for _, t := range p.Triangles {
			out.Triangles = append(out.Triangles, [3]int32{t[0] + base, t[1] + base, t[2] + base})
		}
	}
	return out
}

// Moved is s moved by m, which must not mirror or scale.
func (s *Solid) Moved(m mesh.Mat) *Solid {
	out := &Solid{Triangles: append([][3]int32{}, s.Triangles...)}
	for _, p := range s.Points {
		out.Points = append(out.Points, m.Point(p))
	}
	return out
}

// Volume in mm³, by the divergence theorem; negative if s is inside out.
func (s *Solid) Volume() float64 {
	v := 0.0
	for _, t := range s.Triangles {
		v += s.Points[t[0]].Dot(s.Points[t[1]].Cross(s.Points[t[2]]))
	}
	return v / 6
}

// Bounds is the smallest box around s.
func (s *Solid) Bounds() mesh.Box {
	b := mesh.EmptyBox()
	for _, p := range s.Points {
		b.Add(p)
	}
	return b
}
