// Package drawing makes the demo's attachments: line drawings as PNG and data
// sheets as PDF. It knows nothing of the reducer.
package drawing

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Point is a place on the sheet, in the drawing's unit, y up.
type Point [2]float64

// Ink is a colour of the sheet.
type Ink [3]uint8

// RGBA makes Ink a color.Color.
func (i Ink) RGBA() (r, g, b, a uint32) {
	return color.RGBA{R: i[0], G: i[1], B: i[2], A: 0xff}.RGBA()
}

// The inks that drawings use.
var (
	Black = Ink{0x1c, 0x24, 0x2b}
	Grey  = Ink{0x8a, 0x93, 0x9b}
	Pale  = Ink{0xdf, 0xe5, 0xe9}
	Blue  = Ink{0x1d, 0x5f, 0x8a}
	Red   = Ink{0xb3, 0x2d, 0x1e}
	White = Ink{0xff, 0xff, 0xff}
	Metal = Ink{0xc9, 0xd8, 0xe3}
	Steel = Ink{0xb9, 0xc4, 0xcc}
	Brass = Ink{0xe8, 0xdd, 0xc4}
)

// Sheet is a drawing in the making.
type Sheet struct {
	picture *image.RGBA
	origin  Point   // of the drawing, in pixels from the upper left
	scale   float64 // pixels a unit
	font    *opentype.Font
}

// New is an empty white sheet of the given pixels, whose middle shows the point
// middle of the drawing.
func New(width, height int, middle Point, scale float64) *Sheet {
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		panic("drawing: internal error: " + err.Error())
	}
	s := &Sheet{picture: image.NewRGBA(image.Rect(0, 0, width, height)), scale: scale, font: f}
	s.origin = Point{float64(width)/2 - middle[0]*scale, float64(height)/2 + middle[1]*scale}
	draw.Draw(s.picture, s.picture.Bounds(), image.White, image.Point{}, draw.Src)
	return s
}

func (s *Sheet) pixel(p Point) (x, y float32) {
	return float32(s.origin[0] + float64(p[0]*s.scale)), float32(s.origin[1] - float64(p[1]*s.scale))
}

// Fill paints the inside of a closed line.
func (s *Sheet) Fill(ink Ink, line ...Point) { s.paint(ink, line) }

// paint fills closed lines, touching no more of the picture than they cover.
func (s *Sheet) paint(ink Ink, lines ...[]Point) {
	box := image.Rectangle{}
	for _, l := range lines {
		for _, p := range l {
			x, y := s.pixel(p)
			at := image.Pt(int(math.Floor(float64(x))), int(math.Floor(float64(y))))
			box = box.Union(image.Rectangle{Min: at, Max: at.Add(image.Pt(2, 2))})
		}
	}
	box = box.Intersect(s.picture.Bounds())
	if box.Empty() {
		return
	}
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	for _, l := range lines {
		for i, p := range l {
			x, y := s.pixel(p)
			x, y = x-float32(box.Min.X), y-float32(box.Min.Y)
			if i == 0 {
				r.MoveTo(x, y)
			} else {
				r.LineTo(x, y)
			}
		}
		r.ClosePath()
	}
	r.Draw(s.picture, box, image.NewUniform(ink), image.Point{})
}

// Line strokes an open line; width is in pixels.
func (s *Sheet) Line(ink Ink, width float64, line ...Point) {
	half := width / 2 / s.scale
	var strokes [][]Point
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		dx, dy := b[0]-a[0], b[1]-a[1]
		l := math.Sqrt(float64(dx*dx) + float64(dy*dy))
		if l == 0 {
			continue
		}
		// Ends reach out by half the width, so that corners close.
		ux, uy := dx/l*half, dy/l*half
		strokes = append(strokes, []Point{
			{a[0] - ux - uy, a[1] - uy + ux},
			{a[0] - ux + uy, a[1] - uy - ux},
			{b[0] + ux + uy, b[1] + uy - ux},
			{b[0] + ux - uy, b[1] + uy + ux},
		})
	}
	s.paint(ink, strokes...)
}

// Outline strokes a closed line.
func (s *Sheet) Outline(ink Ink, width float64, line ...Point) {
	s.Line(ink, width, append(append([]Point{}, line...), line[0])...)
}

// Dashed strokes a line in dashes of the given length, in the drawing's unit.
func (s *Sheet) Dashed(ink Ink, width, dash float64, line ...Point) {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		l := math.Sqrt(float64((b[0]-a[0])*(b[0]-a[0])) + float64((b[1]-a[1])*(b[1]-a[1])))
		for t := 0.0; t < l; t += 2 * dash {
			at := func(t float64) Point { return Point{a[0] + (b[0]-a[0])*t/l, a[1] + (b[1]-a[1])*t/l} }
			s.Line(ink, width, at(t), at(min(l, t+dash)))
		}
	}
}

// Circle is the closed line of a circle.
func Circle(c Point, r float64) []Point {
	const n = 96
	out := make([]Point, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		out[i] = Point{c[0] + r*cos, c[1] + r*sin}
	}
	return out
}

// Rectangle is the closed line from corner to corner.
func Rectangle(a, b Point) []Point {
	return []Point{a, {b[0], a[1]}, b, {a[0], b[1]}}
}

// Text writes a line with its middle at p; size is in pixels. Align is -1 to
// start at p, 0 to centre on it, 1 to end at it.
func (s *Sheet) Text(ink Ink, size float64, align int, p Point, text string) {
	face, err := opentype.NewFace(s.font, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("drawing: internal error: " + err.Error())
	}
	x, y := s.pixel(p)
	d := font.Drawer{Dst: s.picture, Src: image.NewUniform(ink), Face: face}
	width := float64(d.MeasureString(text)) / 64
	left := float64(x) - width*float64(align+1)/2
	d.Dot = fixed.Point26_6{X: fixed.Int26_6(left * 64), Y: fixed.Int26_6((float64(y) + 0.36*size) * 64)}
	d.DrawString(text)
}

// Arrow strokes a line with a head at its end.
func (s *Sheet) Arrow(ink Ink, width float64, a, b Point) {
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	head := (6 + 3*width) / s.scale
	ux, uy := dx/l*head, dy/l*head
	s.Line(ink, width, a, Point{b[0] - ux*0.8, b[1] - uy*0.8})
	s.Fill(ink, b, Point{b[0] - ux + 0.35*uy, b[1] - uy - 0.35*ux}, Point{b[0] - ux - 0.35*uy, b[1] - uy + 0.35*ux})
}

// Dimension draws a dimension line between a and b, moved by the offset, with its
// text over it.
func (s *Sheet) Dimension(a, b, offset Point, text string) {
	c, d := Point{a[0] + offset[0], a[1] + offset[1]}, Point{b[0] + offset[0], b[1] + offset[1]}
	s.Line(Blue, 1, a, c)
	s.Line(Blue, 1, b, d)
	mid := Point{(c[0] + d[0]) / 2, (c[1] + d[1]) / 2}
	s.Arrow(Blue, 1, mid, c)
	s.Arrow(Blue, 1, mid, d)
	w := float64(len(text)) * 9 / s.scale
	s.Fill(White, Rectangle(Point{mid[0] - w/2, mid[1] - 10/s.scale}, Point{mid[0] + w/2, mid[1] + 10/s.scale})...)
	s.Text(Blue, 16, 0, mid, text)
}

// Title writes the sheet's heading, in pixels from the upper left corner.
func (s *Sheet) Title(lines ...string) {
	for i, l := range lines {
		p := Point{(30 - s.origin[0]) / s.scale, (s.origin[1] - 34 - 30*float64(i)) / s.scale}
		s.Text([]Ink{Black, Grey}[min(i, 1)], []float64{24, 18}[min(i, 1)], -1, p, l)
	}
}

// PNG is the sheet as a file.
func (s *Sheet) PNG() ([]byte, error) {
	var b bytes.Buffer
	if err := png.Encode(&b, s.picture); err != nil {
		return nil, fmt.Errorf("encode a drawing: %w", err)
	}
	return b.Bytes(), nil
}
