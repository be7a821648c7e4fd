package raster

import (
	"iter"
	"slices"

	"planfold/convert/mesh"
)

// Placed is a mesh in its place, ready to be looked at from many sides.
type Placed struct {
	positions []mesh.Vec
	triangles [][3]int32
	back      float64 // the sign that the area of a triangle has whose back is seen
	closed    bool
}

// Place puts a mesh in its place.
func Place(m *mesh.Mesh, place mesh.Mat) *Placed {
	p := &Placed{make([]mesh.Vec, len(m.Positions)), m.Triangles, 1, closed(m)}
	for i, at := range m.Positions {
		p.positions[i] = place.Point(at)
	}
	if place.Determinant() < 0 {
		p.back = -1
	}
	return p
}

// projection is the corners of meshes, as a view has them.
type projection struct {
	view   *View
	points []point    // of all meshes
	seen   []mesh.Vec // of the last mesh
	first  int32      // its first point
	cut    bool       // some of it is too near
	back   float64
	closed bool // no back is seen of it
}

// add takes the corners of one more mesh.
func (p *projection) add(m *Placed) {
	p.first, p.cut, p.seen = int32(len(p.points)), false, p.seen[:0]
	p.points = slices.Grow(p.points, len(m.positions))
	for _, at := range m.positions {
		s := p.view.seen(at)
		p.seen = append(p.seen, s)
		p.cut = p.cut || p.view.cuts(s)
		p.points = append(p.points, p.view.project(s))
	}
	p.back, p.closed = m.back, m.closed && !p.cut
}

// away reports whether the back of a triangle is seen.
func (p *projection) away(corners [3]int32) bool {
	a, b, c := &p.points[corners[0]], &p.points[corners[1]], &p.points[corners[2]]
	area := float64((b.x-a.x)*(c.y-a.y)) - float64((c.x-a.x)*(b.y-a.y))
	return float64(area*p.back) > 0
}

// normal of a triangle of the last mesh, as seen gives it.
func (p *projection) normal(t [3]int32) mesh.Vec {
	at := p.seen[t[0]]
	// Right, up, away is left-handed, so the product is turned.
	return p.seen[t[2]].Sub(at).Cross(p.seen[t[1]].Sub(at)).Scale(p.back).Unit()
}

// closed reports whether each edge has as many triangles on one side as on the other. The
// edges are summed up by their hashes, those of either direction with opposite signs.
func closed(m *mesh.Mesh) bool {
	sum := uint64(0)
	for _, t := range m.Triangles {
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			h := (uint64(uint32(min(a, b)))<<32 | uint64(uint32(max(a, b)))) * 0x9e3779b97f4a7c15
			h = (h ^ h>>29) * 0xbf58476d1ce4e5b9
			if h ^= h >> 32; a < b {
				sum += h
			} else {
				sum -= h
			}
		}
	}
	return sum == 0
}

// beyond gives, as points, what of a triangle lies beyond the nearest distance.
func (p *projection) beyond(t [3]int32) iter.Seq[[3]int32] {
	return func(yield func([3]int32) bool) {
		if !p.cut {
			yield([3]int32{p.first + t[0], p.first + t[1], p.first + t[2]})
			return
		}
		var left []int32
		for k := range 3 {
			a, b := p.seen[t[k]], p.seen[t[(k+1)%3]]
			if !p.view.cuts(a) {
				left = append(left, p.first+t[k])
			}
			if p.view.cuts(a) != p.view.cuts(b) {
				by := (p.view.nearest - a[2]) / (b[2] - a[2])
				left = append(left, int32(len(p.points)))
				p.points = append(p.points, p.view.project(a.Add(b.Sub(a).Scale(by))))
			}
		}
		for k := 2; k < len(left); k++ {
			if !yield([3]int32{left[0], left[k-1], left[k]}) {
				return
			}
		}
	}
}
