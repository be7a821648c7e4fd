package demo

import (
	"math"

	"planfold/cmd/planfold/demo/solid"
)

// Sizes of hexagon bolts ISO 4014 and ISO 4017, hexagon nuts ISO 4032 and plain
// washers ISO 7089, nominal values in mm; clearance holes are ISO 273 medium.

type fastener struct {
	size             string
	diameter, pitch  float64
	head, flats      float64 // k and s of the bolt
	thread           float64 // b of ISO 4014 up to 125 mm; 0 where not used
	nut              float64 // m of ISO 4032; 0 where not used
	hole, rim, sheet float64 // d1, d2 and h of the washer
}

var (
	m6  = fastener{"M6", 6, 1, 4, 10, 0, 0, 6.4, 12, 1.6}
	m8  = fastener{"M8", 8, 1.25, 5.3, 13, 0, 0, 8.4, 16, 1.6}
	m10 = fastener{"M10", 10, 1.5, 6.4, 16, 26, 8.4, 10.5, 20, 2}
	m12 = fastener{"M12", 12, 1.75, 7.5, 18, 30, 10.8, 13, 24, 2.5}
)

const (
	boltSides = 36
	hexSides  = 8 // points on each side of a hexagon
)

// bolt hangs down from the seat of its head at z = 0. Its thread has the given
// length; one as long as the bolt is threaded to the head (ISO 4017).
func (f fastener) bolt(length, thread float64) *solid.Solid {
	tip := 0.6 * f.pitch
	sections := shank(f.diameter, f.pitch, length, tip, 1-2*tip/f.diameter, min(-length+thread, -f.pitch))
	return solid.Sweep(append(sections, hexagon(f.flats, 0, f.head)...)...)
}

// shank is sections of a threaded shank that hangs down from z = 0. Its tip is tapered
// to a share of the diameter; the thread reaches from there up to z = top.
func shank(diameter, pitch, length, tip, taper, top float64) []solid.Section {
	c := solid.Circle(solid.Point{}, diameter/2, boltSides)
	s := []solid.Section{{Z: -length, Loops: []solid.Loop{c.Scaled(taper)}}}
	s = append(s, solid.Thread(-length+tip, top, diameter, pitch, boltSides)...)
	return append(s, solid.Section{Z: 0, Loops: []solid.Loop{c}})
}

// hexagon is sections of a hexagonal prism on a washer face, chamfered on top.
func hexagon(flats, low, high float64) []solid.Section {
	const washerFace = 0.3
	hex := solid.Hexagon(flats, hexSides)
	ring := around(hex, 0.475*flats)
	rise := make([]float64, len(hex))
	for i, p := range hex {
		rise[i] = -(math.Sqrt(float64(p[0]*p[0])+float64(p[1]*p[1])) - 0.475*flats) * math.Tan(math.Pi/6)
	}
	return []solid.Section{
		{Z: low, Loops: []solid.Loop{ring}},
		{Z: low + washerFace, Loops: []solid.Loop{ring}},
		{Z: low + washerFace, Loops: []solid.Loop{hex}},
		{Z: high, Loops: []solid.Loop{hex}, Rise: rise},
		{Z: high, Loops: []solid.Loop{ring}},
	}
}

// around is a circle with its points in the directions of l's.
func around(l solid.Loop, r float64) solid.Loop {
	out := make(solid.Loop, len(l))
	for i, p := range l {
		d := math.Sqrt(float64(p[0]*p[0]) + float64(p[1]*p[1]))
		out[i] = solid.Point{p[0] * r / d, p[1] * r / d}
	}
	return out
}

// hexNut stands on its seat at z = 0.
func (f fastener) hexNut() *solid.Solid {
	bore := solid.Circle(solid.Point{}, f.diameter/2+0.02, boltSides).Reversed()
	sections := hexagon(f.flats, 0, f.nut)
	for i := range sections {
		sections[i].Loops = append(sections[i].Loops, bore)
	}
	return solid.Sweep(sections...)
}

// washer lies on z = 0.
func (f fastener) washer() *solid.Solid {
	loops := []solid.Loop{
		solid.Circle(solid.Point{}, f.rim/2, 48), solid.Circle(solid.Point{}, f.hole/2, 48).Reversed(),
	}
	return solid.Sweep(solid.Section{Z: 0, Loops: loops}, solid.Section{Z: f.sheet, Loops: loops})
}

// dowel is a parallel pin, ISO 8734, its middle at z = 0.
func dowel(diameter, length float64) *solid.Solid {
	var t turning
	t.step(-length/2, length/2, diameter/2, 0.6, 0.6)
	return t.solid()
}
