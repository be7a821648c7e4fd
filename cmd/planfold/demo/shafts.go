package demo

import (
	"math"

	"planfold/cmd/planfold/demo/solid"
)

// Two stages. The centre distances are whole millimetres; the helix angles follow
// from them: cos β = mn (z1 + z2) / 2 a. Both gears of the middle shaft have the
// same hand, so that their thrusts oppose each other.
const (
	stage1Module, stage1Distance = 2.5, 102.0
	stage2Module, stage2Distance = 3.5, 136.0
	stage1Sum, stage2Sum         = 79, 75
	thinning                     = 0.06        // of each tooth: 0.12 mm backlash
	stage1At, stage2At           = 34.0, -24.0 // middle of the gears along their shafts
	shaftSides                   = 96
)

// stages are the tooth numbers of a variant.
type stages struct{ z1, z2, z3, z4 int }

var standard = stages{19, 60, 19, 56}

func helix(module float64, sum int, distance float64) float64 {
	return math.Acos(module * float64(sum) / (2 * distance))
}

func (v stages) pinion1() solid.Gear {
	return solid.Gear{Teeth: v.z1, Module: stage1Module, Helix: helix(stage1Module, stage1Sum, stage1Distance), Thin: thinning}
}

// wheel1 meets pinion1 with the middle of a space, at its middle plane.
func (v stages) wheel1() solid.Gear {
	return solid.Gear{
		Teeth: v.z2, Module: stage1Module, Helix: -helix(stage1Module, stage1Sum, stage1Distance),
		Thin: thinning, Phase: math.Pi + math.Pi/float64(v.z2),
	}
}

func (v stages) pinion2() solid.Gear {
	return solid.Gear{Teeth: v.z3, Module: stage2Module, Helix: -helix(stage2Module, stage2Sum, stage2Distance), Thin: thinning}
}

func (v stages) wheel2() solid.Gear {
	return solid.Gear{
		Teeth: v.z4, Module: stage2Module, Helix: helix(stage2Module, stage2Sum, stage2Distance),
		Thin: thinning, Phase: math.Pi + math.Pi/float64(v.z4),
	}
}

// turning is a shaft in the making, from its lower end up.
type turning []solid.Section

func (t *turning) add(z float64, l solid.Loop) {
	*t = append(*t, solid.Section{Z: z, Loops: []solid.Loop{l}})
}

// step is a cylinder with chamfers of the given sizes at its ends.
func (t *turning) step(low, high, r, below, above float64) {
	c := solid.Circle(solid.Point{}, r, shaftSides)
	if below > 0 {
		t.add(low, c.Scaled((r-below)/r))
	}
	t.add(low+below, c)
	t.add(high-above, c)
	if above > 0 {
		t.add(high, c.Scaled((r-above)/r))
	}
}

// keyed is a cylinder with a keyway from z = k0 to k1 and a chamfer at one end:
// below if it is negative.
func (t *turning) keyed(low, high, r, width, floor, k0, k1, chamfer float64) {
	whole, slotted := solid.Keyed(r, width, floor, shaftSides)
	if chamfer < 0 {
		t.add(low, whole.Scaled((r+chamfer)/r))
	}
	t.add(low+max(0, -chamfer), whole)
	t.add(k0, whole)
	t.add(k0, slotted)
	t.add(k1, slotted)
	t.add(k1, whole)
	t.add(high-max(0, chamfer), whole)
	if chamfer > 0 {
		t.add(high, whole.Scaled((r-chamfer)/r))
	}
}

// teeth are a gear's teeth on the shaft, its phase taken at z = middle.
func (t *turning) teeth(g solid.Gear, low, high, middle float64, slices int) {
	for _, z := range solid.Slices(low, high, slices) {
		t.add(z, g.Loop(z-middle))
	}
}

func (t turning) solid() *solid.Solid { return solid.Sweep(t...) }

func (v stages) inputShaft() *solid.Solid {
	var t turning
	t.step(-86, -68, 15, 1, 0)
	t.step(-68, 16, 19, 0.5, 0)
	t.teeth(v.pinion1(), 16, 52, stage1At, 12)
	t.step(52, 68, 19, 0, 0.5)
	t.step(68, 87, 15, 0, 0.5)
	t.step(87, 121, 14, 0, 1)
	t.keyed(121, 171, 12, 8, 8, 128, 164, 1)
	return t.solid()
}

func (v stages) middleShaft() *solid.Solid {
	var t turning
	t.step(-86, -68, 17.5, 1, 0)
	t.step(-68, -51.5, 22, 0.5, 0)
	t.teeth(v.pinion2(), -51.5, 3.5, stage2At, 14)
	t.step(3.5, 18, 28, 0, 1)
	t.keyed(18, 49, 22.5, 14, 17, 20, 48, 0.5)
	t.step(49, 67.5, 20, 0, 0.5)
	t.step(67.5, 86, 17.5, 0, 1)
	return t.solid()
}

func outputShaft() *solid.Solid {
	var t turning
	t.keyed(-190, -124, 21, 12, 16, -182, -132, -1)
	t.step(-124, -89, 22.5, 1, 0)
	t.step(-89, -67.5, 25, 0.5, 0)
	t.step(-67.5, -48.5, 26, 0.5, 0)
	t.keyed(-48.5, 1, 28, 16, 22, -47, -2, -0.5)
	t.step(1, 12, 34, 1, 1)
	t.step(12, 68, 29, 0, 1)
	t.step(68, 89, 25, 0, 0.5)
	t.step(89, 124, 22.5, 0, 1)
	t.keyed(124, 190, 21, 12, 16, 132, 182, 1)
	return t.solid()
}

// wheel is a gear with a keyed bore; rim and hub are the radii between which both
// sides are turned out to leave a web with six holes.
type wheel struct {
	gear             solid.Gear
	width, web       float64
	bore, key, floor float64 // radius, width, height of the keyway's floor
	rim, hub         float64
	hole, holes      float64 // radius, and of the circle they stand on
	slices           int     // of the rim on each side, and of the web
}

func (w wheel) solid() *solid.Solid {
	_, slotted := solid.Keyed(w.bore+0.01, w.key, w.floor, shaftSides)
	bore := slotted.Reversed()
	rim := solid.Circle(solid.Point{}, w.rim, 2*shaftSides).Reversed()
	hub := solid.Circle(solid.Point{}, w.hub, shaftSides)
	var holes []solid.Loop
	for i := range 6 {
		sin, cos := math.Sincos(math.Pi / 3 * (float64(i) + 0.5))
		holes = append(holes, solid.Circle(solid.Point{w.holes * cos, w.holes * sin}, w.hole, 48).Reversed())
	}
	var t turning
	side := func(low, high float64) {
		for _, z := range solid.Slices(low, high, w.slices) {
			t = append(t, solid.Section{Z: z, Loops: []solid.Loop{w.gear.Loop(z), bore, rim, hub}})
		}
	}
	side(-w.width/2, -w.web/2)
	for _, z := range solid.Slices(-w.web/2, w.web/2, w.slices) {
		t = append(t, solid.Section{Z: z, Loops: append([]solid.Loop{w.gear.Loop(z), bore}, holes...)})
	}
	side(w.web/2, w.width/2)
	return t.solid()
}

func (v stages) wheel1Part() *solid.Solid {
	w := wheel{
		gear: v.wheel1(), width: 32, web: 14, bore: 22.5, key: 14, floor: 26.3,
		hub: 35, slices: 4,
	}
	w.rim = w.gear.Root()/2 - 8
	w.holes = (w.rim + w.hub) / 2
	w.hole = min(8, (w.rim-w.hub)/2-4)
	return w.solid()
}

func (v stages) wheel2Part() *solid.Solid {
	return wheel{
		gear: v.wheel2(), width: 50, web: 18, bore: 28, key: 16, floor: 32.3,
		rim: 84, hub: 44, hole: 14, holes: 64, slices: 5,
	}.solid()
}

// key is a parallel key, DIN 6885-1 form B, lying along z with its floor at y = 0.
func key(width, height, length float64) *solid.Solid {
	l := solid.Loop{{-width / 2, 0}, {width / 2, 0}, {width / 2, height}, {-width / 2, height}}.Rounded(0.4, 2)
	return solid.Sweep(
		solid.Section{Z: -length / 2, Loops: []solid.Loop{l}},
		solid.Section{Z: length / 2, Loops: []solid.Loop{l}},
	)
}

// sleeve is a ring of the given radii and length, with chamfered edges outside.
func sleeve(inner, outer, length float64) *solid.Solid {
	c := min(1, length/5)
	return solid.Revolve(solid.Loop{
		{inner, 0}, {outer - c, 0}, {outer, c}, {outer, length - c}, {outer - c, length}, {inner, length},
	}, shaftSides)
}
