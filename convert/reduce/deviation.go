package reduce

import (
	"math"

	"planfold/convert/mesh"
)

const (
	// allowance covers what the places that are looked at may miss, as a share of
	// the deviation and of the diagonal.
	allowance      = 0.1
	allowanceFloor = 5e-5
	// strayShare and strayFloor are how far a sample may lie from what the vertices
	// and edges promise before the surfaces do not follow each other.
	strayShare = 1.5
	strayFloor = 1e-4
	// A search costs little where the deviation is more than this share of the diagonal.
	searchFrom = 0.01
	// edgeHalvings limits the search for where an edge crosses several others.
	edgeHalvings = 2
)

// Deviation bounds, in metres, how far any point of either mesh lies from the other
// one: the symmetric Hausdorff distance. It is infinite if only one mesh is empty.
//
// Two surfaces that follow each other are farthest apart at a vertex of one or where
// an edge of one passes an edge of the other, because between these both are flat.
// So those places are measured. Samples inside the triangles of the coarser mesh
// prove that it follows; if one lies farther off than all of those, as where one mesh
// has a wall that the other lacks, or if the deviation is large, all of both surfaces
// is searched instead.
func Deviation(a, b *mesh.Mesh) float64 {
	if len(a.Triangles) == 0 || len(b.Triangles) == 0 {
		if len(a.Triangles) == len(b.Triangles) {
			return 0
		}
		return math.Inf(1)
	}
	if len(a.Triangles) < len(b.Triangles) {
		a, b = b, a
	}
	return deviation(a, newTree(a), b, newTree(b), false)
}

// deviation expects the finer mesh first. The coarse one is known to follow it if it
// was reduced from it.
func deviation(fine *mesh.Mesh, ft *tree, coarse *mesh.Mesh, ct *tree, follows bool) float64 {
	diagonal := fine.Bounds().Diagonal()
	var g gauge
	df, dc := g.vertices(fine, ct), g.vertices(coarse, ft)
	g.floor = allowanceFloor * diagonal
	g.upper = g.lower
	g.edges(fine, ct, df)
	known := max(g.lower, g.upper)
	if !follows {
		g.middles(coarse, ft, dc)
	}
	if g.lower <= float64(strayShare*known)+float64(strayFloor*diagonal) && known <= searchFrom*diagonal {
		return float64(max(g.lower, g.upper)*(1+allowance)) + g.floor
	}
	g.floor = searchFloor * diagonal
	g.upper = g.lower
	g.triangles(coarse, ft, dc)
	g.triangles(fine, ct, df)
	return g.upper
}

// gauge measures surfaces against each other: lower is the largest distance found,
// upper the largest that any part looked at may have.
type gauge struct {
	lower, upper float64
	floor        float64 // how far above lower a piece need not be looked at
	stack        []piece
}

// probe is a point with its distance from the other surface and the triangle there.
type probe struct {
	p       mesh.Vec
	d       float64
	nearest int32
}

func (g *gauge) probe(p mesh.Vec, t *tree, hint int32) probe {
	d2, n := t.nearest(&p, hint)
	d := math.Sqrt(d2)
	g.lower = max(g.lower, d)
	return probe{p, d, n}
}

// vertices measures the vertices in use.
func (g *gauge) vertices(m *mesh.Mesh, t *tree) []probe {
	out := make([]probe, len(m.Positions))
	used := make([]bool, len(m.Positions))
	hint := int32(0)
	for _, v := range m.Triangles {
		for _, i := range v {
			if !used[i] {
				used[i] = true
				out[i] = g.probe(m.Positions[i], t, hint)
				hint = out[i].nearest
			}
		}
	}
	return out
}

// middles measures the middles of the triangles.
func (g *gauge) middles(m *mesh.Mesh, t *tree, at []probe) {
	for _, v := range m.Triangles {
		a, b, c := &at[v[0]], &at[v[1]], &at[v[2]]
		g.probe(a.p.Add(b.p).Add(c.p).Scale(1.0/3), t, a.nearest)
	}
}

// edges measures where edges of m pass from one triangle of the other surface to the
// next.
func (g *gauge) edges(m *mesh.Mesh, t *tree, at []probe) {
	// Around a vertex inside a surface each neighbour comes once as the next and once
	// as the one before. Where that balances, an edge is met again from its other side.
	balance := make([]int64, len(m.Positions))
	for _, v := range m.Triangles {
		for k := range 3 {
			balance[v[k]] += int64(v[after[k]]) - int64(v[after[after[k]]])
		}
	}
	for _, v := range m.Triangles {
		for k := range 3 {
			a, b := v[k], v[after[k]]
			if at[a].nearest != at[b].nearest && (a < b || balance[a] != 0 && balance[b] != 0) {
				g.edge(&at[a], &at[b], t, edgeHalvings)
			}
		}
	}
}

// edge looks at the way from a to b. Where it crosses an edge of the other surface
// the two edges' distance counts; where it crosses more than one it is halved.
func (g *gauge) edge(a, b *probe, t *tree, halvings int) {
	s, o := &t.corners[a.nearest], &t.corners[b.nearest]
	known := max(g.upper, g.floor)
	known *= known
	if min(triangleDistance2(&a.p, o), triangleDistance2(&b.p, s)) <= 0.5*known {
		return
	}
	x, far := a.p.Add(b.p).Scale(0.5), -1.0
	if k, across, ok := sharedEdge(s, o); ok {
		if c, ok := crossing(s, k, &across, a, b); ok {
			x, far = c, fromEdge(s, k, c)
		}
	}
	if far >= 0 && far <= known {
		return
	}
	if far < 0 && (halvings == 0 || min(triangleDistance2(&x, s), triangleDistance2(&x, o)) <= known) {
		return
	}
	m := g.probe(x, t, a.nearest)
	if far >= 0 && (m.nearest == a.nearest || m.nearest == b.nearest || halvings == 0) {
		g.upper = max(g.upper, math.Sqrt(far))
		return
	}
	if m.nearest != a.nearest {
		g.edge(a, &m, t, halvings-1)
	}
	if m.nearest != b.nearest {
		g.edge(&m, b, t, halvings-1)
	}
}

// fromEdge is the squared distance of p from edge k of t, or -1 if its foot is not on it.
func fromEdge(t *[3]mesh.Vec, k int, p mesh.Vec) float64 {
	e, r := t[after[k]].Sub(t[k]), p.Sub(t[k])
	re, ee := r.Dot(e), e.Dot(e)
	if re < 0 || re > ee {
		return -1
	}
	return along(r[0], r[1], r[2], e[0], e[1], e[2], re, ee)
}

// crossing is where the way from a to b passes the plane that halves the angle
// at edge k of s between s and the triangle whose third corner is across.
func crossing(s *[3]mesh.Vec, k int, across *mesh.Vec, a, b *probe) (mesh.Vec, bool) {
	edge := s[after[k]].Sub(s[k])
	inS := inward(edge, s[after[after[k]]].Sub(s[k]))
	inO := inward(edge, across.Sub(s[k]))
	plane := inS.Sub(inO)
	fa, fb := plane.Dot(a.p.Sub(s[k])), plane.Dot(b.p.Sub(s[k]))
	if (fa > 0) == (fb > 0) {
		return mesh.Vec{}, false
	}
	return a.p.Add(b.p.Sub(a.p).Scale(fa / (fa - fb))), true
}

// inward is the part of d square to the edge, of length 1.
func inward(edge, d mesh.Vec) mesh.Vec {
	l := edge.Dot(edge)
	if l == 0 {
		return mesh.Vec{}
	}
	return d.Sub(edge.Scale(d.Dot(edge) / l)).Unit()
}

// sharedEdge finds the edge of s, from its corner k, that t shares, and the corner
// of t across it.
func sharedEdge(s, t *[3]mesh.Vec) (k int, across mesh.Vec, ok bool) {
	for k := range 3 {
		a, b := &s[k], &s[after[k]]
		for j := range 3 {
			if t[j] == *b && t[after[j]] == *a || t[j] == *a && t[after[j]] == *b {
				return k, t[after[after[j]]], true
			}
		}
	}
	return 0, across, false
}
