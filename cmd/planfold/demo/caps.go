package demo

import (
	"math"

	"planfold/cmd/planfold/demo/solid"
)

// Caps sit on z = 0, their spigot below reaches the bearing.

func (l line) spigot() float64 { return face + l.sheet - l.bearingFace }

func (l line) closedCap() *solid.Solid {
	rs, ri := l.bore-0.05, l.bore-4.5
	return l.drilled(solid.Loop{
		{0, 0},
		{ri, 0},
		{ri, -l.spigot()},
		{rs, -l.spigot()},
		{rs, 0},
		{l.flange, 0},
		{l.flange, l.thickness - 1},
		{l.flange - 1, l.thickness},
		{rs - 4, l.thickness},
		{rs - 6, l.thickness - 2},
		{0, l.thickness - 2},
	})
}

// openCap lets the shaft through and takes a radial seal from outside. An O-ring
// groove runs round the spigot if groove is given: its floor's radius.
func (l line) openCap(shaft, seal, width, groove float64) *solid.Solid {
	rs, ri := l.bore-0.05, l.bore-4.5
	floor := l.thickness - width - 0.5
	profile := solid.Loop{{ri, -l.spigot()}, {rs, -l.spigot()}}
	if groove > 0 {
		profile = append(profile, solid.Point{rs, -9}, solid.Point{groove, -9}, solid.Point{groove, -5}, solid.Point{rs, -5})
	}
	profile = append(profile,
		solid.Point{rs, 0}, solid.Point{l.flange, 0}, solid.Point{l.flange, l.thickness - 1}, solid.Point{l.flange - 1, l.thickness},
		solid.Point{seal + 0.8, l.thickness}, solid.Point{seal, l.thickness - 0.8},
		solid.Point{seal, floor}, solid.Point{shaft + 1.5, floor}, solid.Point{shaft + 1.5, -2}, solid.Point{ri, -2})
	return l.drilled(profile)
}

func (l line) drilled(profile solid.Loop) *solid.Solid {
	s := solid.Revolve(profile, 128)
	s.Pierce(lookingUp(l.thickness), l.thickness, l.boltHoles()...)
	return s
}

func (l line) boltHoles() []solid.Loop {
	hole := 3.3
	if l.tapped == 8 {
		hole = 4.5
	}
	var out []solid.Loop
	for _, b := range l.capBolts() {
		out = append(out, solid.Circle(b, hole, 48))
	}
	return out
}

// sheetRing is the shim or gasket under a cap's flange.
func (l line) sheetRing() *solid.Solid {
	r := solid.Region{}.Add(solid.Circle(solid.Point{}, l.flange-0.5, 128)).Cut(solid.Circle(solid.Point{}, l.bore+0.3, 128))
	return solid.Stack(solid.Layer{Low: 0, High: l.sheet, Region: r.Cut(l.boltHoles()...)})
}

// seal is a radial shaft seal, ISO 6194-1, lying on z = 0 with its open side down.
func seal(shaft, outside, width float64) *solid.Solid {
	return solid.Revolve(sealProfile(shaft, outside, width), shaftSides)
}

func sealProfile(shaft, outside, width float64) solid.Loop {
	return solid.Loop{
		{outside - 1.4, 0},
		{outside - 0.5, 0},
		{outside, 0.5},
		{outside, width - 0.6},
		{outside - 0.6, width},
		{shaft + 1.4, width},
		{shaft + 0.05, width - 0.8},
		{shaft + 0.7, width - 1.6},
		{shaft + 0.02, width * 0.45},
		{shaft + 1.6, width * 0.25},
		{shaft + 2.6, width * 0.3},
		{shaft + 2.2, width - 2},
		{outside - 1.4, width - 2},
	}
}

// ring is an O-ring about z at height 0.
func ring(radius, section float64) *solid.Solid {
	const n = 24
	l := make(solid.Loop, n)
	for i := range l {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		l[i] = solid.Point{radius + section/2*cos, section / 2 * sin}
	}
	return solid.Revolve(l, shaftSides)
}
