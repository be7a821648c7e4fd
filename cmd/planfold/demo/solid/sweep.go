package solid

import (
	"math"

	"planfold/convert/mesh"
)

// Section is the outline of a swept part at one height.
type Section struct {
	Z     float64
	Loops []Loop
	// Rise lifts single points of the first loop above Z, as the chamfer of a
	// hexagon needs; nil: flat.
	Rise []float64
}

// Sweep joins sections along z, lowest first. Neighbours of different height have
// the same loops, point by point, and are joined by walls. Neighbours of one
// height are a shoulder: what lies in one and not in the other becomes a flat
// face; points that both have must be equal. Both ends are closed.
func Sweep(sections ...Section) *Solid {
	s := &Solid{}
	s.shoulder(Section{Z: sections[0].Z}, sections[0])
	for i := 1; i < len(sections); i++ {
		a, b := sections[i-1], sections[i]
		if a.Z == b.Z && a.Rise == nil && b.Rise == nil {
			s.shoulder(a, b)
			continue
		}
		for k := range a.Loops {
			s.wall(s.ring(a, k), s.ring(b, k))
		}
	}
	last := sections[len(sections)-1]
	s.shoulder(last, Section{Z: last.Z})
	return s
}

func (s *Solid) ring(c Section, k int) []int32 {
	ids := make([]int32, len(c.Loops[k]))
	for i, p := range c.Loops[k] {
		z := c.Z
		if k == 0 && c.Rise != nil {
			z += c.Rise[i]
		}
		ids[i] = s.point(mesh.Vec{p[0], p[1], z})
	}
	return ids
}

func (s *Solid) shoulder(below, above Section) {
	var edges []edge
	for k := range below.Loops {
		ids := s.ring(below, k)
		for i := range ids {
			edges = append(edges, edge{ids[i], ids[(i+1)%len(ids)]})
		}
	}
	for k := range above.Loops {
		ids := s.ring(above, k)
		for i := range ids {
			edges = append(edges, edge{ids[(i+1)%len(ids)], ids[i]})
		}
	}
	s.fill(edges, mesh.Vec{0, 0, 1})
}

func (s *Solid) wall(low, high []int32) {
	for i := range low {
		k := (i + 1) % len(low)
		s.quad(low[i], low[k], high[k], high[i])
	}
}

// Turned is a part of round sections: pairs of z and radius, with n points a
// turn. Equal heights make a shoulder.
func Turned(n int, pairs ...[2]float64) *Solid {
	var c []Section
	for _, p := range pairs {
		c = append(c, Section{Z: p[0], Loops: []Loop{Circle(Point{}, p[1], n)}})
	}
	return Sweep(c...)
}

// Revolve turns a closed profile of radius and height about z. The profile runs
// counter-clockwise with the radius to the right and z up; where it touches the
// axis the radius is 0.
func Revolve(profile Loop, n int) *Solid {
	s := &Solid{}
	at := func(p Point, i int) int32 {
		sin, cos := sincos(i%n, n)
		return s.point(mesh.Vec{float64(p[0] * cos), float64(p[0] * sin), p[1]})
	}
	for k, p := range profile {
		q := profile[(k+1)%len(profile)]
		if p[0] == 0 && q[0] == 0 {
			continue
		}
		for i := range n {
			a, b, c, d := at(p, i), at(p, i+1), at(q, i+1), at(q, i)
			switch {
			case p[0] == 0:
				s.triangle(a, c, d)
			case q[0] == 0:
				s.triangle(a, b, c)
			default:
				s.quad(a, b, c, d)
			}
		}
	}
	return s
}

// Arc is points on a circle from angle a to b, in degrees, both ends included.
func Arc(c Point, r, a, b float64, n int) []Point {
	out := make([]Point, n)
	for i := range out {
		sin, cos := math.Sincos((a + (b-a)*float64(i)/float64(n-1)) * math.Pi / 180)
		out[i] = Point{c[0] + r*cos, c[1] + r*sin}
	}
	return out
}
