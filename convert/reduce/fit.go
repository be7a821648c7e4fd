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
	fitSweeps = 2
	// fitStay holds a vertex where the samples leave it free, as a share of their weight.
	fitStay = 1.5
	// fitBeyond is how far beyond a triangle its plane may still be taken, and
	// fitAgree the least cosine between its normal and the sample's.
	fitBeyond = 0.1
	fitAgree  = 0.5
	// fitRounds is how often vertices are placed where a triangle has fitMany samples;
	// with fewer, which lie at its corners, more rounds would follow these alone. Where it
	// has fewer than fitFew, next to nothing is won.
	fitRounds = 3
	fitMany   = 10
	fitFew    = 2
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
	home   []int32    // by vertex of the source, as a sample: its facet, or -1
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
	area    float64 // twice it; one without any takes no samples
	facing  mesh.Vec
}

// plane is a linear function of position.
type plane struct {
	n mesh.Vec
	c float64
}

func (p *plane) at(x, y, z float64) float64 {
	return float64(p.n[0]*x) + float64(p.n[1]*y) + float64(p.n[2]*z) - p.c
}

func planeAt(n mesh.Vec, q *mesh.Vec) plane { return plane{n, n.Dot(*q)} }

// fitted gives where each vertex of the surface goes.
func (s *surface) fitted() []mesh.Vec {
	at := make([]mesh.Vec, len(s.vertices))
	for v := range at {
		at[v] = s.vertices[v].at
	}
	if len(s.vertices) < fitFew*s.live {
		return at
	}
	f := &fit{
		s: s, at: at, shift: make([]mesh.Vec, len(s.vertices)),
		index: make([]int32, len(s.triangles)), facets: make([]facet, s.live),
	}
	for v := range s.vertices {
		if at := &s.vertices[v]; at.moved && at.ring.count > 0 {
			f.free = append(f.free, int32(v))
		}
	}
	f.round()
	if len(s.vertices) >= fitMany*s.live {
		for range fitRounds - 1 {
			f.round()
		}
	}
	return f.at
}

// round places the vertices once.
func (f *fit) round() {
	n := int32(0)
	for i := range f.s.triangles {
		if f.s.triangles[i].v[0] != dead {
			f.index[i] = n
			f.lay(&f.facets[n], i)
			n++
		}
	}
	f.takeSamples()
	for i := range f.facets {
		w := &f.facets[i].w
		w[1][0], w[2][0], w[2][1] = w[0][1], w[0][2], w[1][2]
	}
	for range fitSweeps {
		f.sweep()
	}
	f.accept()
	clear(f.shift)
}

// lay makes g the facet of triangle i.
func (f *fit) lay(g *facet, i int) {
	t := &f.s.triangles[i]
	v, source := &t.v, &t.facing
	a, b, c := &f.at[v[0]], &f.at[v[1]], &f.at[v[2]]
	n := cross(a, b, c)
	nn := n.Dot(n)
	*g = facet{corner: [3]int32{v[0], v[1], v[2]}, facing: mesh.Vec{float64(source[0]), float64(source[1]), float64(source[2])}}
	if nn == 0 {
		return
	}
	ab, ac := b.Sub(*a), c.Sub(*a)
	g.u, g.v = planeAt(ac.Cross(n).Scale(1/nn), a), planeAt(n.Cross(ab).Scale(1/nn), a)
	g.area = math.Sqrt(nn)
	g.n = planeAt(n.Scale(1/g.area), a)
}

// takeSamples gives each vertex of the source to the facet nearest to it among
// those around the vertex that it has become. It stays there in later rounds.
func (f *fit) takeSamples() {
	s := f.s
	first := f.home == nil
	if first {
		f.home = make([]int32, len(s.vertices))
	}
	for v := range s.vertices {
		p := s.frame.in(s.source.Positions[v])
		if first {
			root := s.becomes(int32(v))
			f.home[v] = -1
			if s.vertices[root].moved {
				f.home[v] = f.nearest(&p, &s.normals[v], root)
			}
		}
		if f.home[v] >= 0 {
			f.facets[f.home[v]].take(&p, &s.normals[v])
		}
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

// nearest is the facet around root that is nearest to a sample at p with normal n, or -1.
func (f *fit) nearest(p *mesh.Vec, n *[3]float32, root int32) int32 {
	x, y, z := p[0], p[1], p[2]
	nx, ny, nz := float64(n[0]), float64(n[1]), float64(n[2])
	agree := fitAgree * math.Sqrt(float64(nx*nx)+float64(ny*ny)+float64(nz*nz))
	best, inside, off := int32(-1), -fitBeyond, math.Inf(1)
	for _, o := range f.s.around(root) {
		i := f.index[o>>2]
		g := &f.facets[i]
		v, w := g.u.at(x, y, z), g.v.at(x, y, z)
		in := min(1-v-w, v, w, 0)
		if in < inside || float64(g.n.n[0]*nx)+float64(g.n.n[1]*ny)+float64(g.n.n[2]*nz) < agree || g.area == 0 {
			continue
		}
		h := math.Abs(g.n.at(x, y, z))
		if in > inside || h < off {
			best, inside, off = i, in, h
		}
	}
	return best
}

// take adds a sample at p with normal n, as long as its weight.
func (g *facet) take(p *mesh.Vec, n *[3]float32) {
	x, y, z := p[0], p[1], p[2]
	nx, ny, nz := float64(n[0]), float64(n[1]), float64(n[2])
	weight := math.Sqrt(float64(nx*nx) + float64(ny*ny) + float64(nz*nz))
	v, w, off := g.u.at(x, y, z), g.v.at(x, y, z), g.n.at(x, y, z)
	u := 1 - v - w
	wu, wv, ww := float64(weight*u), float64(weight*v), float64(weight*w)
	g.w[0][0] += float64(wu * u)
	g.w[0][1] += float64(wu * v)
	g.w[0][2] += float64(wu * w)
	g.w[1][1] += float64(wv * v)
	g.w[1][2] += float64(wv * w)
	g.w[2][2] += float64(ww * w)
	g.r[0] -= float64(wu * off)
	g.r[1] -= float64(wv * off)
	g.r[2] -= float64(ww * off)
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
	if g.area == 0 {
		return false
	}
	n := cross(&f.at[t[0]], &f.at[t[1]], &f.at[t[2]])
	ahead := n.Dot(g.n.n)
	return ahead >= fitTurn*g.area && ahead >= fitTurn*n.Length() && n.Dot(g.facing) >= 0
}
