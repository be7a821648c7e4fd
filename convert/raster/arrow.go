package raster

import "planfold/convert/mesh"

// Of an arrow, in parts of the picture's width.
const (
	headLength = 0.030
	halfHead   = 0.0115
	halfLine   = 0.0032
	border     = 0.0028
	halfThin   = 0.0010
	thinBorder = 0.0012
)

// In samples: of a picture less wide, arrows are drawn as of one that is so wide.
const leastWidth = 800

// In heads: what is shorter than leastArrow points nowhere and is left out; a head is
// smaller where its arrow is shorter than fullArrow.
const leastArrow, fullArrow = 0.4, 2.6

// path adds an arrow, or a thin line, with a light border around, as wide wherever it
// stands. The border lies a little deeper, so that what it is around hides it, and a thin
// line lies below an arrow. Hidden says that what goes it is.
func (l *layer) path(p Path, hidden bool) {
	s, ok := l.shaft(p)
	if !ok {
		return
	}
	s.as = moving
	if hidden {
		s.as = context
	}
	width := float64(max(l.Width, leastWidth))
	if p.Thin {
		half, edge := float64(halfThin*width), float64(thinBorder*width)
		l.shape(&s, s.outline(0, s.length, s.length, half, half), 2)
		l.shape(&s, s.outline(-edge, s.length+edge, s.length+edge, half+edge, half+edge), 3)
	} else if s.length >= leastArrow*headLength*width {
		l.arrow(&s, width)
	}
}

// arrow adds a line with a head at its end.
func (l *layer) arrow(s *shaft, width float64) {
	size := width * min(1, max(s.length/(fullArrow*headLength*width), min(0.55, s.length/(1.3*headLength*width))))
	head, edge := float64(headLength*size), float64(border*size)
	neck := s.length - head
	l.shape(s, s.outline(0, neck, s.length, halfLine*size, halfHead*size), 0)
	// A border as wide around a point so sharp reaches farther ahead of it.
	l.shape(s, s.outline(-edge, neck-edge, s.length+float64(2.8*edge), float64(halfLine*size)+edge, float64(halfHead*size)+float64(1.5*edge)), 1)
}

func (l *layer) shaft(p Path) (s shaft, ok bool) {
	a, b := l.view.seen(p.From), l.view.seen(p.To)
	if l.view.cuts(a) || l.view.cuts(b) {
		return s, false
	}
	s.from, s.to = l.view.project(a), l.view.project(b)
	s.along = mesh.Vec{s.to.x - s.from.x, s.to.y - s.from.y}
	if s.length = s.along.Length(); s.length == 0 {
		return s, false
	}
	s.along = s.along.Scale(1 / s.length)
	s.across = mesh.Vec{-s.along[1], s.along[0]}
	return s, true
}

// shaft is an arrow as the picture has it.
type shaft struct {
	from, to      point
	along, across mesh.Vec
	length        float64
	as            part // context where it is veiled
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

// shape adds an outline so many layers deep, of which every other is a border.
func (l *layer) shape(s *shaft, outline [7]point, deep int) {
	first := int32(len(l.points))
	for i := range outline {
		outline[i].near -= float64(float64(deep) * 1e-4 * max(outline[i].near, -outline[i].near))
	}
	l.points = append(l.points, outline[:]...)
	light := uint8(deep % 2 * 255)
	for _, c := range [][3]int32{{0, 1, 2}, {0, 2, 3}, {4, 5, 6}} {
		f := facet{corners: [3]int32{first + c[0], first + c[1], first + c[2]}, light: [3]uint8{light, light, light}, part: s.as}
		if rows, ok := l.covers(&f); ok {
			l.keep(&f, rows)
		}
	}
}
