package glb

import (
	"math"

	"planfold/convert/mesh"
)

const (
	// A level may be off on its grid by an eighth of its deviation: it is hardly worse
	// for it, and each bit less is three a vertex.
	gridShare = 0.125
	// What deviates less than eight times these, and the source itself, may be off by the
	// smaller of them: a tenth of what a part of a step may deviate without remark, which
	// is about what CAD files are tessellated to, and half a pixel where the part fills a
	// view of 2000 pixels.
	gridFloor      = 5e-5
	gridFloorShare = 1.0 / 4096
	// A mesh so large that sixteen bits would be off by more keeps float32 positions.
	gridMost = 1e-4

	halfDiagonal = 0.8660254037844387 // of a cell of side 1: how far off its middle a corner is
	gridReach    = math.MaxInt16 - 1  // one is for the centre, which is rounded too
)

// gridStep is the distance of the grid's lines for a mesh that deviates so much; 0
// where sixteen bits a coordinate are too few. It has three binary digits, so that
// single precision holds all of the grid, and many meshes have the same. The grid has
// its lines at the step's multiples: meshes of one frame and step that share a border
// go on sharing it.
func gridStep(bounds mesh.Box, deviation float64) float64 {
	extent := 0.0
	for k := range 3 {
		extent = max(extent, bounds.Max[k]-bounds.Min[k])
	}
	floor := min(gridFloor, float64(gridFloorShare*bounds.Diagonal()))
	step := threeDigits(max(float64(gridShare*deviation), floor)/halfDiagonal, math.Floor)
	if least := extent / (2 * gridReach); step < least {
		step = threeDigits(least, math.Ceil)
	}
	if gridError(step) > max(gridMost, float64(gridShare*deviation)) || !(step > 0) {
		return 0
	}
	return step
}

// threeDigits rounds to so many binary digits.
func threeDigits(x float64, round func(float64) float64) float64 {
	fraction, exponent := math.Frexp(x)
	return math.Ldexp(round(float64(fraction*8)), exponent-3)
}

// gridError is the most that a position on the grid is off.
func gridError(step float64) float64 { return float64(halfDiagonal * step) }

// nearest is the number of the grid's line next to x.
func nearest(x, step float64) float64 { return math.Floor(x/step + 0.5) }
