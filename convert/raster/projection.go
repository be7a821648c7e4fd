package raster

import (
	"iter"
	"slices"

	"planfold/convert/mesh"
)

// projection is the corners of meshes, as a view has them.
type projection struct {
	view   *View
	points []point    // of all meshes
	seen   []mesh.Vec // of the last mesh
	first  int32      // its first point
	cut    bool       // some of it is too near
}

// place takes the corners of one more mesh.
func (p *projection) place(positions []mesh.Vec, place mesh.Mat) {
	p.first, p.cut, p.seen = int32(len(p.points)), false, p.seen[:0]
	p.points = slices.Grow(p.points, len(positions))
	for _, at := range positions {
		s := p.view.seen(place.Point(at))
		p.seen = append(p.seen, s)
		p.cut = p.cut || p.view.cuts(s)
		p.points = append(p.points, p.view.project(s))
	}
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
