package demo

import (
	"math"

	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"
)

// The reducer's frame: mm, x along the housing from the input to the output
// shaft, y along the shafts with the driven end at negative y, z up; the shafts'
// axes lie in the parting plane z = 0. Rotating parts and what goes with them are
// made with their axis along z and laid down by lying.

// line is one shaft line of the reducer and its bore in the housing.
type line struct {
	x           float64 // of the axis
	bore, boss  float64 // radii in the housing
	boltCircle  float64 // radius
	flange      float64 // radius of the end cap
	thickness   float64 // of the end cap's flange
	sheet       float64 // shim or gasket under the flange
	bolts       int     // a cap
	firstBolt   float64 // its direction, degrees
	tapped      float64 // diameter
	bearingFace float64 // distance of the bearing's outer face from the middle
}

var (
	inputLine  = line{x: 0, bore: 31, boss: 49, boltCircle: 38.5, flange: 46, thickness: 10, sheet: 0.5, bolts: 4, firstBolt: 45, tapped: 6, bearingFace: 84}
	middleLine = line{x: 102, bore: 36, boss: 54, boltCircle: 43.5, flange: 51, thickness: 10, sheet: 0.5, bolts: 4, firstBolt: 45, tapped: 6, bearingFace: 86.25}
	outputLine = line{x: 238, bore: 45, boss: 67, boltCircle: 54, flange: 64, thickness: 12, sheet: 0, bolts: 6, firstBolt: 30, tapped: 8, bearingFace: 88}
	shaftLines = []line{inputLine, middleLine, outputLine}
)

const (
	cavity     = 66.0  // half the housing's inside, along y
	wall       = 74.0  // outside of the end walls
	face       = 102.0 // end faces of the bearing bosses
	seat       = 68.0  // inner face of the bearings
	bossHeight = 40.0  // of the bolt bosses over and under the parting plane
	flangeEdge = 16.0  // thickness of one flange at the parting plane
	baseTop    = -137.0
	baseBottom = -157.0
	roof       = 129.0 // flat outside of the upper half
	shelf      = 54.0  // the lower flat outside over the input
	roofInside = 120.0
	rightWall  = 365.0
	rightIn    = 356.0
	padHeight  = 5.0
	padX       = 185.0 // middle of the inspection opening
)

// spot is a place in the parting plane.
type spot struct{ x, y float64 }

var (
	bossBolts = []spot{
		{-48, -88.5},
		{48.5, -88.5},
		{166, -88.5},
		{306, -88.5},
		{-48, 88.5},
		{48.5, 88.5},
		{166, 88.5},
		{306, 88.5},
	}
	flangeBolts = []spot{
		{-68, -50}, {-68, 0}, {-68, 50}, {378, -50}, {378, 0}, {378, 50}, {348, -88}, {348, 88},
	}
	dowels     = []spot{{-72, 88}, {381, -88}}
	footHoles  = []spot{{-40, -88}, {-40, 88}, {168, -88}, {168, 88}, {350, -88}, {350, 88}}
	coverBolts = []spot{{-53.5, -43.5}, {0, -43.5}, {53.5, -43.5}, {53.5, 43.5}, {0, 43.5}, {-53.5, 43.5}}
)

// capBolts are the directions in which a cap's bolts stand from its axis.
func (l line) capBolts() []solid.Point {
	var out []solid.Point
	for i := range l.bolts {
		a := (l.firstBolt + 360*float64(i)/float64(l.bolts)) * math.Pi / 180
		sin, cos := math.Sincos(a)
		out = append(out, solid.Point{l.boltCircle * cos, l.boltCircle * sin})
	}
	return out
}

// Placements: where the axes of a part go. Columns are the images of x, y and z.
func axes(x, y, z, at mesh.Vec) mesh.Mat {
	return mesh.Mat{x[0], x[1], x[2], 0, y[0], y[1], y[2], 0, z[0], z[1], z[2], 0, at[0], at[1], at[2], 1}
}

// upright leaves a part as it was made.
func upright(at mesh.Vec) mesh.Mat { return mesh.Translation(at) }

// flipped turns a part upside down about x.
func flipped(at mesh.Vec) mesh.Mat {
	return axes(mesh.Vec{1, 0, 0}, mesh.Vec{0, -1, 0}, mesh.Vec{0, 0, -1}, at)
}

// lying lays a part down, its top to the front (negative y).
func lying(at mesh.Vec) mesh.Mat {
	return axes(mesh.Vec{1, 0, 0}, mesh.Vec{0, 0, 1}, mesh.Vec{0, -1, 0}, at)
}

// facingBack lays a part down, its top to the back.
func facingBack(at mesh.Vec) mesh.Mat {
	return axes(mesh.Vec{-1, 0, 0}, mesh.Vec{0, 0, 1}, mesh.Vec{0, 1, 0}, at)
}

// facingRight lays a part down, its top to the output's side.
func facingRight(at mesh.Vec) mesh.Mat {
	return axes(mesh.Vec{0, 1, 0}, mesh.Vec{0, 0, 1}, mesh.Vec{1, 0, 0}, at)
}

// Flat faces by their look, through a point on the axis across them.
func lookingUp(z float64) solid.Frame {
	return solid.Frame{Origin: mesh.Vec{0, 0, z}, X: mesh.Vec{1, 0, 0}, Y: mesh.Vec{0, 1, 0}}
}

func lookingFront(y float64) solid.Frame {
	return solid.Frame{Origin: mesh.Vec{0, y, 0}, X: mesh.Vec{1, 0, 0}, Y: mesh.Vec{0, 0, 1}}
}

func lookingBack(y float64) solid.Frame {
	return solid.Frame{Origin: mesh.Vec{0, y, 0}, X: mesh.Vec{-1, 0, 0}, Y: mesh.Vec{0, 0, 1}}
}

func lookingRight(x float64) solid.Frame {
	return solid.Frame{Origin: mesh.Vec{x, 0, 0}, X: mesh.Vec{0, 1, 0}, Y: mesh.Vec{0, 0, 1}}
}

func circlesAt(spots []spot, r float64) []solid.Loop {
	var out []solid.Loop
	for _, s := range spots {
		out = append(out, solid.Circle(solid.Point{s.x, s.y}, r, 48))
	}
	return out
}
