// Quadrics of attributes after H. Hoppe, "New quadric metric for simplifying meshes
// with appearance attributes", 1999: over a triangle an attribute is a linear function
// of place, and what a wedge's value should be where its vertex goes is the mean of
// the functions around it.

package reduce

import (
	"math"

	"planfold/convert/mesh"
)

const (
	mostAttributes = 6 // four of colour, two of texture
	// colorLength is how long a deviation is as bad as a colour that is off by all of
	// its range, in the frame; textureShare is how much of its length on the surface a
	// texture's shift counts.
	colorLength  = 0.01
	textureShare = 0.25
)

// attributes are the wedges of a surface. They merge where their vertices do.
type attributes struct {
	source *mesh.Mesh
	n      int // values a wedge
	scale  [mostAttributes]float64
	wedge  [][3]int32 // by triangle, as in the source; into leads to the present one
	into   []int32    // by wedge: the one it was merged into, or itself
	only   []int32    // by vertex: its wedge, or -1 if it has several
	error  []attributeError
	at     wedges // of the edge that is being looked at
}

// attributeError is the sum, over triangles, of the squares of g·d + v - s, for the
// value s of each attribute and the offset d from the vertex. sum and lost hold it for
// s = 0.
type attributeError struct {
	sum    quadric
	lost   float64 // at the vertex
	weight float64
	slope  [mostAttributes]mesh.Vec // sums of g and v by their triangles' weights
	value  [mostAttributes]float64
}

// newAttributes is nil for a mesh without any.
func newAttributes(m *mesh.Mesh, s *surface) *attributes {
	if m.Wedges == nil {
		return nil
	}
	a := &attributes{source: m, wedge: m.Wedges}
	if m.Colors != nil {
		a.n = 4
		a.scale = [mostAttributes]float64{colorLength, colorLength, colorLength, colorLength}
	}
	if m.TexCoords != nil {
		length := float64(textureShare * s.lengthOfTexture())
		a.scale[a.n], a.scale[a.n+1] = length, length
		a.n += 2
	}
	a.into = make([]int32, max(len(m.Colors), len(m.TexCoords)))
	for w := range a.into {
		a.into[w] = int32(w)
	}
	a.only = make([]int32, len(m.Positions))
	for v := range a.only {
		a.only[v] = a.onlyAt(s, int32(v))
	}
	a.error = make([]attributeError, len(a.into))
	for i := range s.triangles {
		if s.triangles[i].v[0] != dead {
			a.addTriangle(s, i)
		}
	}
	return a
}

// lengthOfTexture is how far one unit of texture coordinates reaches on the surface.
func (s *surface) lengthOfTexture() float64 {
	var area, flat float64
	for i := range s.triangles {
		if s.triangles[i].v[0] == dead {
			continue
		}
		w := s.source.Wedges[i]
		p, q, r := s.source.TexCoords[w[0]], s.source.TexCoords[w[1]], s.source.TexCoords[w[2]]
		ux, uy := float64(q[0])-float64(p[0]), float64(q[1])-float64(p[1])
		vx, vy := float64(r[0])-float64(p[0]), float64(r[1])-float64(p[1])
		n := s.normal(int32(i))
		area += n.Length()
		flat += math.Abs(float64(ux*vy) - float64(uy*vx))
	}
	if !(flat > 0 && area > 0) {
		return 1
	}
	return math.Sqrt(area / flat)
}

func (a *attributes) root(w int32) int32 {
	for a.into[w] != w {
		a.into[w] = a.into[a.into[w]]
		w = a.into[w]
	}
	return w
}

// onlyAt is the wedge of v if its triangles have no other.
func (a *attributes) onlyAt(s *surface, v int32) int32 {
	only := int32(-1)
	for _, c := range s.around(v) {
		w := a.root(a.wedge[c>>2][c&3])
		if only >= 0 && w != only {
			return -1
		}
		only = w
	}
	return only
}

// values of a wedge of the source, scaled.
func (a *attributes) values(w int32) (out [mostAttributes]float64) {
	k := 0
	if a.source.Colors != nil {
		for _, x := range a.source.Colors[w] {
			out[k] = float64(x) * a.scale[k]
			k++
		}
	}
	if a.source.TexCoords != nil {
		for _, x := range a.source.TexCoords[w] {
			out[k] = float64(x) * a.scale[k]
			k++
		}
	}
	return out
}

// addTriangle gives the wedges of triangle i its linear functions.
func (a *attributes) addTriangle(s *surface, i int) {
	t, w := &s.triangles[i].v, &a.wedge[i]
	p, q, r := &s.vertices[t[0]].at, &s.vertices[t[1]].at, &s.vertices[t[2]].at
	n := cross(p, q, r)
	nn := n.Dot(n)
	if nn == 0 {
		return
	}
	area := math.Sqrt(nn)
	// The functions that are 1 at the second corner and at the third, 0 at the others.
	second, third := r.Sub(*p).Cross(n).Scale(1/nn), n.Cross(q.Sub(*p)).Scale(1/nn)
	v := [3][mostAttributes]float64{a.values(w[0]), a.values(w[1]), a.values(w[2])}
	for j := range a.n {
		g := second.Scale(v[1][j] - v[0][j]).Add(third.Scale(v[2][j] - v[0][j]))
		for k := range 3 {
			a.error[w[k]].add(j, g, v[k][j], area)
		}
	}
	for k := range 3 {
		a.error[w[k]].weight += area
	}
}

// add adds the square of g·d + v.
func (e *attributeError) add(j int, g mesh.Vec, v, weight float64) {
	e.sum.addPlane(g, weight)
	wv := float64(weight * v)
	e.sum.x += float64(wv * g[0])
	e.sum.y += float64(wv * g[1])
	e.sum.z += float64(wv * g[2])
	e.lost += float64(wv * v)
	e.slope[j] = e.slope[j].Add(g.Scale(weight))
	e.value[j] += wv
}

// move makes the point at offset d the reference.
func (e *attributeError) move(d mesh.Vec, n int) {
	e.lost += e.sum.at(d)
	e.sum.move(d)
	for j := range n {
		e.value[j] += e.slope[j].Dot(d)
	}
}

func (e *attributeError) join(o *attributeError, n int) {
	e.sum.add(&o.sum)
	e.lost += o.lost
	e.weight += o.weight
	for j := range n {
		e.slope[j] = e.slope[j].Add(o.slope[j])
		e.value[j] += o.value[j]
	}
}

// least is the error as a function of place alone, with the best values for each, and
// what is lost at the vertex.
func (e *attributeError) least(n int) (q quadric, lost float64) {
	q, lost = e.sum, e.lost
	if e.weight == 0 {
		return q, lost
	}
	for j := range n {
		g, v := e.slope[j], e.value[j]
		q.addPlane(g, -1/e.weight)
		f := -v / e.weight
		q.x += float64(f * g[0])
		q.y += float64(f * g[1])
		q.z += float64(f * g[2])
		lost += float64(f * v)
	}
	return q, max(lost, 0)
}

// wedges are those at both ends of an edge, and what becomes of them when it collapses.
type wedges struct {
	list  []int32 // of one end, then of the other
	first int     // how many are of the one end
	with  []int   // index of one that each is to merge with, or its own
}

func (l *wedges) add(w int32, from int) int {
	for i := from; i < len(l.list); i++ {
		if l.list[i] == w {
			return i
		}
	}
	l.list = append(l.list, w)
	l.with = append(l.with, len(l.with))
	return len(l.list) - 1
}

func (l *wedges) root(i int) int {
	for l.with[i] != i {
		i = l.with[i]
	}
	return i
}

// gather lists the wedges at v and u. Those that a triangle joins will merge.
func (a *attributes) gather(s *surface, v, u int32) *wedges {
	l := &a.at
	l.list, l.with = l.list[:0], l.with[:0]
	if a.only[v] >= 0 && a.only[u] >= 0 {
		l.list, l.with, l.first = append(l.list, a.only[v], a.only[u]), append(l.with, 0, 0), 1
		return l
	}
	for _, c := range s.around(v) {
		l.add(a.root(a.wedge[c>>2][c&3]), 0)
	}
	l.first = len(l.list)
	for _, c := range s.around(u) {
		t := &s.triangles[c>>2]
		i := l.add(a.root(a.wedge[c>>2][c&3]), l.first)
		if !t.has(v) {
			continue
		}
		j := l.add(a.root(a.wedge[c>>2][t.corner(v)]), 0)
		x, y := l.root(i), l.root(j)
		l.with[max(x, y)] = min(x, y)
	}
	return l
}

// meet adds to q, whose reference is v, what the attributes lose when v and u meet, and
// returns what they lose at v. What they have lost already does not count.
func (a *attributes) meet(s *surface, v, u int32, edge mesh.Vec, q *quadric) (atV float64) {
	l := a.gather(s, v, u)
	for i := range l.list {
		if l.root(i) != i {
			continue
		}
		var sum attributeError
		for k := i; k < len(l.list); k++ {
			if l.root(k) != i {
				continue
			}
			e := a.error[l.list[k]]
			_, lost := e.least(a.n)
			atV -= lost
			if k >= l.first {
				e.move(edge.Scale(-1), a.n)
			}
			sum.join(&e, a.n)
		}
		least, lost := sum.least(a.n)
		atV += lost
		q.add(&least)
	}
	return atV
}

// apply merges the wedges of an edge that is about to collapse to p.
func (a *attributes) apply(s *surface, c *attempt, p mesh.Vec) {
	l := a.gather(s, c.keep, c.drop)
	toKeep, toDrop := p.Sub(s.vertices[c.keep].at), p.Sub(s.vertices[c.drop].at)
	for i, w := range l.list {
		if i < l.first {
			a.error[w].move(toKeep, a.n)
		} else {
			a.error[w].move(toDrop, a.n)
		}
		if r := l.list[l.root(i)]; r != w {
			a.error[r].join(&a.error[w], a.n)
			a.into[w] = r
		}
	}
}

// settle notes the wedges of a vertex after a collapse.
func (a *attributes) settle(s *surface, v int32) { a.only[v] = a.onlyAt(s, v) }

// parted reports whether triangles t and o have different wedges at v.
func (a *attributes) parted(s *surface, t, o, v int32) bool {
	return a.root(a.wedge[t][s.triangles[t].corner(v)]) != a.root(a.wedge[o][s.triangles[o].corner(v)])
}

// hand gives m, a snapshot of the live triangles in order, their wedges; a vertex that
// has moved went to at.
func (a *attributes) hand(s *surface, m *mesh.Mesh, at []mesh.Vec) {
	number := make([]int32, len(a.into)) // plus 1
	m.Wedges = make([][3]int32, 0, len(m.Triangles))
	count := int32(0)
	for i := range s.triangles {
		t := &s.triangles[i].v
		if t[0] == dead {
			continue
		}
		var out [3]int32
		for k, v := range t[:3] {
			w := a.root(a.wedge[i][k])
			if number[w] == 0 {
				count++
				number[w] = count
				a.write(m, w, s.vertices[v].moved, at[v].Sub(s.vertices[v].at))
			}
			out[k] = number[w] - 1
		}
		m.Wedges = append(m.Wedges, out)
	}
}

// write appends the values of wedge w, whose vertex, if it has moved, is off its
// reference by d.
func (a *attributes) write(m *mesh.Mesh, w int32, moved bool, d mesh.Vec) {
	values := a.values(w)
	if e := &a.error[w]; moved && e.weight > 0 {
		for j := range a.n {
			values[j] = (e.value[j] + e.slope[j].Dot(d)) / e.weight
		}
	}
	for j := range a.n {
		values[j] /= a.scale[j]
	}
	k := 0
	if a.source.Colors != nil {
		var c [4]float32
		for j := range c {
			c[j] = float32(max(0, min(1, values[j])))
		}
		m.Colors = append(m.Colors, c)
		k = 4
	}
	if a.source.TexCoords != nil {
		m.TexCoords = append(m.TexCoords, [2]float32{float32(values[k]), float32(values[k+1])})
	}
}
