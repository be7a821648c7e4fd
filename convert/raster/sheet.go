package raster

import (
	"image"
)

// sheet is the layers of a picture.
type sheet struct {
	// main is what is there, with the focus where it starts; focus is that alone, for
	// where the context hides it; home is where it goes; path is the arrows.
	main, focus, home, path *layer
	plates                  []plate // over all, from back to front
}

func newSheet(p *Picture) *sheet {
	width, height := p.Width*fine, p.Height*fine
	rows := min((bandRows+2)*fine, height)
	v := p.View.finer(fine)
	var s sheet
	for _, l := range s.layers() {
		*l = newLayer(v, width, rows, height)
	}
	for i := range p.Context {
		s.main.take(&p.Context[i], context)
	}
	for i := range p.Focus {
		s.main.take(&p.Focus[i], moving)
		s.focus.take(&p.Focus[i], moving)
	}
	for i := range p.Still {
		s.main.take(&p.Still[i], still)
		s.focus.take(&p.Still[i], still)
	}
	for i := range p.Home {
		s.home.take(&p.Home[i], moving)
	}
	own := map[int32][]*facet{} // of the focus, by number
	for i := range s.focus.facets {
		f := &s.focus.facets[i]
		own[f.number] = append(own[f.number], f)
	}
	for _, path := range p.Paths {
		s.path.path(path, s.hides(own[path.Number]))
	}
	for _, l := range p.Labels {
		s.addPlate(l, p.View, p.Width)
	}
	return &s
}

// hides reports whether the context hides most of a body of the focus, by what it does to
// the middles of some of its triangles.
func (s *sheet) hides(own []*facet) bool {
	const some = 16
	hidden, looks := 0, min(some, len(own))
	for i := range looks {
		if s.main.hides(s.focus.middle(own[i*len(own)/looks])) {
			hidden++
		}
	}
	return 2*hidden > looks
}

func (s *sheet) layers() [4]**layer { return [...]**layer{&s.main, &s.focus, &s.home, &s.path} }

// band draws rows of pixels. The rows above and below them are drawn too, for their lines.
func (s *sheet) band(img *image.Paletted, from, to int) {
	top := max(from-1, 0) * fine
	for _, l := range s.layers() {
		(*l).band(from/bandRows, top)
	}
	for y := from; y < to; y++ {
		out := img.Pix[y*img.Stride : (y+1)*img.Stride]
		plates := s.platesAt(float64(y))
		for x := range out {
			c, touched := blank, s.touched(x*fine)
			if !touched && len(plates) == 0 {
				out[x] = paper
				continue
			}
			if touched {
				c = s.pixel((y*fine-top)*s.main.Width + x*fine)
			}
			for _, p := range plates {
				c = p.over(c, float64(x)+0.5, float64(y)+0.5)
			}
			out[x] = c.index()
		}
	}
}

// touched reports whether a column of samples shows anything in the band.
func (s *sheet) touched(x int) bool {
	for _, l := range s.layers() {
		if (*l).touched(x) {
			return true
		}
	}
	return false
}

// pixel is the mean of its samples, the first of which is i.
func (s *sheet) pixel(i int) ink {
	var tone, tint int32
	for _, k := range [fine * fine]int{i, i + 1, i + s.main.Width, i + s.main.Width + 1} {
		c := s.sample(k)
		tone, tint = tone+c.tone, tint+c.tint
	}
	return ink{(tone + 2) / 4, (tint + 2) / 4}
}

// sample is what one sample shows. What the context hides of the focus is veiled, but whole,
// and so is the arrow of a body that is hidden; where the focus goes has only lines, so that
// the two are not taken for each other.
func (s *sheet) sample(i int) ink {
	c, as := s.main.surface(i)
	if as == context && s.focus.Tags[i] != None {
		hidden, _ := s.focus.surface(i)
		c = c.mix(hidden, [...]int32{120, 190, 240}[s.focus.lines[i]])
	}
	if l := s.home.lines[i]; s.home.Tags[i] != None && as != moving || l == outline {
		by := [...]int32{80, 125, 245}[l]
		if as == context && s.home.near[i] < s.main.near[i] {
			by = [...]int32{28, 36, 96}[l]
		}
		c = c.mix([...]ink{ghostLit, ghost, ghost}[l], by)
	}
	if s.path.Tags[i] != None {
		by := int32(255)
		if s.path.facets[s.path.Tags[i]].part == context && as != moving {
			by = 130
		}
		c = c.mix(arrow.mix(blank, int32(s.path.light[i])), by)
	}
	return c
}

// surface is what is nearest, with its lines.
func (l *layer) surface(i int) (ink, part) {
	tag, by := l.Tags[i], [...]int32{0, 150, 255}[l.lines[i]]
	if tag == None {
		return blank.mix(contextLine, by), context
	}
	light := int32(l.light[i])
	switch l.facets[tag].part {
	case moving:
		return focusDark.mix(focusLit, light).mix(focusLine, by), moving
	case still:
		return stillDark.mix(stillLit, light).mix(focusLine, by), still
	}
	return contextDark.mix(contextLit, light).mix(contextLine, by), context
}
