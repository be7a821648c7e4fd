package raster

import "planfold/convert/mesh"

// Of an arrow, in parts of the picture's width.
const (
	headLength = 0.022
	halfHead   = 0.0085
	halfLine   = 0.0025
	border     = 0.0022
)

// In samples: of a picture less wide, arrows are drawn as of one that is so wide.
const leastWidth = 800

// In heads: what is shorter than leastArrow points nowhere and is left out; a head is
// smaller where its arrow is shorter than fullArrow.
const leastArrow, fullArrow = 0.4, 2.6

// arrow adds a line with a head at its end and a light border around, as wide wherever
// it stands. The border lies a little deeper, so that the arrow hides it.
func (l *layer) arrow(path [2]mesh.Vec) {
	a, b := l.view.seen(path[0]), l.view.seen(path[1])
	if l.view.cuts(a) || l.view.cuts(b) {
		return
	}
	p, q := l.view.project(a), l.view.project(b)
	along := mesh.Vec{q.x - p.x, q.y - p.y}
	length, width := along.Length(), float64(max(l.Width, leastWidth))
	if length < leastArrow*headLength*width {
		return
	}
	along = along.Scale(1 / length)
	s := shaft{p, q, along, mesh.Vec{-along[1], along[0]}, length}
	size := width * min(1, max(length/(fullArrow*headLength*width), min(0.55, length/(1.3*headLength*width))))
	head, edge := float64(headLength*size), float64(border*size)
	neck := length - head
	l.shape(s.outline(0, neck, length, halfLine*size, halfHead*size))
	// A border as wide around a point so sharp reaches farther ahead of it.
	outer := s.outline(-edge, neck-edge, length+float64(2.8*edge), float64(halfLine*size)+edge, float64(halfHead*size)+float64(1.5*edge))
	for i := range outer {
		outer[i].near -= float64(1e-4 * max(outer[i].near, -outer[i].near))
		outer[i].light = 255
	}
	l.shape(outer)
}

// shaft is an arrow as the picture has it.
type shaft struct {
	from, to      point
	along, across mesh.Vec
	length        float64
}

// outline is the corners of the line, from its begin to its end at the neck, and those of
// the head.
func (s *shaft) outline(begin, neck, end, halfLine, halfHead float64) [7]point {
	at := func(ahead, aside float64) point {
		k := ahead / s.length
		return point{
			x:    s.from.x + float64(s.along[0]*ahead) + float64(s.across[0]*aside),
			y:    s.from.y + float64(s.along[1]*ahead) + float64(s.across[1]*aside),
			near: s.from.near + float64((s.to.near-s.from.near)*k),
		}
	}
	return [7]point{
		at(begin, -halfLine), at(begin, halfLine), at(neck, halfLine), at(neck, -halfLine),
		at(neck, -halfHead), at(neck, halfHead), at(end, 0),
	}
}

// shape adds an outline, whose corners have one light.
func (l *layer) shape(outline [7]point) {
	first := int32(len(l.points))
	l.points = append(l.points, outline[:]...)
	light := uint8(outline[0].light)
	for _, c := range [][3]int32{{0, 1, 2}, {0, 2, 3}, {4, 5, 6}} {
		f := facet{corners: [3]int32{first + c[0], first + c[1], first + c[2]}, light: [3]uint8{light, light, light}}
		if rows, ok := l.covers(&f); ok {
			l.keep(&f, rows)
		}
	}
}
