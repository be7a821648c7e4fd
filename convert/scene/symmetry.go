package scene

import (
	"math"

	"planfold/convert/mesh"
)

// A surface that a turn brings onto itself does not tell how it stands. The axis of such
// a turn passes through the centroid and, where the order is at least three, along a
// principal axis of the second moments that is unlike the other two; of order two it is a
// principal axis at least where these differ. Candidates are the principal axes, and those
// that the part was drawn in; the turned surface is compared with itself at samples.

// symmetry is how a surface may be turned and look the same.
type symmetry struct {
	axis  mesh.Vec // unit
	order int      // times in a full turn; 0: not at all
	round bool     // by any angle
}

const (
	// sameWithin is how far off a surface may be and still look the same: registration on
	// the floor is off by about as much (common practice), or less where the part is small.
	sameWithin      = 0.006 // metres
	sameWithinShare = 0.01  // of the diagonal
	// What is unlike on so little of the surface is not seen either: a key seat, a mark.
	samples    = 400
	mostUnlike = samples / 100
)

// rotation by an angle that is known by its cosine and sine.
type rotation struct{ cos, sin float64 }

// turns of orders 2, 3, 4 and 6, and three of angles that no order has: the sides of
// right-angled triangles in whole numbers.
var (
	half    = rotation{-1, 0}
	third   = rotation{-0.5, 0.8660254037844386}
	quarter = rotation{0, 1}
	sixth   = rotation{0.5, 0.8660254037844386}
	others  = []rotation{{3.0 / 5, 4.0 / 5}, {5.0 / 13, 12.0 / 13}, {20.0 / 29, 21.0 / 29}}
)

// symmetryOf finds the turn by the smallest angle that leaves a surface as it is; axes of
// the part's own frame are tried first, since they are the better known.
func symmetryOf(m *mesh.Mesh, own [3]mesh.Vec) symmetry {
	centre, principal, ok := moments(m)
	if !ok {
		return symmetry{}
	}
	box := m.Bounds()
	within := min(sameWithin, float64(sameWithinShare*box.Diagonal()))
	c := comparison{near: newNearby(m, within), points: sampled(m), centre: centre}
	var best symmetry
	for _, axis := range append(own[:], principal[:]...) {
		if s := c.about(axis); s.round || s.order > best.order {
			if best = s; s.round {
				break
			}
		}
	}
	return best
}

type comparison struct {
	near   *nearby
	points []mesh.Vec
	centre mesh.Vec
}

func (c *comparison) about(axis mesh.Vec) symmetry {
	s := symmetry{axis: axis}
	two, three := c.same(axis, half), c.same(axis, third)
	switch {
	case two && c.same(axis, quarter):
		s.order = 4
		if s.round = three; s.round {
			for _, r := range others {
				s.round = s.round && c.same(axis, r)
			}
		}
		if three && !s.round {
			s.order = 12
		}
	case two && three && c.same(axis, sixth):
		s.order = 6
	case three:
		s.order = 3
	case two:
		s.order = 2
	}
	return s
}

// same reports whether the surface looks the same when it is turned.
func (c *comparison) same(axis mesh.Vec, r rotation) bool {
	unlike := 0
	for _, p := range c.points {
		v := p.Sub(c.centre)
		// O. Rodrigues, 1840
		along := axis.Scale(float64(axis.Dot(v) * (1 - r.cos)))
		turned := c.centre.Add(v.Scale(r.cos)).Add(axis.Cross(v).Scale(r.sin)).Add(along)
		if !c.near.has(turned) {
			if unlike++; unlike > mostUnlike {
				return false
			}
		}
	}
	return true
}

// moments are the centroid of a surface and the principal axes of its second moments.
func moments(m *mesh.Mesh) (centre mesh.Vec, axes [3]mesh.Vec, ok bool) {
	zero := m.Bounds().Centre() // near the surface, so that no digits are lost
	var sum [3][3]float64
	total := 0.0
	var first mesh.Vec
	for _, t := range m.Triangles {
		a, b, c := m.Positions[t[0]].Sub(zero), m.Positions[t[1]].Sub(zero), m.Positions[t[2]].Sub(zero)
		area := float64(b.Sub(a).Cross(c.Sub(a)).Length() / 2)
		all := a.Add(b).Add(c)
		total += area
		first = first.Add(all.Scale(area / 3))
		for i := range 3 {
			for k := range 3 {
				sum[i][k] += float64(area / 12 * (float64(a[i]*a[k]) + float64(b[i]*b[k]) + float64(c[i]*c[k]) + float64(all[i]*all[k])))
			}
		}
	}
	if !(total > 0) || math.IsInf(total, 1) {
		return centre, axes, false
	}
	mean := first.Scale(1 / total)
	for i := range 3 {
		for k := range 3 {
			sum[i][k] -= float64(total * float64(mean[i]*mean[k]))
		}
	}
	_, v := eigen(sum)
	for k := range 3 {
		axes[k] = mesh.Vec{v[0][k], v[1][k], v[2][k]}.Unit()
	}
	return zero.Add(mean), axes, true
}

// sampled are points spread evenly over a surface: each triangle has as many as its share
// of the area, at the places of an additive recurrence.
func sampled(m *mesh.Mesh) []mesh.Vec {
	areas := make([]float64, len(m.Triangles))
	total := 0.0
	for i, t := range m.Triangles {
		a := m.Positions[t[0]]
		total += m.Positions[t[1]].Sub(a).Cross(m.Positions[t[2]].Sub(a)).Length()
		areas[i] = total
	}
	var out []mesh.Vec
	for i, n := 0, 0; n < samples && i < len(areas); {
		if areas[i] < (float64(n)+0.5)/samples*total {
			i++
			continue
		}
		u, v := fraction(float64(float64(n)*0.7548776662466927)), fraction(float64(float64(n)*0.5698402909980532))
		if u+v > 1 {
			u, v = 1-u, 1-v
		}
		t := m.Triangles[i]
		a := m.Positions[t[0]]
		out = append(out, a.Add(m.Positions[t[1]].Sub(a).Scale(u)).Add(m.Positions[t[2]].Sub(a).Scale(v)))
		n++
	}
	return out
}

func fraction(x float64) float64 { return x - math.Floor(x) }
