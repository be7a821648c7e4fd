package solid

import (
	"math"

	"planfold/convert/mesh"
)

// Frame is the plane of a flat face: an origin and two directions in it, at right
// angles. The face looks along X × Y.
type Frame struct{ Origin, X, Y mesh.Vec }

func (f Frame) normal() mesh.Vec { return f.X.Cross(f.Y) }

func (f Frame) place(p Point, height float64) mesh.Vec {
	return f.Origin.Add(f.X.Scale(p[0])).Add(f.Y.Scale(p[1])).Add(f.normal().Scale(height))
}

// Push raises the area in each loop of a flat face by height, or sinks it if
// height is negative. Loops are counter-clockwise, inside the face, and touch
// neither its border nor each other.
func (s *Solid) Push(f Frame, height float64, loops ...Loop) {
	s.inner(f, 0, loops, false)
	for _, l := range loops {
		low, high := s.lift(f, l, 0), s.lift(f, l, height)
		s.wall(low, high)
		var edges []edge
		for i := range high {
			edges = append(edges, edge{high[i], high[(i+1)%len(high)]})
		}
		s.fill(edges, f.normal())
	}
}

// Pierce makes holes of the loops' shape from a flat face to the opposite one at
// the given depth.
func (s *Solid) Pierce(f Frame, depth float64, loops ...Loop) {
	s.inner(f, 0, loops, false)
	s.inner(f, -depth, loops, true)
	for _, l := range loops {
		s.wall(s.lift(f, l, 0), s.lift(f, l, -depth))
	}
}

func (s *Solid) lift(f Frame, l Loop, height float64) []int32 {
	ids := make([]int32, len(l))
	for i, p := range l {
		ids[i] = s.point(f.place(p, height))
	}
	return ids
}

// inner cuts the loops out of the face at the given height over the frame; away:
// of the face that looks the other way.
func (s *Solid) inner(f Frame, height float64, loops []Loop, away bool) {
	n := f.normal()
	if away {
		n = n.Scale(-1)
	}
	edges := s.takeFace(n, f.Origin.Add(f.normal().Scale(height)))
	if len(edges) == 0 {
		panic("solid: internal error: no face in the plane of a hole")
	}
	for _, l := range loops {
		ids := s.lift(f, l, height)
		for i := range ids {
			e := edge{ids[(i+1)%len(ids)], ids[i]}
			if away {
				e = edge{e[1], e[0]}
			}
			edges = append(edges, e)
		}
	}
	s.fill(edges, n)
}

// takeFace removes the triangles that lie in the plane through p across n and
// look along n, and returns their edges.
func (s *Solid) takeFace(n, p mesh.Vec) []edge {
	var edges []edge
	kept := s.Triangles[:0]
	for _, t := range s.Triangles {
		a, b, c := s.Points[t[0]], s.Points[t[1]], s.Points[t[2]]
		flat := true
		for _, q := range []mesh.Vec{a, b, c} {
			flat = flat && math.Abs(q.Sub(p).Dot(n)) < 10*grid
		}
		if !flat || b.Sub(a).Cross(c.Sub(a)).Unit().Dot(n) < 0.9 {
			kept = append(kept, t)
			continue
		}
		edges = append(edges, edge{t[0], t[1]}, edge{t[1], t[2]}, edge{t[2], t[0]})
	}
	s.Triangles = kept
	return edges
}
