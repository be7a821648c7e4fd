package raster

import (
	"image"
)

// sheet is the layers of a picture.
type sheet struct {
	// main is what is there, with the focus where it starts; focus is that alone, for
	// where the context hides it; home is where it goes; path is the arrows between.
	main, focus, home, path *layer
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
		s.main.take(&p.Context[i], false)
	}
	for i := range p.Focus {
		s.main.take(&p.Focus[i], true)
		s.focus.take(&p.Focus[i], true)
	}
	for i := range p.Home {
		s.home.take(&p.Home[i], true)
	}
	for _, path := range p.Paths {
		s.path.arrow(path)
	}
	return &s
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
		for x := range out {
			out[x] = paper
			if i := (y*fine-top)*s.main.Width + x*fine; s.touched(x * fine) {
				out[x] = s.pixel(i)
			}
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
func (s *sheet) pixel(i int) uint8 {
	var tone, tint int32
	for _, k := range [fine * fine]int{i, i + 1, i + s.main.Width, i + s.main.Width + 1} {
		c := s.sample(k)
		tone, tint = tone+c.tone, tint+c.tint
	}
	return ink{(tone + 2) / 4, (tint + 2) / 4}.index()
}

// sample is what one sample shows.
func (s *sheet) sample(i int) ink {
	c, inFocus := s.surface(i)
	if !inFocus && s.focus.Tags[i] != None {
		c = c.mix(ghost, [...]int32{70, 130, 200}[s.focus.lines[i]])
	}
	if l := s.home.lines[i]; s.home.Tags[i] != None && !inFocus || l == outline {
		c = c.mix(ghost, [...]int32{40, 100, 230}[l])
	}
	if s.path.Tags[i] != None {
		by := int32(255)
		if s.main.near[i] > s.path.near[i] {
			by = 110
		}
		c = c.mix(focusDark, by)
	}
	return c
}

// surface is what is nearest, with its lines.
func (s *sheet) surface(i int) (c ink, inFocus bool) {
	tag, l := s.main.Tags[i], s.main.lines[i]
	if tag == None {
		return blank.mix(contextLine, [...]int32{0, 150, 255}[l]), false
	}
	light := int32(s.main.light[i])
	if s.main.facets[tag].focus {
		return focusDark.mix(focusLit, light).mix(focusLine, [...]int32{0, 150, 255}[l]), true
	}
	return contextDark.mix(contextLit, light).mix(contextLine, [...]int32{0, 150, 255}[l]), false
}
