package raster

// layer is bodies that hide each other, and the lines on them.
type layer struct {
	*Buffer
	projection
	rows   int // of the whole picture; the buffer is a band of it
	facets []facet
	bands  [][]int32 // which facets are seen in each band
	lines  []line    // by sample
	from   int       // the first column that the band shows something in,
	to     int       // and one beyond the last; lines reach one farther
}

// facet is a triangle as it is drawn. There are many, so they are kept small.
type facet struct {
	corners [3]int32 // points of the projection
	number  int32
	columns [2]int16 // the first, and one beyond the last
	light   [3]uint8
	normal  [3]int8 // in parts of 127, towards the eye
	part    part
}

// part is what a body plays in the picture.
type part uint8

const (
	context part = iota
	still        // of the focus, but not what moves
	moving
)

type line uint8

const (
	noLine line = iota
	crease
	outline
)

func newLayer(v *View, width, height, rows int) *layer {
	l := &layer{Buffer: NewBuffer(width, height), projection: projection{view: v}, rows: rows}
	l.light = make([]uint8, len(l.Tags))
	l.lines, l.bands = make([]line, len(l.Tags)), make([][]int32, (rows-1)/(bandRows*fine)+1)
	return l
}

// take adds the facets of a body that can be seen.
func (l *layer) take(b *Body, as part) {
	l.add(Place(b.Mesh, b.Place))
	lamps := lampsFor(l.view, b.Place)
	for i, t := range b.Mesh.Triangles {
		for corners := range l.beyond(t) {
			away := l.away(corners)
			if away && l.closed {
				continue
			}
			f := facet{corners: corners, number: b.Number, part: as}
			if rows, ok := l.covers(&f); ok {
				f.normal = packed(l.normal(t), away)
				f.light = lamps.triangle(b, i, away)
				l.keep(&f, rows)
			}
		}
	}
}

// covers reports whether a facet may have a sample, and in which rows.
func (l *layer) covers(f *facet) (rows [2]int, ok bool) {
	a, b, c := &l.points[f.corners[0]], &l.points[f.corners[1]], &l.points[f.corners[2]]
	rows = [2]int{ceil(min(a.y, b.y, c.y), 0, l.rows), ceil(max(a.y, b.y, c.y), 0, l.rows)}
	f.columns = [2]int16{int16(ceil(min(a.x, b.x, c.x), 0, l.Width)), int16(ceil(max(a.x, b.x, c.x), 0, l.Width))}
	return rows, rows[0] < rows[1] && f.columns[0] < f.columns[1]
}

// keep adds a facet, to all bands that it may be seen in.
func (l *layer) keep(f *facet, rows [2]int) {
	const height = bandRows * fine
	for k := max(rows[0]-fine, 0) / height; k < len(l.bands) && k*height < rows[1]+fine; k++ {
		l.bands[k] = append(l.bands[k], int32(len(l.facets)))
	}
	l.facets = append(l.facets, *f)
}

// band draws a band, which begins at the row top.
func (l *layer) band(number, top int) {
	if l.to > 0 {
		l.clear(max(l.from-1, 0), min(l.to+1, l.Width))
		clear(l.lines)
	}
	l.top, l.from, l.to = top, l.Width, 0
	for _, i := range l.bands[number] {
		f := &l.facets[i]
		l.from, l.to = min(l.from, int(f.columns[0])), max(l.to, int(f.columns[1]))
		var corners [3]point
		for k, c := range f.corners {
			corners[k] = l.points[c]
			corners[k].light = float64(f.light[k])
		}
		l.fill(&corners[0], &corners[1], &corners[2], i)
	}
	if l.to > 0 {
		l.rule()
	}
}

// middle of a facet.
func (l *layer) middle(f *facet) (m point) {
	for _, i := range f.corners {
		c := &l.points[i]
		m.x, m.y, m.near = m.x+c.x/3, m.y+c.y/3, m.near+c.near/3
	}
	return m
}

// hides reports whether context lies before a place.
func (l *layer) hides(at point) bool {
	const height = bandRows * fine
	band := int(at.y) / height
	if at.y < 0 || band >= len(l.bands) {
		return false
	}
	for _, i := range l.bands[band] {
		f := &l.facets[i]
		if f.part != context {
			break // it was taken first
		}
		if at.x < float64(f.columns[0])-1 || at.x > float64(f.columns[1]) {
			continue
		}
		a, b, c := &l.points[f.corners[0]], &l.points[f.corners[1]], &l.points[f.corners[2]]
		u, v, w := at.turn(b, c), at.turn(c, a), at.turn(a, b)
		if min(u, v, w) < 0 && max(u, v, w) > 0 {
			continue
		}
		near := float64(u*a.near) + float64(v*b.near) + float64(w*c.near)
		if sum := u + v + w; sum > 0 && near > float64(at.near*sum) || sum < 0 && near < float64(at.near*sum) {
			return true
		}
	}
	return false
}

// turn is twice the area of the triangle that a point makes with two others.
func (p *point) turn(a, b *point) float64 {
	return float64((a.x-p.x)*(b.y-p.y)) - float64((b.x-p.x)*(a.y-p.y))
}

// touched reports whether the pixel that begins with a column shows anything.
func (l *layer) touched(x int) bool { return x >= l.from-fine && x <= l.to }
