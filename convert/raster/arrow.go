package raster

import "planfold/convert/mesh"

// Of an arrow, in samples.
const (
	headLength = 22
	halfHead   = 8
	halfLine   = 2
)

// arrow adds a thin line with a head at its end, as wide wherever it stands.
func (l *layer) arrow(path [2]mesh.Vec) {
	a, b := l.view.seen(path[0]), l.view.seen(path[1])
	if l.view.cuts(a) || l.view.cuts(b) {
		return
	}
	p, q := l.view.project(a), l.view.project(b)
	along := mesh.Vec{q.x - p.x, q.y - p.y}
	length := along.Length()
	if length < 1.5*headLength {
		return
	}
	along = along.Scale(1 / length)
	across := mesh.Vec{-along[1], along[0]}
	at := func(ahead, aside float64) point {
		k := ahead / length
		return point{
			x:    p.x + float64(along[0]*ahead) + float64(across[0]*aside),
			y:    p.y + float64(along[1]*ahead) + float64(across[1]*aside),
			near: p.near + float64((q.near-p.near)*k),
		}
	}
	neck := length - headLength
	first := int32(len(l.points))
	l.points = append(
		l.points,
		at(0, -halfLine), at(0, halfLine), at(neck, halfLine), at(neck, -halfLine),
		at(neck, -halfHead), at(neck, halfHead), at(length, 0),
	)
	for _, c := range [][3]int32{{0, 1, 2}, {0, 2, 3}, {4, 5, 6}} {
		f := facet{corners: [3]int32{first + c[0], first + c[1], first + c[2]}}
		if rows, ok := l.covers(&f); ok {
			l.keep(&f, rows)
		}
	}
}
