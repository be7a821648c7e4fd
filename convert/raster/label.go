package raster

import (
	"cmp"
	"math"
	"slices"

	"planfold/convert/mesh"
)

// Label is a number written over all beyond a place, on the side of another one: digits,
// and spaces between several.
type Label struct {
	At, Beyond mesh.Vec
	Text       string
}

// Of a label, in parts of the picture's width.
const (
	halfLabel   = 0.0165
	labelBorder = 0.0025
	halfStroke  = 0.0019
	digitHigh   = 0.0185
	digitWide   = 0.0098
	digitApart  = 0.0150 // from one to the next
)

// glyphs are the strokes of digits, in quarters of their height and halves of their width.
var glyphs = [10][][2]float64{
	{{0.5, 0}, {1.5, 0}, {2, 0.7}, {2, 3.3}, {1.5, 4}, {0.5, 4}, {0, 3.3}, {0, 0.7}, {0.5, 0}},
	{{0.2, 0.9}, {1.2, 0}, {1.2, 4}},
	{{0, 0.8}, {0.5, 0}, {1.5, 0}, {2, 0.6}, {2, 1.4}, {0, 4}, {2, 4}},
	{{0, 0}, {1.9, 0}, {0.9, 1.6}, {1.5, 1.7}, {2, 2.3}, {2, 3.3}, {1.5, 4}, {0.5, 4}, {0, 3.4}},
	{{1.5, 4}, {1.5, 0}, {0, 2.8}, {2.2, 2.8}},
	{{1.9, 0}, {0.2, 0}, {0, 1.8}, {1.3, 1.6}, {2, 2.3}, {2, 3.2}, {1.4, 4}, {0.5, 4}, {0, 3.5}},
	{{1.6, 0}, {0.6, 0.8}, {0, 2.3}, {0, 3.3}, {0.6, 4}, {1.4, 4}, {2, 3.3}, {2, 2.4}, {1.4, 1.8}, {0.6, 1.8}, {0, 2.4}},
	{{0, 0}, {2, 0}, {0.8, 4}},
	{{0.6, 1.8}, {0.1, 1.3}, {0.1, 0.6}, {0.6, 0}, {1.4, 0}, {1.9, 0.6}, {1.9, 1.3}, {1.4, 1.8}, {0.6, 1.8}, {0, 2.4}, {0, 3.4}, {0.6, 4}, {1.4, 4}, {2, 3.4}, {2, 2.4}, {1.4, 1.8}},
	{{0.4, 4}, {1.4, 3.2}, {2, 1.7}, {2, 0.7}, {1.4, 0}, {0.6, 0}, {0, 0.7}, {0, 1.6}, {0.6, 2.2}, {1.4, 2.2}, {2, 1.6}},
}

// plate is a label as the picture has it, in pixels: a round plate, longer where there are
// several digits.
type plate struct {
	x, y, long float64 // of its middle; half the length of what is straight
	unit       float64 // the picture's width
	strokes    [][2]mesh.Vec
}

// addPlate adds a label, unless its place is not seen, where it covers no other one.
func (s *sheet) addPlate(l Label, v *View, width int) {
	p := plate{unit: float64(max(width, leastWidth/fine))}
	p.long = float64(float64(len(l.Text)-1) * digitApart * p.unit / 2)
	x, y, seen := v.Spot(l.At)
	u, w, too := v.Spot(l.Beyond)
	if !seen || !too {
		return
	}
	at := mesh.Vec{x, y}.Add(mesh.Vec{u - x, w - y}.Unit().Scale(float64(halfLabel * p.unit)))
	p.x, p.y = at[0], at[1]
	for _, by := range aside {
		if !slices.ContainsFunc(s.plates, p.meets) {
			break
		}
		p.x, p.y = at[0]+float64(float64(by[0]*halfLabel)*p.unit), at[1]+float64(float64(by[1]*halfLabel)*p.unit)
	}
	p.write(l.Text)
	s.plates = append(s.plates, p)
}

// aside are places around one, those nearer first.
var aside = func() (out [][2]float64) {
	const most = 8
	for y := -most; y <= most; y++ {
		for x := -most; x <= most; x++ {
			out = append(out, [2]float64{float64(x), float64(y)})
		}
	}
	far := func(p [2]float64) float64 { return float64(p[0]*p[0]) + float64(p[1]*p[1]) }
	slices.SortStableFunc(out, func(a, b [2]float64) int { return cmp.Compare(far(a), far(b)) })
	return out
}()

// meets reports whether two plates are in each other's way.
func (p *plate) meets(o plate) bool {
	room := float64((2*halfLabel + labelBorder) * p.unit)
	across := max(0, max(p.x-o.x, o.x-p.x)-p.long-o.long)
	return float64(across*across)+float64((p.y-o.y)*(p.y-o.y)) < float64(room*room)
}

func (p *plate) write(text string) {
	for i, r := range []byte(text) {
		if r < '0' || r > '9' {
			continue
		}
		left := p.x - p.long + float64((float64(float64(i)*digitApart)-digitWide/2)*p.unit)
		top := p.y - float64(digitHigh/2*p.unit)
		at := func(q [2]float64) mesh.Vec {
			return mesh.Vec{left + float64(q[0]*digitWide/2*p.unit), top + float64(q[1]*digitHigh/4*p.unit)}
		}
		for k, q := range glyphs[r-'0'][1:] {
			p.strokes = append(p.strokes, [2]mesh.Vec{at(glyphs[r-'0'][k]), at(q)})
		}
	}
}

// platesAt are those that a row of pixels may show.
func (s *sheet) platesAt(y float64) (out []*plate) {
	for i := range s.plates {
		if p := &s.plates[i]; math.Abs(y-p.y) <= float64((halfLabel+labelBorder)*p.unit)+2 {
			out = append(out, p)
		}
	}
	return out
}

// over is a pixel with the plate over it, if it is there.
func (p *plate) over(c ink, x, y float64) ink {
	at := mesh.Vec{x, y}
	off := fromStroke(at, mesh.Vec{p.x - p.long, p.y}, mesh.Vec{p.x + p.long, p.y}) - float64(halfLabel*p.unit)
	c = c.mix(blank, covered(off-float64(labelBorder*p.unit)))
	by := covered(off)
	if by == 0 {
		return c
	}
	c = c.mix(plateInk, by)
	near := math.Inf(1)
	for _, s := range p.strokes {
		near = min(near, fromStroke(at, s[0], s[1]))
	}
	return c.mix(blank, covered(near-float64(halfStroke*p.unit)))
}

// covered is how much of a pixel, of 255, something covers whose edge is so far off its
// middle.
func covered(off float64) int32 { return int32(255 * max(0, min(1, 0.5-off))) }

// fromStroke is how far a place is from the line between two others.
func fromStroke(at, a, b mesh.Vec) float64 {
	along, to := b.Sub(a), at.Sub(a)
	share := 0.0
	if l := along.Dot(along); l > 0 {
		share = max(0, min(1, to.Dot(along)/l))
	}
	return to.Sub(along.Scale(share)).Length()
}
