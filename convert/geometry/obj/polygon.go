package obj

import (
	"math"

	"planfold/convert/mesh"
)

// splitter cuts polygons into triangles: a fan where that is right, else by
// clipping ears (G. H. Meisters, Polygons Have Ears, Amer. Math. Monthly 82,
// 1975) in the plane that the polygon's normal by Newell faces most.
type splitter struct {
	flat [][2]float64
	ring []int
	out  [][3]int
	work int // point tests that are left
}

// enoughWork bounds the point tests of a file, as clipping takes the cube of the
// corners at worst: plenty for any cap with cut-outs, and seconds at most.
func enoughWork(bytes int) int { return 1<<26 + 64*bytes }

// split returns triangles of corner numbers, until the next call, and whether
// they cover the polygon and nothing else.
func (s *splitter) split(p []mesh.Vec) ([][3]int, bool) {
	s.out = s.out[:0]
	if len(p) == 3 {
		s.out = append(s.out, [3]int{0, 1, 2})
		return s.out, true
	}
	s.flatten(p)
	s.ring = s.ring[:0]
	for i := range p {
		s.ring = append(s.ring, i)
	}
	if s.fanFits() {
		s.fan()
		return s.out, true
	}
	clean := s.clip()
	s.fan()
	return s.out, clean
}

// flatten drops the axis that the normal is longest in, so that the polygon
// runs counter-clockwise in the other two.
func (s *splitter) flatten(p []mesh.Vec) {
	var n mesh.Vec
	for i := 1; i+1 < len(p); i++ {
		n = n.Add(p[i].Sub(p[0]).Cross(p[i+1].Sub(p[0])))
	}
	for i := 1; n == (mesh.Vec{}) && i+1 < len(p); i++ {
		n = p[i].Sub(p[0]).Cross(p[i+1].Sub(p[0])) // a bow tie's two halves make up for each other
	}
	axis := 0
	for k := 1; k < 3; k++ {
		if math.Abs(n[k]) > math.Abs(n[axis]) {
			axis = k
		}
	}
	u, v := (axis+1)%3, (axis+2)%3
	if n[axis] < 0 {
		u, v = v, u
	}
	s.flat = s.flat[:0]
	for _, q := range p {
		s.flat = append(s.flat, [2]float64{q[u] - p[0][u], q[v] - p[0][v]})
	}
}

// turn is twice the signed area of the triangle of three corners.
func (s *splitter) turn(a, b, c int) float64 {
	p, q, r := s.flat[a], s.flat[b], s.flat[c]
	return float64((q[0]-p[0])*(r[1]-p[1])) - float64((q[1]-p[1])*(r[0]-p[0]))
}

// fanFits reports whether the polygon has no corner that goes in, and its fan
// has no triangle without area.
func (s *splitter) fanFits() bool {
	n := len(s.ring)
	for i := range n {
		if s.turn(i, (i+1)%n, (i+2)%n) < 0 {
			return false
		}
		if i >= 2 && s.turn(0, i-1, i) <= 0 {
			return false
		}
	}
	return true
}

// fan cuts what is left of the ring from its first corner.
func (s *splitter) fan() {
	for i := 1; i+1 < len(s.ring); i++ {
		s.out = append(s.out, [3]int{s.ring[0], s.ring[i], s.ring[i+1]})
	}
	s.ring = s.ring[:0]
}

// clip cuts ears until three corners are left. Where no ear is found it leaves
// the ring and reports whether that has no area: corners in a line, which
// overlap nothing however they are cut.
func (s *splitter) clip() bool {
	for i, tried := 0, 0; len(s.ring) > 3; {
		n := len(s.ring)
		if tried > n || s.work < 0 {
			return s.lineLeft()
		}
		i %= n
		a, b, c := s.ring[(i+n-1)%n], s.ring[i], s.ring[(i+1)%n]
		if s.turn(a, b, c) > 0 && !s.blocked(a, b, c) {
			s.out = append(s.out, [3]int{a, b, c})
			s.ring = append(s.ring[:i], s.ring[i+1:]...)
			tried = 0
			i++ // leave the neighbour, so that ears do not fan out from one corner
			continue
		}
		i++
		tried++
	}
	return s.turn(s.ring[0], s.ring[1], s.ring[2]) >= 0
}

// blocked reports whether another corner lies in the triangle or on its rim.
func (s *splitter) blocked(a, b, c int) bool {
	s.work -= len(s.ring)
	p, q, t := s.flat[a], s.flat[b], s.flat[c]
	left, right := min(p[0], q[0], t[0]), max(p[0], q[0], t[0])
	for _, d := range s.ring {
		p := s.flat[d]
		if p[0] < left || p[0] > right {
			continue
		}
		if p == s.flat[a] || p == s.flat[b] || p == s.flat[c] {
			continue // also the other end of a slit to a hole
		}
		if s.turn(a, b, d) >= 0 && s.turn(b, c, d) >= 0 && s.turn(c, a, d) >= 0 {
			return true
		}
	}
	return false
}

func (s *splitter) lineLeft() bool {
	n := len(s.ring)
	for i := range n {
		if s.turn(s.ring[i], s.ring[(i+1)%n], s.ring[(i+2)%n]) != 0 {
			return false
		}
	}
	return true
}
