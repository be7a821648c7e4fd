// The search follows the idea of M. Guthe, P. Borodin and R. Klein, "Fast and
// accurate Hausdorff distance calculation between meshes", 2005: the distance to one
// triangle is convex, so over a piece of surface it is greatest at a corner.

package reduce

import (
	"math"

	"planfold/convert/mesh"
)

const (
	// A bound exceeds what it bounds by at most slack of it. One below floor of the
	// diagonal is not looked for.
	slack = 0.1
	floor = 1e-5
	// roughly is a share of a limit below which heights need not be exact: it is less
	// than what is known to occur.
	roughly = 0.9
	// every so many triangles, a sample tells what to expect.
	every = 128
	// mostSplits ends the halving of a triangle that lies across a fold.
	mostSplits = 24
)

// Deviation bounds, in metres, how far any point of either mesh lies from the other
// one: the symmetric Hausdorff distance. It is never less, and a tenth more at most, but
// for a hundred-thousandth of the diagonal. It is infinite if only one mesh is empty.
func Deviation(a, b *mesh.Mesh) float64 {
	if a == b {
		return 0
	}
	if len(a.Triangles) == 0 || len(b.Triangles) == 0 {
		if len(a.Triangles) == len(b.Triangles) {
			return 0
		}
		return math.Inf(1)
	}
	return newTree(a).deviation(newTree(b))
}

func (t *tree) deviation(o *tree) float64 {
	g := gauge{upper: floor * max(t.diagonal(), o.diagonal())}
	g.sample(t, o)
	g.sample(o, t)
	g.measure(t, o)
	g.measure(o, t)
	return g.upper
}

// gauge measures one surface against another, triangle by triangle. No point seen so
// far is farther away than upper, and one is as far as lower. Most triangles are soon
// shown to lie within upper; only of the others the distance is searched for.
type gauge struct {
	lower, upper float64
	to           *tree
	shadow       shadow
	pieces       []piece
}

// piece is a part of a triangle.
type piece struct {
	corner [3]mesh.Vec
	probed [3]probe
	splits int
}

// probe is the distance of a corner and the triangle there, which is negative as long
// as nobody has asked.
type probe struct {
	d       float64
	nearest int32
}

var unknown = [3]probe{{nearest: -1}, {nearest: -1}, {nearest: -1}}

// sample raises lower by a few places, so that the search need not begin at nothing.
func (g *gauge) sample(from, to *tree) {
	hint := int32(0)
	for i := 0; i < len(from.corners); i += every {
		c := &from.corners[i]
		for _, p := range [2]mesh.Vec{c[0], middleOf(c)} {
			d2, n := to.nearest(&p, hint)
			g.lower, hint = max(g.lower, math.Sqrt(d2)), n
		}
	}
}

// measure goes from triangle to neighbour, so that each starts where the last one was
// found to be.
func (g *gauge) measure(from, to *tree) {
	g.to = to
	g.shadow.over(to)
	start := make([]int32, len(from.corners))
	for i := range start {
		start[i] = -1
	}
	var todo []int32
	for root := range from.corners {
		if start[root] >= 0 {
			continue
		}
		middle := middleOf(&from.corners[root])
		_, start[root] = to.nearest(&middle, 0)
		todo = append(todo[:0], int32(root))
		for len(todo) > 0 {
			i := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			here := g.triangle(&from.corners[i], start[i])
			for _, e := range from.twin[i] {
				if e >= 0 && start[e>>2] < 0 {
					start[e>>2] = here
					todo = append(todo, e>>2)
				}
			}
		}
	}
}

func middleOf(c *[3]mesh.Vec) mesh.Vec { return c[0].Add(c[1]).Add(c[2]).Scale(1.0 / 3) }

// triangle bounds one triangle, looking first at the other surface's triangle start, and
// gives the one that lies over its middle.
func (g *gauge) triangle(c *[3]mesh.Vec, start int32) int32 {
	g.pieces = append(g.pieces[:0], piece{corner: *c, probed: unknown})
	for first := true; len(g.pieces) > 0; first = false {
		p := &g.pieces[len(g.pieces)-1]
		at, over := g.find(p, p.nearest(start))
		if first {
			start = at.index
		}
		if over && p.splits < mostSplits && g.shadow.covered(&at, g.upper) {
			g.tips(p)
			continue
		}
		if within(&p.corner, &g.to.corners[at.index], g.upper) {
			g.pieces = g.pieces[:len(g.pieces)-1]
			continue
		}
		g.search(p, &at, over)
	}
	return start
}

// tips goes on with what is left of the piece p, the last one.
func (g *gauge) tips(p *piece) {
	whole := *p
	g.pieces = g.pieces[:len(g.pieces)-1]
	for _, t := range g.shadow.tips {
		part := piece{corner: t.at, probed: unknown, splits: whole.splits + 1}
		part.probed[0] = whole.probed[t.of]
		g.pieces = append(g.pieces, part)
	}
}

// find gives the triangle over the middle of p, or else the nearest one.
func (g *gauge) find(p *piece, start int32) (at tile, over bool) {
	flat := g.shadow.under(&p.corner)
	if flat {
		if at, over = g.shadow.find(start); over {
			return at, true
		}
	}
	middle := middleOf(&p.corner)
	_, at.index = g.to.nearest(&middle, start)
	if flat {
		return g.shadow.find(at.index)
	}
	return at, false
}

// nearest is where to look for what lies under p.
func (p *piece) nearest(start int32) int32 {
	for _, c := range p.probed {
		if c.nearest >= 0 {
			return c.nearest
		}
	}
	return start
}

// within reports whether all of c lies within the limit of the triangle t.
func within(c, t *[3]mesh.Vec, limit float64) bool {
	limit2 := float64(limit * limit)
	for k := range c {
		if !(mesh.TriangleDistance2(&c[k], t) <= limit2) {
			return false
		}
	}
	return true
}

// search finds how far the corners of p are, and raises upper if what p can hold is
// hardly more than that. If not, p is halved.
func (g *gauge) search(p *piece, at *tile, over bool) {
	for k := range p.corner {
		if c := &p.probed[k]; c.nearest < 0 {
			d2, n := g.to.nearest(&p.corner[k], at.index)
			*c = probe{math.Sqrt(d2), n}
			g.lower = max(g.lower, c.d)
		}
	}
	enough := max(g.lower*(1+slack), g.upper)
	bound := g.bound(p, enough)
	if bound > enough && over && enough > g.upper && p.splits < mostSplits && g.shadow.covered(at, enough) {
		g.upper = enough
		g.tips(p)
		return
	}
	if bound <= enough || p.splits == mostSplits {
		g.upper = max(g.upper, bound)
		g.pieces = g.pieces[:len(g.pieces)-1]
		return
	}
	g.halve(p)
}

// bound is a distance that no point of p exceeds; one that is enough need not be the
// least.
func (g *gauge) bound(p *piece, enough float64) float64 {
	_, longest := p.longest()
	// No point is farther from all three corners than in an equilateral triangle.
	best := max(p.probed[0].d, p.probed[1].d, p.probed[2].d) + math.Sqrt(longest/3)
	for k := 0; k < 3 && best > enough; k++ {
		t := &g.to.corners[p.probed[k].nearest]
		best = min(best, math.Sqrt(max(
			mesh.TriangleDistance2(&p.corner[0], t), mesh.TriangleDistance2(&p.corner[1], t), mesh.TriangleDistance2(&p.corner[2], t))))
	}
	return best
}

// longest is the longest edge of p, from its corner k, and its squared length.
func (p *piece) longest() (k int, length2 float64) {
	for j := range 3 {
		e := p.corner[after[j]].Sub(p.corner[j])
		if l := e.Dot(e); l > length2 {
			k, length2 = j, l
		}
	}
	return k, length2
}

// halve cuts the piece p, the last one, at the middle of its longest edge.
func (g *gauge) halve(p *piece) {
	k, _ := p.longest()
	l := after[k]
	m := p.corner[k].Add(p.corner[l]).Scale(0.5)
	one, two := *p, *p
	one.splits++
	two.splits++
	one.corner[l], one.probed[l] = m, unknown[0]
	two.corner[k], two.probed[k] = m, unknown[0]
	g.pieces[len(g.pieces)-1] = one
	g.pieces = append(g.pieces, two)
}
