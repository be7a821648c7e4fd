package raster

// creaseCosine is that of 32 degrees: facets that meet at a larger angle have a line
// between them.
const creaseCosine = 0.848

// gap is the depth of a step that has a line, in samples.
const gap = 6

// rule marks the samples on both sides of where something ends, and on one side of
// creases.
func (l *layer) rule() {
	from, to := max(l.from-1, 0), min(l.to+1, l.Width)
	for y := range l.Height {
		row := y * l.Width
		here := l.Tags[row : row+to]
		below := here
		if y+1 < l.Height {
			below = l.Tags[row+l.Width : row+l.Width+to]
		}
		for x := from; x < to; x++ {
			t := here[x]
			if x+1 < to && here[x+1] != t {
				l.between(row+x, row+x+1)
			}
			if below[x] != t {
				l.between(row+x, row+x+l.Width)
			}
		}
	}
}

// between marks what lies between two neighbouring samples of different facets.
func (l *layer) between(i, j int) {
	switch l.differ(i, j) {
	case outline:
		l.lines[i], l.lines[j] = outline, outline
	case crease:
		if l.near[i] < l.near[j] {
			i = j
		}
		l.lines[i] = max(l.lines[i], crease)
	}
}

func (l *layer) differ(i, j int) line {
	s, t := l.Tags[i], l.Tags[j]
	if s == None || t == None {
		return outline
	}
	f, g := &l.facets[s], &l.facets[t]
	switch {
	case f.number != g.number || l.view.jump(l.near[i], l.near[j], f, g):
		return outline
	case f.cosine(g) < creaseCosine:
		return crease
	}
	return noLine
}

// jump reports whether neighbouring samples are of surfaces that lie one before the
// other: by more than either slopes.
func (v *View) jump(i, j float32, f, g *facet) bool {
	a, b := v.distance(i), v.distance(j)
	far, step := max(a, b), max(a, b)-min(a, b)
	sample := 1 / v.scale
	if v.perspective {
		sample = far / v.scale
	}
	return step > gap*sample && step > float64((gap+2*max(f.slope(), g.slope()))*sample)
}

// slope is how fast a facet goes away from the eye.
func (f *facet) slope() float64 { return 127 / max(float64(-f.normal[2]), 2) }

func (f *facet) cosine(g *facet) float64 {
	sum := int32(0)
	for k, x := range f.normal {
		sum += int32(x) * int32(g.normal[k])
	}
	return float64(sum) / (127 * 127)
}
