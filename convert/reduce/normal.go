package reduce

import (
	"math"

	"planfold/convert/mesh"
)

// normalSamples are where in a triangle normals are compared: its middle, and near
// its corners.
var normalSamples = [...][3]float64{
	{1.0 / 3, 1.0 / 3, 1.0 / 3}, {2.0 / 3, 1.0 / 6, 1.0 / 6}, {1.0 / 6, 2.0 / 3, 1.0 / 6}, {1.0 / 6, 1.0 / 6, 2.0 / 3},
}

// Turns is how far normals are off, as lengths between unit vectors, over twice the area.
type Turns struct {
	squares, area float64
	by            [1025]float64 // area by length, in steps of 2/1024
}

func (t *Turns) add(length, area float64) {
	t.squares += float64(float64(length*length) * area)
	t.area += area
	t.by[min(int(length*512), 1024)] += area
}

// Add adds what another mesh is off, weighed.
func (t *Turns) Add(o *Turns, weight float64) {
	t.squares += float64(weight * o.squares)
	t.area += float64(weight * o.area)
	for i, a := range o.by {
		t.by[i] += float64(weight * a)
	}
}

// RMS is the root of the mean square.
func (t *Turns) RMS() float64 {
	if t.area == 0 {
		return 0
	}
	return math.Sqrt(t.squares / t.area)
}

// Within is the length that so great a share of the area keeps to, rounded down
// to a step of the count.
func (t *Turns) Within(share float64) float64 {
	left := t.area
	for i := len(t.by) - 1; i > 0; i-- {
		if left -= t.by[i]; left < float64(share*t.area) {
			return float64(i) / 512
		}
	}
	return 0
}

// NormalError tells how far the normals that m is shown with are from those of its
// source at the nearest place. shown gives a mesh's normals by triangle and corner.
func NormalError(source, m *mesh.Mesh, shown func(*mesh.Mesh) [][3]mesh.Vec) *Turns {
	var turns Turns
	if len(source.Triangles) == 0 {
		return &turns
	}
	tree, was, is := newTree(source), shown(source), shown(m)
	number := make(map[[3]mesh.Vec]int, len(source.Triangles))
	for i, v := range source.Triangles {
		number[cornersOf(source, v)] = i
	}
	hint := int32(0)
	for i, v := range m.Triangles {
		c := cornersOf(m, v)
		weight := float64(c[1].Sub(c[0]).Cross(c[2].Sub(c[0])).Length() / float64(len(normalSamples)))
		for _, at := range normalSamples {
			p := blend(&c, at)
			_, hint = tree.nearest(&p, hint)
			near := &tree.corners[hint]
			d := blend(&is[i], at).Unit().Sub(blend(&was[number[*near]], footWeights(near, p)).Unit())
			turns.add(d.Length(), weight)
		}
	}
	return &turns
}

func cornersOf(m *mesh.Mesh, v [3]int32) [3]mesh.Vec {
	return [3]mesh.Vec{m.Positions[v[0]], m.Positions[v[1]], m.Positions[v[2]]}
}

func blend(v *[3]mesh.Vec, weights [3]float64) mesh.Vec {
	return v[0].Scale(weights[0]).Add(v[1].Scale(weights[1])).Add(v[2].Scale(weights[2]))
}

// footWeights are the weights of a triangle's corners at about the place nearest to p.
func footWeights(c *[3]mesh.Vec, p mesh.Vec) [3]float64 {
	ab, ac, ap := c[1].Sub(c[0]), c[2].Sub(c[0]), p.Sub(c[0])
	n := ab.Cross(ac)
	nn := n.Dot(n)
	if nn == 0 {
		return [3]float64{1, 0, 0}
	}
	v, w := max(ap.Cross(ac).Dot(n)/nn, 0), max(ab.Cross(ap).Dot(n)/nn, 0)
	u := max(1-v-w, 0)
	sum := u + v + w
	return [3]float64{u / sum, v / sum, w / sum}
}
