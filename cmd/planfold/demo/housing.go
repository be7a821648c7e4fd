package demo

import (
	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"
)

// The halves are stacked along the shafts from sections across them; their bolt
// holes, bosses and openings go into flat faces afterwards.

const far = 500.0

// half is what both halves' sections are made of; up is 1 for the upper half.
type half struct{ up float64 }

// strip is a rectangle from the parting plane to height z on the half's side.
func (h half) strip(x0, x1, z float64) solid.Loop {
	if h.up < 0 {
		return solid.Rectangle(x0, -z, x1, 0)
	}
	return solid.Rectangle(x0, 0, x1, z)
}

// end cuts the bores and what lies beyond the parting plane out of a section.
func (h half) end(r solid.Region, bores bool) solid.Region {
	if bores {
		for _, l := range shaftLines {
			r = r.Cut(solid.Circle(solid.Point{l.x, 0}, l.bore, 128))
		}
	}
	return r.Cut(half{-h.up}.strip(-far, far, far))
}

// bosses is the section of the bearing bosses and the flange before them.
func (h half) bosses() solid.Region {
	r := solid.Region{}.Add(h.strip(-81, 391, flangeEdge), h.strip(-66, 322, bossHeight))
	for _, l := range shaftLines {
		r = r.Add(solid.Circle(solid.Point{l.x, 0}, l.boss, 128))
	}
	return r
}

// body is a section through the walls with what is outside of them.
func (h half) body(outer solid.Loop) solid.Region {
	return solid.Region{}.Add(h.strip(-81, 391, flangeEdge), outer)
}

// halfHousing stacks a half from its sections, front to back alike.
func halfHousing(bosses, ribbed, end, middle solid.Region) *solid.Solid {
	const ribs = 90.0
	return solid.Stack(
		solid.Layer{Low: -face, High: -ribs, Region: bosses},
		solid.Layer{Low: -ribs, High: -wall, Region: ribbed},
		solid.Layer{Low: -wall, High: -cavity, Region: end},
		solid.Layer{Low: -cavity, High: cavity, Region: middle},
		solid.Layer{Low: cavity, High: wall, Region: end},
		solid.Layer{Low: wall, High: ribs, Region: ribbed},
		solid.Layer{Low: ribs, High: face, Region: bosses},
	).Moved(lying(mesh.Vec{}))
}

func lowerHousing() *solid.Solid {
	h := half{-1}
	base := solid.Rectangle(-81, baseBottom, 391, baseTop)
	outer := solid.Rectangle(-55, baseTop-8, rightWall, 0)
	inner := solid.Rectangle(-46, -128, rightIn, 60).Rounded(12, 9)
	ribbed := h.bosses().Add(base)
	for _, l := range shaftLines {
		ribbed = ribbed.Add(solid.Rectangle(l.x-6, baseTop-8, l.x+6, -20))
	}
	s := halfHousing(
		h.end(h.bosses().Add(base), true),
		h.end(ribbed, true),
		h.end(h.body(outer).Add(base), true),
		h.end(h.body(outer).Add(base).Cut(inner), false),
	)
	parting := lookingUp(0)
	s.Pierce(parting, bossHeight, circlesAt(bossBolts, 6.75)...)
	s.Pierce(parting, flangeEdge, append(circlesAt(flangeBolts, 5.5), circlesAt(dowels, 4.01)...)...)
	s.Pierce(lookingUp(baseTop), baseTop-baseBottom, circlesAt(footHoles, 7)...)
	side := lookingRight(rightWall)
	drain, sight := solid.Point{drainAt[1], drainAt[2]}, solid.Point{sightAt[1], sightAt[2]}
	s.Push(side, sideBoss, solid.Circle(drain, 17, 64), solid.Circle(sight, 22, 64))
	s.Pierce(lookingRight(rightWall+sideBoss), rightWall+sideBoss-rightIn,
		solid.Circle(drain, 10.05, 64), solid.Circle(sight, 14, 64))
	tapCaps(s, h)
	return s
}

func upperHousing() *solid.Solid {
	h := half{1}
	straight := solid.Loop{{-46, -40}, {rightIn, -40}, {rightIn, 50}, {300, roofInside}, {112, roofInside}, {8, 45}, {-46, 45}}
	inner := straight.Rounded(12, 9)
	outer := straight.Offset(9).Rounded(10, 9)
	ribbed := h.bosses()
	for i, top := range []float64{0, 108, 121} {
		if x := shaftLines[i].x; top > 0 {
			ribbed = ribbed.Add(solid.Rectangle(x-5, 20, x+5, top))
		}
	}
	s := halfHousing(
		h.end(h.bosses(), true),
		h.end(ribbed, true),
		h.end(h.body(outer), true),
		h.end(h.body(outer).Cut(inner), false),
	)
	s.Pierce(lookingUp(bossHeight), bossHeight, circlesAt(bossBolts, 6.75)...)
	s.Pierce(lookingUp(flangeEdge), flangeEdge, append(circlesAt(flangeBolts, 5.5), circlesAt(dowels, 4.01)...)...)
	top := lookingUp(roof)
	s.Push(top, padHeight, coverOutline(solid.Point{padX, 0}))
	opening := solid.Rectangle(padX-45, -35, padX+45, 35).Rounded(10, 9)
	s.Pierce(lookingUp(roof+padHeight), roof+padHeight-roofInside, opening)
	var taps []solid.Loop
	for _, b := range coverBolts {
		taps = append(taps, solid.Circle(solid.Point{padX + b.x, b.y}, 3.05, 32))
	}
	s.Push(lookingUp(roof+padHeight), -12, taps...)
	fill := solid.Point{fillAt[0], fillAt[1]}
	s.Push(top, fillAt[2]-roof, solid.Circle(fill, 17, 64))
	s.Pierce(lookingUp(fillAt[2]), fillAt[2]-roofInside, solid.Circle(fill, 10.05, 64))
	for i, from := range []float64{roof, shelf} {
		at := solid.Point{eyesAt[i][0], eyesAt[i][1]}
		s.Push(lookingUp(from), eyesAt[i][2]-from, solid.Circle(at, 15, 64))
		s.Push(lookingUp(eyesAt[i][2]), -18.5, solid.Circle(at, 5.05, 48))
	}
	tapCaps(s, h)
	return s
}

const sideBoss = 6.0 // height of the bosses for drain plug and sight glass

// Where fittings sit on the housing: the middle of their seat.
var (
	drainAt = mesh.Vec{rightWall + sideBoss, 0, -104}
	sightAt = mesh.Vec{rightWall + sideBoss, 0, -52}
	fillAt  = mesh.Vec{272, -30, roof + 6}
	eyesAt  = []mesh.Vec{{272, 24, roof + 12}, {-24, 0, shelf + 14}}
)

func coverOutline(middle solid.Point) solid.Loop {
	return solid.Rectangle(middle[0]-62, middle[1]-52, middle[0]+62, middle[1]+52).Rounded(10, 9)
}

// tapCaps sinks the cap bolts' holes that lie in the half's part of the faces.
func tapCaps(s *solid.Solid, h half) {
	var front, back []solid.Loop
	for _, l := range shaftLines {
		for _, b := range l.capBolts() {
			if b[1]*h.up > 0 {
				front = append(front, solid.Circle(solid.Point{l.x + b[0], b[1]}, l.tapped/2+0.05, 32))
				back = append(back, solid.Circle(solid.Point{-l.x - b[0], b[1]}, l.tapped/2+0.05, 32))
			}
		}
	}
	s.Push(lookingFront(-face), -22, front...)
	s.Push(lookingBack(face), -22, back...)
}

func cover() *solid.Solid {
	s := solid.Stack(solid.Layer{Low: 0, High: 8, Region: solid.Region{}.Add(coverOutline(solid.Point{}))})
	s.Push(lookingUp(8), 3, solid.Rectangle(-38, -28, 38, 28).Rounded(8, 9))
	s.Pierce(lookingUp(8), 8, circlesAt(coverBolts, 3.3)...)
	s.Pierce(lookingUp(11), 11, solid.Circle(solid.Point{}, 8.05, 48))
	return s
}

func coverGasket() *solid.Solid {
	r := solid.Region{}.Add(coverOutline(solid.Point{})).Cut(solid.Rectangle(-45, -35, 45, 35).Rounded(10, 9))
	r = r.Cut(circlesAt(coverBolts, 3.3)...)
	return solid.Stack(solid.Layer{Low: 0, High: 1, Region: r})
}
