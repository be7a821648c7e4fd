// The search follows the idea of M. Guthe, P. Borodin and R. Klein, "Fast and
// accurate Hausdorff distance calculation between meshes", 2005: the distance to one
// triangle is convex, so over a piece of surface it is greatest at a corner.

package reduce

import (
	"math"

	"planfold/convert/mesh"
)

const (
	// A search is exact to searchFloor of the diagonal or searchSlack of the distance
	// found, whichever is more.
	searchFloor = 1e-3
	searchSlack = 0.05
	// mostSplits ends the halving of a triangle that lies across a fold.
	mostSplits = 24
)

// piece is a part of a triangle.
type piece struct {
	corner [3]probe
	splits int
}

// triangles bounds the distance inside the triangles, halving those that may hold
// more than has been found so far.
func (g *gauge) triangles(m *mesh.Mesh, t *tree, at []probe) {
	for _, v := range m.Triangles {
		g.stack = append(g.stack[:0], piece{corner: [3]probe{at[v[0]], at[v[1]], at[v[2]]}})
		for len(g.stack) > 0 {
			p := g.stack[len(g.stack)-1]
			g.stack = g.stack[:len(g.stack)-1]
			bound := g.bound(&p, t)
			if bound <= g.enough() || p.splits == mostSplits {
				g.upper = max(g.upper, bound)
				continue
			}
			g.halve(&p, t)
		}
	}
}

// enough is a bound that need not be made lower.
func (g *gauge) enough() float64 {
	return max(g.lower*(1+searchSlack), g.lower+g.floor, g.upper)
}

// bound is a distance that no point of p exceeds.
func (g *gauge) bound(p *piece, t *tree) float64 {
	c := &p.corner
	_, longest := p.longest()
	// No point is farther from all three corners than in an equilateral triangle.
	best := max(c[0].d, c[1].d, c[2].d) + math.Sqrt(longest/3)
	for k := 0; k < 3 && best > g.enough(); k++ {
		tri := &t.corners[c[k].nearest]
		best = min(best, math.Sqrt(max(
			triangleDistance2(&c[0].p, tri), triangleDistance2(&c[1].p, tri), triangleDistance2(&c[2].p, tri))))
	}
	return best
}

// longest is the longest edge of p, from its corner k, and its squared length.
func (p *piece) longest() (k int, length2 float64) {
	for j := range 3 {
		e := p.corner[after[j]].p.Sub(p.corner[j].p)
		if l := e.Dot(e); l > length2 {
			k, length2 = j, l
		}
	}
	return k, length2
}

// halve cuts p at the middle of its longest edge.
func (g *gauge) halve(p *piece, t *tree) {
	c := &p.corner
	k, _ := p.longest()
	a, b, o := c[k], c[after[k]], c[after[after[k]]]
	m := g.probe(a.p.Add(b.p).Scale(0.5), t, a.nearest)
	g.stack = append(g.stack, piece{[3]probe{a, m, o}, p.splits + 1}, piece{[3]probe{m, b, o}, p.splits + 1})
}
