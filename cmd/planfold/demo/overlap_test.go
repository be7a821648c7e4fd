package demo

import (
	"maps"
	"math"
	"slices"
	"testing"

	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"

	"github.com/stretchr/testify/assert"
)

// columns sorts a solid's triangles into vertical columns, to find quickly what a
// vertical line meets.
type columns struct {
	s    *solid.Solid
	box  mesh.Box
	n    int
	cell [][]int32
}

func columnsOf(s *solid.Solid) *columns {
	c := &columns{s: s, box: s.Bounds(), n: 48}
	c.cell = make([][]int32, c.n*c.n)
	for i, t := range s.Triangles {
		b := mesh.EmptyBox()
		for _, k := range t {
			b.Add(s.Points[k])
		}
		x0, y0 := c.at(b.Min)
		x1, y1 := c.at(b.Max)
		for x := x0; x <= x1; x++ {
			for y := y0; y <= y1; y++ {
				c.cell[x*c.n+y] = append(c.cell[x*c.n+y], int32(i))
			}
		}
	}
	return c
}

func (c *columns) at(p mesh.Vec) (x, y int) {
	f := func(k int) int {
		i := int(float64(c.n) * (p[k] - c.box.Min[k]) / (c.box.Max[k] - c.box.Min[k]))
		return max(0, min(c.n-1, i))
	}
	return f(0), f(1)
}

// inside counts the surfaces around p, so that shells may run into each other.
func (c *columns) inside(p mesh.Vec) bool {
	for k := range 3 {
		if p[k] <= c.box.Min[k] || p[k] >= c.box.Max[k] {
			return false
		}
	}
	x, y := c.at(p)
	around := 0
	for _, i := range c.cell[x*c.n+y] {
		t := c.s.Triangles[i]
		a, b, d := c.s.Points[t[0]], c.s.Points[t[1]], c.s.Points[t[2]]
		if z, ok := above(a, b, d, p); ok && z > p[2] {
			if b.Sub(a).Cross(d.Sub(a))[2] > 0 {
				around++
			} else {
				around--
			}
		}
	}
	return around > 0
}

// deep reports whether p and what is around it by r lie inside.
func (c *columns) deep(p mesh.Vec, r float64) bool {
	// The middle is nudged off the edges of the tessellation.
	q := p.Add(mesh.Vec{1.3e-5, 0.7e-5, 1.1e-5})
	if !c.inside(q) {
		return false
	}
	for i := range 27 {
		o := mesh.Vec{float64(i%3 - 1), float64(i/3%3 - 1), float64(i/9 - 1)}
		if !c.inside(q.Add(o.Scale(r))) {
			return false
		}
	}
	return true
}

// piece is one mesh of a placed part.
type piece struct {
	name string
	of   int // its part
	s    *solid.Solid
	c    *columns
	box  mesh.Box
}

// samples are some of a piece's corners, evenly by number.
func (p piece) samples() []mesh.Vec {
	const n = 400
	var out []mesh.Vec
	for i := 0; i < len(p.s.Points); i += max(1, len(p.s.Points)/n) {
		out = append(out, p.s.Points[i])
	}
	return out
}

func pieces(t *testing.T) []piece {
	t.Helper()
	var out []piece
	for i, b := range placed(t) {
		for _, n := range slices.Sorted(maps.Keys(b.solids)) {
			s := b.solids[n]
			out = append(out, piece{b.path + " " + n, i, s, columnsOf(s), s.Bounds()})
		}
	}
	return out
}

// TestNothingRunsIntoAnythingElse samples each part's corners in all parts whose
// boxes meet its own: none may lie deeper than a chord of the tessellation.
func TestNothingRunsIntoAnythingElse(t *testing.T) {
	all := pieces(t)
	for _, a := range all {
		for _, b := range all {
			if a.of == b.of || !meets(a.box, b.box, 0) {
				continue
			}
			deep := 0
			for _, p := range a.samples() {
				if b.c.deep(p, 0.06) {
					deep++
				}
			}
			assert.Zero(t, deep, "corners of %s inside %s", a.name, b.name)
		}
	}
}

// TestNothingFloats follows contacts, with a play of 0.2 mm, from part to part.
func TestNothingFloats(t *testing.T) {
	const play = 0.2
	all, parts := pieces(t), placed(t)
	group := make([]int, len(parts))
	for i := range group {
		group[i] = i
	}
	for _, a := range all {
		for _, b := range all {
			if group[a.of] != group[b.of] && meets(a.box, b.box, play) && touching(a, b, play) {
				from, to := group[a.of], group[b.of]
				for i, g := range group {
					if g == from {
						group[i] = to
					}
				}
			}
		}
	}
	for i, g := range group {
		assert.Equal(t, group[0], g, "%s touches nothing that touches %s", parts[i].path, parts[0].path)
	}
}

func touching(a, b piece, play float64) bool {
	for _, p := range a.s.Points {
		for k := range 3 {
			for _, d := range []float64{-play, play} {
				q := p.Add(mesh.Vec{1.3e-5, 0.7e-5, 1.1e-5})
				q[k] += d
				if b.c.inside(q) {
					return true
				}
			}
		}
	}
	return false
}

func meets(a, b mesh.Box, play float64) bool {
	for k := range 3 {
		if math.Max(a.Min[k], b.Min[k]) > math.Min(a.Max[k], b.Max[k])+play {
			return false
		}
	}
	return true
}
