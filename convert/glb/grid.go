package glb

import (
	"math"

	"planfold/convert/mesh"
)

const (
	// A level may be off on its grid by an eighth of its deviation: it is hardly worse
	// for it, and each bit less is three a vertex.
	gridShare = 0.125
	// What deviates less than eight times these may be off by the smaller of them: a
	// hundredth of a millimetre is less than what CAD files are tessellated to, and
	// the share of the diagonal is a quarter of a pixel where the part fills a view of
	// 2000 pixels.
	gridFloor      = 1e-5
	gridFloorShare = 1.0 / 8192
	// A mesh so large that sixteen bits would be off by more keeps float32 positions.
	gridMost = 1e-4

	halfDiagonal = 0.8660254037844387 // of a cell of side 1: how far off its middle a corner is
	gridReach    = math.MaxInt16 - 1  // one is for the centre, which is rounded too
)

// gridStep is the distance of the grid's lines for a mesh that deviates so much, a
// power of two; 0 where sixteen bits a coordinate are too few. All grids of a step
// have their lines at its multiples, so that meshes of one frame which share a border
// go on sharing it.
func gridStep(bounds mesh.Box, deviation float64) float64 {
	extent := 0.0
	for k := range 3 {
		extent = max(extent, bounds.Max[k]-bounds.Min[k])
	}
	floor := min(gridFloor, float64(gridFloorShare*bounds.Diagonal()))
	step := powerBelow(max(float64(gridShare*deviation), floor) / halfDiagonal)
	for extent/2 > float64(gridReach*step) {
		step *= 2
	}
	if gridError(step) > gridMost && gridError(step) > float64(gridShare*deviation) || !(step > 0) || math.IsInf(step, 0) {
		return 0
	}
	return step
}

// powerBelow is the greatest power of two that is not above x.
func powerBelow(x float64) float64 {
	_, exponent := math.Frexp(x)
	return math.Ldexp(1, exponent-1)
}

// gridError is the most that a position on the grid is off.
func gridError(step float64) float64 { return float64(halfDiagonal * step) }

// nearest is the number of the grid's line next to x.
func nearest(x, step float64) float64 { return math.Floor(x/step + 0.5) }
