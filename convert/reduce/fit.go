// The fit is the inner step of H. Hoppe, T. DeRose, T. Duchamp, J. McDonald and
// W. Stuetzle, "Mesh optimization", 1993, with distances taken to the planes of the
// triangles, so that each triangle's samples are summed up once.

package reduce

import (
	"math"
	"slices"

	"planfold/convert/mesh"
)

const (
	// fitSweeps is how often each vertex is placed given its neighbours.
	fitSweeps = 3
	// fitStay holds a vertex where the samples leave it free, as a share of their weight.
	fitStay = 1.5
	// fitBeyond is how far beyond a triangle its plane may still be taken, and
	// fitAgree the least cosine between its normal and the sample's.
	fitBeyond = 0.1
	fitAgree  = 0.5
	// fitRounds is how often vertices are placed where a triangle has fitMany samples;
	// with fewer, which lie at its corners, more rounds would follow these alone.
	fitRounds = 3
	fitMany   = 10
	// fitTurn is the least cosine by which a fit may turn a triangle, and the share of
	// its area that it must leave.
	fitTurn = 0.5
)

// Planes meet outside of a convex surface, so a vertex where quadrics want it lies
// on the far side of what it stands for. fit takes the source's vertices as samples
// and moves those vertices that collapses have moved before, to where the squares
// of the samples' distances are least.
type fit struct {
	s      *surface
	at     []mesh.Vec // by vertex
	index  []int32    // by triangle: its place in facets
	facets []facet
	shift  []mesh.Vec // by vertex
	free   []int32    // the vertices that collapses have moved
}

// facet is a live triangle and the samples nearest to it. With s the shifts of its
// corners along its normal, their squared distances sum to s'Ws + 2 r·s and a constant.
type facet struct {
	corner  [3]int32
	u, v, n plane // weight of the second corner, of the third, height
	w       [3][3]float64
	r       [3]float64
	s       [3]float64
	area    float64 // twice it
	facing  mesh.Vec
	invalid bool
}

// plane is a linear function of position.
type plane struct {
	n mesh.Vec
	c float64
}

func (p *plane) at(q *mesh.Vec) float64 {
	return float64(p.n[0]*q[0]) + float64(p.n[1]*q[1]) + float64(p.n[2]*q[2]) - p.c
}

func planeAt(n mesh.Vec, q *mesh.Vec) plane { return plane{n, n.Dot(*q)} }

// fitted gives where each vertex of the surface goes.
func (s *surface) fitted() []mesh.Vec {
	f := &fit{
		s: s, at: make([]mesh.Vec, len(s.vertices)), shift: make([]mesh.Vec, len(s.vertices)),
		index: make([]int32, len(s.triangles)), facets: make([]facet, 0, s.live),
	}
	for v := range s.vertices {
		at := &s.vertices[v]
		f.at[v] = at.at
		if at.moved && at.ring.count > 0 {
			f.free = append(f.free, int32(v))
		}
	}
	rounds := 1
	if len(s.vertices) >= fitMany*s.live {
		rounds = fitRounds
	}
	for range rounds {
		f.round()
	}
	return f.at
}

// round places the vertices once.
func (f *fit) round() {
	f.facets = f.facets[:0]
	for i := range f.s.triangles {
		if f.s.triangles[i].v[0] != dead {
			f.index[i] = int32(len(f.facets))
			f.facets = append(f.facets, f.facetOf(i))
		}
	}
	f.takeSamples()
	for range fitSweeps {
		f.sweep()
	}
	f.accept()
	clear(f.shift)
}

func (f *fit) facetOf(i int) facet {
	t := &f.s.triangles[i]
	v, source := &t.v, &t.facing
	a, b, c := &f.at[v[0]], &f.at[v[1]], &f.at[v[2]]
	n := cross(a, b, c)
	nn := n.Dot(n)
	g := facet{corner: [3]int32{v[0], v[1], v[2]}, facing: mesh.Vec{float64(source[0]), float64(source[1]), float64(source[2])}}
	if nn == 0 {
		g.invalid = true
		return g
	}
	ab, ac := b.Sub(*a), c.Sub(*a)
	g.u, g.v = planeAt(ac.Cross(n).Scale(1/nn), a), planeAt(n.Cross(ab).Scale(1/nn), a)
	g.area = math.Sqrt(nn)
	g.n = planeAt(n.Scale(1/g.area), a)
	return g
}

// takeSamples gives each vertex of the source to the facet nearest to it among
// those around the vertex that it has become.
func (f *fit) takeSamples() {
	s := f.s
	for v := range s.vertices {
		root := s.becomes(int32(v))
		if !s.vertices[root].moved {
			continue
		}
		n := &s.normals[v]
		normal := mesh.Vec{float64(n[0]), float64(n[1]), float64(n[2])}
		weight := normal.Length()
		if weight == 0 {
			continue
		}
		p := s.frame.in(s.source.Positions[v])
		f.take(&p, weight, normal.Scale(1/weight), root)
	}
}

// becomes is the vertex that v has been merged into.
func (s *surface) becomes(v int32) int32 {
	for {
		at := &s.vertices[v]
		if at.into == v {
			return v
		}
		at.into = s.vertices[at.into].into
		v = at.into
	}
}

func (f *fit) take(p *mesh.Vec, weight float64, normal mesh.Vec, root int32) {
	var best *facet
	var at [3]float64
	inside, off := -fitBeyond, math.Inf(1)
	for _, o := range f.s.around(root) {
		g := &f.facets[f.index[o>>2]]
		v, w := g.u.at(p), g.v.at(p)
		u := 1 - v - w
		in := min(u, v, w, 0)
		if in < inside || g.invalid || g.n.n.Dot(normal) < fitAgree {
			continue
		}
		h := g.n.at(p)
		if in > inside || math.Abs(h) < math.Abs(off) {
			best, at, inside, off = g, [3]float64{u, v, w}, in, h
		}
	}
	if best == nil {
		return
	}
	for j := range 3 {
		wb := weight * at[j]
		for k := range 3 {
			best.w[j][k] += float64(wb * at[k])
		}
		best.r[j] -= float64(wb * off)
	}
}

// sweep places each vertex in turn.
func (f *fit) sweep() {
	s := f.s
	for _, v := range f.free {
		var q quadric
		var n mesh.Vec
		for _, o := range s.around(v) {
			g := &f.facets[f.index[o>>2]]
			k, j, l := o&3, after[o&3], before[o&3]
			q.addPlane(g.n.n, g.w[k][k])
			slope := g.r[k] + float64(g.w[k][j]*g.s[j]) + float64(g.w[k][l]*g.s[l])
			for i := range 3 {
				n[i] += float64(g.n.n[i] * g.w[k][k])
			}
			q.x += float64(slope * g.n.n[0])
			q.y += float64(slope * g.n.n[1])
			q.z += float64(slope * g.n.n[2])
		}
		f.put(v, least(&q, n.Unit(), s.vertices[v].marks != 0))
	}
}

// least is the shift at which q is least, along n only if the vertex is on a line.
func least(q *quadric, n mesh.Vec, line bool) mesh.Vec {
	weight := q.trace()
	if weight == 0 {
		return mesh.Vec{}
	}
	if line {
		along := quadric{xx: q.xx, xy: q.xy, xz: q.xz, yy: q.yy, yz: q.yz, zz: q.zz}
		curve := along.at(n) + float64(fitStay*weight)
		return n.Scale(-(float64(q.x*n[0]) + float64(q.y*n[1]) + float64(q.z*n[2])) / curve)
	}
	return q.solve(float64(fitStay * weight))
}

func (f *fit) put(v int32, d mesh.Vec) {
	f.shift[v] = d
	for _, o := range f.s.around(v) {
		g := &f.facets[f.index[o>>2]]
		g.s[o&3] = g.n.n.Dot(d)
	}
}

// accept makes the shifts, but for those that would turn a triangle or make it thin.
func (f *fit) accept() {
	was := slices.Clone(f.at)
	for _, v := range f.free {
		f.at[v] = was[v].Add(f.shift[v])
	}
	for again := true; again; {
		again = false
		for i := range f.facets {
			g := &f.facets[i]
			if f.keeps(g, was) {
				continue
			}
			for _, v := range g.corner {
				again = again || f.at[v] != was[v]
				f.at[v] = was[v]
			}
		}
	}
}

func (f *fit) keeps(g *facet, was []mesh.Vec) bool {
	t := &g.corner
	if f.at[t[0]] == was[t[0]] && f.at[t[1]] == was[t[1]] && f.at[t[2]] == was[t[2]] {
		return true
	}
	if g.invalid {
		return false
	}
	n := cross(&f.at[t[0]], &f.at[t[1]], &f.at[t[2]])
	ahead := n.Dot(g.n.n)
	return ahead >= fitTurn*g.area && ahead >= fitTurn*n.Length() && n.Dot(g.facing) >= 0
}
