package reduce

import (
	"math"

	"planfold/convert/mesh"
)

// shadow shows that a surface covers a triangle, and how far above or below.
//
// Seen along the triangle's normal, start with the tile of the surface that lies over
// the triangle's middle, and go on across each edge that lies over the triangle to the
// tile on its other side. If there always is one, and it faces the viewer, the tiles
// cover the triangle: where the covered part ended, there would be an edge with no tile
// on its other side. So no point of the triangle is farther from the surface than those
// tiles rise or fall over it.
//
// Where there is none, as beyond a crease, the triangle is left uncovered from its side
// up to that edge: what is left out is no farther from the rest than its corners are.
type shadow struct {
	t     *tree
	seen  []uint32 // by tile: the last search that met it
	epoch uint32
	todo  []tile

	origin, n, g1, g2 mesh.Vec    // frame of the triangle
	ways              [3]mesh.Vec // from the first corner to each

	inset [3]float64 // the weights that are left out
	edge  float64    // how far the corners are from the rest, squared
	high  float64
	limit float64
}

// point is a point as seen along a triangle's normal: the weights of the triangle's
// corners, negative beyond a side, and the height.
type point struct {
	w [3]float64
	h float64
}

// tile is a triangle of the surface.
type tile struct {
	index int32
	at    [3]point
}

func (s *shadow) over(t *tree) {
	s.t = t
	if len(s.seen) < len(t.corners) {
		s.seen, s.epoch = make([]uint32, len(t.corners)), 0
	}
}

// under takes the triangle to be covered; one without area cannot be.
func (s *shadow) under(c *[3]mesh.Vec) bool {
	s.origin = c[0]
	n := cross(&c[0], &c[1], &c[2])
	nn := n.Dot(n)
	s.ways = [3]mesh.Vec{1: c[1].Sub(c[0]), 2: c[2].Sub(c[0])}
	s.g1, s.g2 = s.ways[2].Cross(n).Scale(1/nn), n.Cross(s.ways[1]).Scale(1/nn)
	s.n = n.Scale(1 / math.Sqrt(nn))
	return nn > 0 && !math.IsInf(1/nn, 0)
}

func (s *shadow) point(p *mesh.Vec) point {
	x, y, z := p[0]-s.origin[0], p[1]-s.origin[1], p[2]-s.origin[2]
	v := float64(x*s.g1[0]) + float64(y*s.g1[1]) + float64(z*s.g1[2])
	w := float64(x*s.g2[0]) + float64(y*s.g2[1]) + float64(z*s.g2[2])
	h := float64(x*s.n[0]) + float64(y*s.n[1]) + float64(z*s.n[2])
	return point{[3]float64{1 - v - w, v, w}, h}
}

func (s *shadow) tile(i int32) tile {
	c := &s.t.corners[i]
	return tile{i, [3]point{s.point(&c[0]), s.point(&c[1]), s.point(&c[2])}}
}

// left is positive if c is seen left of the way from a to b.
func left(a, b, c *point) float64 {
	return float64((b.w[1]-a.w[1])*(c.w[2]-a.w[2])) - float64((b.w[2]-a.w[2])*(c.w[1]-a.w[1]))
}

func (t *tile) faces() bool { return left(&t.at[0], &t.at[1], &t.at[2]) > 0 }

var middlePoint = point{w: [3]float64{1.0 / 3, 1.0 / 3, 1.0 / 3}}

// find walks from a tile to the one over the middle of the triangle.
func (s *shadow) find(at int32) (tile, bool) {
	t := s.tile(at)
	if !t.faces() {
		t = s.turn(t)
	}
	for range 16 {
		if !t.faces() {
			return t, false
		}
		next, most := int32(-1), 0.0
		for k := range 3 {
			if d := left(&t.at[k], &t.at[after[k]], &middlePoint); d < most {
				next, most = s.t.twin[t.index][k], d
			}
		}
		if next < 0 {
			return t, most == 0
		}
		t = s.tile(next / 3)
	}
	return t, false
}

// turn goes across an edge to a tile that faces the viewer, if there is one: around a
// crease.
func (s *shadow) turn(t tile) tile {
	for _, e := range s.t.twin[t.index] {
		if e >= 0 {
			if next := s.tile(e / 3); next.faces() {
				return next
			}
		}
	}
	return t
}

// covered is a distance from the surface that no point of the triangle exceeds, start
// being the tile over its middle. It is infinite where none within the limit is found.
func (s *shadow) covered(start *tile, limit float64) float64 {
	s.epoch++
	if s.epoch == 0 {
		clear(s.seen)
		s.epoch = 1
	}
	s.inset, s.limit, s.high, s.edge = [3]float64{}, limit, 0, 0
	if !s.rises(start) {
		return math.Inf(1)
	}
	s.seen[start.index] = s.epoch
	s.todo = append(s.todo[:0], *start)
	for len(s.todo) > 0 {
		t := s.todo[len(s.todo)-1]
		s.todo = s.todo[:len(s.todo)-1]
		for k := range 3 {
			if s.crosses(&t, k) && !s.enter(&t, k) && !s.leave(&t.at[k], &t.at[after[k]]) {
				return math.Inf(1)
			}
		}
	}
	return math.Sqrt(float64(s.high*s.high) + s.edge)
}

// crosses reports whether edge k of t lies over the triangle.
func (s *shadow) crosses(t *tile, k int) bool {
	a, b := &t.at[k], &t.at[after[k]]
	for i := range 3 {
		if a.w[i] < s.inset[i] && b.w[i] < s.inset[i] {
			return false
		}
	}
	// The same for the sides that the edge itself has.
	x, y := b.w[1]-a.w[1], b.w[2]-a.w[2]
	c := float64(x*a.w[2]) - float64(y*a.w[1])
	rest := 1 - s.inset[0] - s.inset[1] - s.inset[2]
	d0 := float64(x*s.inset[2]) - float64(y*s.inset[1]) - c
	d1, d2 := d0-float64(y*rest), d0+float64(x*rest)
	return (d0 > 0 || d1 > 0 || d2 > 0) && (d0 < 0 || d1 < 0 || d2 < 0)
}

// enter goes on to the tile across edge k of t, if there is one that faces the viewer
// within the limit.
func (s *shadow) enter(t *tile, k int) bool {
	e := s.t.twin[t.index][k]
	if e < 0 {
		return false
	}
	i, j := e/3, e%3
	if s.seen[i] == s.epoch {
		return true
	}
	l, r := after[j], after[after[j]]
	next := tile{index: i}
	next.at[j], next.at[l], next.at[r] = t.at[after[k]], t.at[k], s.point(&s.t.corners[i][r])
	if !next.faces() || !s.rises(&next) {
		return false
	}
	s.seen[i] = s.epoch
	s.todo = append(s.todo, next)
	return true
}

// rises takes note of how far t is above or below the triangle where it is over it, and
// reports whether that is within the limit.
func (s *shadow) rises(t *tile) bool {
	high := max(math.Abs(t.at[0].h), math.Abs(t.at[1].h), math.Abs(t.at[2].h))
	if high > s.high && high > roughly*s.room() {
		high = min(high, s.slopes(t))
		if high > s.high && high > roughly*s.room() {
			high = s.clipped(t)
		}
	}
	if high > s.room() {
		return false
	}
	s.high = max(s.high, high)
	return true
}

// slopes is the height of t's plane at the triangle's corners.
func (s *shadow) slopes(t *tile) float64 {
	a, b, c := &t.at[0], &t.at[1], &t.at[2]
	x1, y1, h1 := b.w[1]-a.w[1], b.w[2]-a.w[2], b.h-a.h
	x2, y2, h2 := c.w[1]-a.w[1], c.w[2]-a.w[2], c.h-a.h
	d := float64(x1*y2) - float64(x2*y1)
	dx, dy := (float64(h1*y2)-float64(h2*y1))/d, (float64(x1*h2)-float64(x2*h1))/d
	h := a.h - float64(dx*a.w[1]) - float64(dy*a.w[2])
	return max(math.Abs(h), math.Abs(h+dx), math.Abs(h+dy))
}

// clipped is how far t is above or below the rest of the triangle.
func (s *shadow) clipped(t *tile) float64 {
	var room [2][7]point
	at := append(room[0][:0], t.at[:]...)
	for k := range 3 {
		out := room[1-k&1][:0]
		for i := range at {
			a, b := &at[i], &at[0]
			if i+1 < len(at) {
				b = &at[i+1]
			}
			da, db := a.w[k]-s.inset[k], b.w[k]-s.inset[k]
			if da >= 0 {
				out = append(out, *a)
			}
			if (da >= 0) != (db >= 0) {
				f := da / (da - db)
				m := point{h: a.h + float64(f*(b.h-a.h))}
				for j := range 3 {
					m.w[j] = a.w[j] + float64(f*(b.w[j]-a.w[j]))
				}
				out = append(out, m)
			}
		}
		at = out
	}
	high := 0.0
	for i := range at {
		high = max(high, math.Abs(at[i].h))
	}
	return high
}

// leave leaves out what lies between the way from a to b and the side of the triangle
// that it is nearest to.
func (s *shadow) leave(a, b *point) bool {
	from, to := 0.0, 1.0
	for i := range 3 {
		x := (s.inset[i] - a.w[i]) / (b.w[i] - a.w[i])
		if b.w[i] > a.w[i] {
			from = max(from, x)
		} else if b.w[i] < a.w[i] {
			to = min(to, x)
		}
	}
	side, inset, least := -1, 0.0, 0.0
	for i := range 3 {
		way := b.w[i] - a.w[i]
		in := a.w[i] + max(float64(from*way), float64(to*way))
		across := s.ways[after[i]].Sub(s.ways[after[after[i]]])
		if d := in * in / across.Dot(across); in < 1.0/3 && (side < 0 || d < least) {
			side, inset, least = i, in, d
		}
	}
	if side < 0 {
		return false
	}
	s.inset[side] = max(s.inset[side], inset)
	s.edge = 0
	for j := range 3 {
		k, l := after[j], after[after[j]]
		d := s.ways[k].Sub(s.ways[j]).Scale(s.inset[k]).Add(s.ways[l].Sub(s.ways[j]).Scale(s.inset[l]))
		s.edge = max(s.edge, d.Dot(d))
	}
	return s.high <= s.room()
}

// room is how far a tile may rise: what is left out lies along the triangle, square to
// that.
func (s *shadow) room() float64 {
	return math.Sqrt(max(0, float64(s.limit*s.limit)-s.edge))
}
