package reduce

import (
	"math"

	"planfold/convert/mesh"
)

// shadow shows that a surface covers a triangle, and how far above or below.
//
// Seen along the triangle's normal, start with the tile of the surface that lies over
// the triangle's middle and faces the viewer, and go on across each edge that lies over
// the triangle to the tile on its other side. If there always is one, the tiles cover the
// triangle: across an edge between two of them, the number that faces the viewer less the
// number that does not stays the same, and over the middle only those are let in that face.
// So no point of the triangle is farther from the surface than those tiles rise or fall
// over it.
//
// Where there is none, as beyond a crease, the triangle is left uncovered from its side
// up to that edge. What is left out is no farther from the rest than the side is, but for
// the tips: the parts whose nearest point of the rest is one of its corners.
type shadow struct {
	t     *tree
	seen  []uint32 // by tile: the last search that met it
	epoch uint32
	todo  []tile

	origin, n mesh.Vec    // frame of the triangle
	ways      [3]mesh.Vec // from the first corner to each
	slope     [3]mesh.Vec // of each weight

	inset [3]float64 // the weights that are left out
	left  []int32    // the tiles that end there
	edge  float64    // how far the sides are from the rest, squared
	tips  []tip
	high  float64
	limit float64
	room  float64 // how far a tile may rise
}

// point is a point as seen along a triangle's normal: the weights of the triangle's
// corners, negative beyond a side, and the height.
type point struct {
	w   [3]float64
	h   float64
	out uint8 // by bit, the sides that it is beyond for sure
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
	s.slope[1], s.slope[2] = s.ways[2].Cross(n).Scale(1/nn), n.Cross(s.ways[1]).Scale(1/nn)
	s.slope[0] = mesh.Vec{}.Sub(s.slope[1]).Sub(s.slope[2])
	s.n = n.Scale(1 / math.Sqrt(nn))
	return nn > 0 && !math.IsInf(1/nn, 0)
}

func (s *shadow) point(p *mesh.Vec, at *point) {
	x, y, z := p[0]-s.origin[0], p[1]-s.origin[1], p[2]-s.origin[2]
	v := float64(x*s.slope[1][0]) + float64(y*s.slope[1][1]) + float64(z*s.slope[1][2])
	w := float64(x*s.slope[2][0]) + float64(y*s.slope[2][1]) + float64(z*s.slope[2][2])
	at.h = float64(x*s.n[0]) + float64(y*s.n[1]) + float64(z*s.n[2])
	u := 1 - v - w
	at.w = [3]float64{u, v, w}
	at.out = 0
	if u < s.inset[0] {
		at.out = 1
	}
	if v < s.inset[1] {
		at.out |= 2
	}
	if w < s.inset[2] {
		at.out |= 4
	}
}

func (s *shadow) tile(i int32) tile {
	t := tile{index: i}
	for k := range t.at {
		s.point(&s.t.corners[i][k], &t.at[k])
	}
	return t
}

// across is the tile on the other side of edge k of t, which is its edge e.
func (s *shadow) across(t *tile, k int, e int32, next *tile) {
	j := e & 3
	next.index = e >> 2
	next.at[j], next.at[after[j]&3] = t.at[after[k]], t.at[k]
	r := before[j] & 3
	s.point(&s.t.corners[next.index][r], &next.at[r])
}

// left is positive if c is seen left of the way from a to b.
func left(a, b, c *point) float64 {
	return float64((b.w[1]-a.w[1])*(c.w[2]-a.w[2])) - float64((b.w[2]-a.w[2])*(c.w[1]-a.w[1]))
}

func (t *tile) faces() bool { return left(&t.at[0], &t.at[1], &t.at[2]) > 0 }

var middlePoint = point{w: [3]float64{1.0 / 3, 1.0 / 3, 1.0 / 3}}

// find walks from a tile to the one over the middle of the triangle.
func (s *shadow) find(at int32) (tile, bool) {
	s.inset = [3]float64{}
	t := s.tile(at)
	if !t.faces() {
		t = s.turn(t)
	}
	for range 16 {
		if !t.faces() {
			return t, false
		}
		edge, most := 0, 0.0
		for k := range 3 {
			if d := left(&t.at[k], &t.at[after[k]], &middlePoint); d < most {
				edge, most = k, d
			}
		}
		if most == 0 {
			return t, true
		}
		e := s.t.twin[t.index][edge]
		if e < 0 {
			return t, false
		}
		var next tile
		s.across(&t, edge, e, &next)
		t = next
	}
	return t, false
}

// turn goes across an edge to a tile that faces the viewer, if there is one: around a
// crease.
func (s *shadow) turn(t tile) tile {
	for _, e := range s.t.twin[t.index] {
		if e >= 0 {
			if next := s.tile(e >> 2); next.faces() {
				return next
			}
		}
	}
	return t
}

// covered reports whether no point of the triangle but for the tips is farther from the
// surface than the limit, as far as can be told. Start is the tile over its middle.
func (s *shadow) covered(start *tile, limit float64) bool {
	s.epoch++
	if s.epoch == 0 {
		clear(s.seen)
		s.epoch = 1
	}
	s.inset, s.limit, s.high, s.edge, s.left, s.tips = [3]float64{}, limit, 0, 0, s.left[:0], s.tips[:0]
	s.room = limit
	if !s.rises(start) {
		return false
	}
	s.seen[start.index] = s.epoch
	s.todo = append(s.todo[:0], *start)
	for i := 0; i < len(s.todo); i++ {
		t := &s.todo[i] // which stays as it is when todo grows
		for k := range 3 {
			if s.crosses(&t.at[k], &t.at[after[k]]) && !s.enter(t, k) && !s.leave(t, k) {
				return false
			}
		}
	}
	return s.edge == 0 || s.cut()
}

// crosses reports whether the way from a to b lies over the triangle.
func (s *shadow) crosses(a, b *point) bool {
	if a.out&b.out != 0 {
		return false
	}
	if s.edge > 0 {
		for i := range 3 {
			if a.w[i] < s.inset[i] && b.w[i] < s.inset[i] {
				return false
			}
		}
	}
	// Neither may all of the triangle lie on one side of the way.
	x, y := b.w[1]-a.w[1], b.w[2]-a.w[2]
	c := float64(x*a.w[2]) - float64(y*a.w[1])
	rest := 1 - s.inset[0] - s.inset[1] - s.inset[2]
	d0 := float64(x*s.inset[2]) - float64(y*s.inset[1]) - c
	d1, d2 := d0-float64(y*rest), d0+float64(x*rest)
	return (d0 > 0 || d1 > 0 || d2 > 0) && (d0 < 0 || d1 < 0 || d2 < 0)
}

// enter goes on to the tile across edge k of t, if there is one within the limit that
// faces the viewer or is not over the middle.
func (s *shadow) enter(t *tile, k int) bool {
	e := s.t.twin[t.index][k]
	if e < 0 {
		return false
	}
	i := e >> 2
	if s.seen[i] == s.epoch {
		return true
	}
	n := len(s.todo)
	s.todo = append(s.todo, tile{})
	next := &s.todo[n]
	s.across(t, k, e, next)
	if !next.faces() && next.middle() || !s.rises(next) {
		s.todo = s.todo[:n]
		return false
	}
	s.seen[i] = s.epoch
	return true
}

// middle reports whether the middle of the triangle may lie under t.
func (t *tile) middle() bool {
	turns := left(&t.at[0], &t.at[1], &t.at[2])
	for k := range 3 {
		d := left(&t.at[k], &t.at[after[k]], &middlePoint)
		if d > 0 && turns <= 0 || d < 0 && turns >= 0 {
			return false
		}
	}
	return true
}

// rises takes note of how far t is above or below the triangle where it is over it, and
// reports whether that is within the limit.
func (s *shadow) rises(t *tile) bool {
	high := t.highest()
	if high <= s.high {
		return true
	}
	if high > roughly*s.room && t.faces() {
		high = min(high, s.slopes(t))
		if !(high <= s.high || high <= roughly*s.room) {
			high = s.clipped(t)
		}
	}
	if high > s.room {
		return false
	}
	s.high = max(s.high, high)
	return true
}

// highest is spelt out because max would have to think of NaN.
func (t *tile) highest() float64 {
	high := 0.0
	for k := range t.at {
		if h := t.at[k].h; h > high {
			high = h
		} else if -h > high {
			high = -h
		}
	}
	return high
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

// leave leaves out what lies between edge k of t and the side of the triangle that it is
// nearest to.
func (s *shadow) leave(t *tile, k int) bool {
	a, b := &t.at[k], &t.at[after[k]]
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
		if d := in * in / s.slope[i].Dot(s.slope[i]); in < 1.0/3 && (side < 0 || d < least) {
			side, inset, least = i, in, d
		}
	}
	if side < 0 {
		return false
	}
	s.inset[side] = max(s.inset[side], inset)
	s.edge = max(s.edge, least)
	s.left = append(s.left, t.index)
	// What is left out lies along the triangle, and heights are square to that.
	s.room = math.Sqrt(max(0, float64(s.limit*s.limit)-s.edge))
	return s.high <= s.room
}

// tip is what is left out at a corner of the triangle, or half of it.
type tip struct {
	at [3]mesh.Vec
	of int // the corner, which at[0] is
}

// cut finds the tips that are not within the limit of the rest or of a tile that ends
// there, and reports whether they are parts of the triangle.
func (s *shadow) cut() bool {
	for j := range 3 {
		k, l := after[j], before[j]
		way := s.ways[k].Sub(s.ways[j]).Scale(s.inset[k]).Add(s.ways[l].Sub(s.ways[j]).Scale(s.inset[l]))
		d := float64(s.high*s.high) + way.Dot(way)
		if d > s.limit*s.limit && !(s.cutAt(j, k, l, way) && s.cutAt(j, l, k, way)) {
			return false
		}
	}
	return true
}

// cutAt takes the half of the tip at corner j that lies between the corner, the rest's
// corner, which is the given way off, and the foot of that on the side across from k.
func (s *shadow) cutAt(j int, k, l int32, way mesh.Vec) bool {
	down := s.inset[k] / s.slope[k].Dot(s.slope[k])
	if down*s.slope[k].Dot(s.slope[j]) > 1-s.inset[k]-s.inset[l] {
		return false // the foot lies beyond corner l
	}
	if beyond := float64(down * s.slope[k].Dot(s.slope[l])); beyond > s.inset[l] {
		down *= s.inset[l] / beyond // where the way to it meets the other side
	}
	if down == 0 {
		return true
	}
	corner := s.origin.Add(s.ways[j])
	inner := corner.Add(way)
	t := tip{[3]mesh.Vec{corner, inner, inner.Sub(s.slope[k].Scale(down))}, j}
	for _, i := range s.left {
		if within(&t.at, &s.t.corners[i], s.limit) {
			return true
		}
	}
	s.tips = append(s.tips, t)
	return true
}
