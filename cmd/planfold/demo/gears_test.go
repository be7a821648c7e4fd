package demo

import (
	"math"
	"testing"

	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cut is a section of a solid across y: pairs of points, seen along y, outside of
// a circle about an axis.
type cut struct {
	x     float64 // of the axis
	lines [][2]solid.Point
}

func section(s *solid.Solid, y, x, outside float64) cut {
	c := cut{x: x}
	for _, t := range s.Triangles {
		var ends []solid.Point
		for k := range 3 {
			p, q := s.Points[t[k]], s.Points[t[(k+1)%3]]
			if (p[1] > y) == (q[1] > y) {
				continue
			}
			f := (y - p[1]) / (q[1] - p[1])
			ends = append(ends, solid.Point{p[0] + (q[0]-p[0])*f - x, p[2] + (q[2]-p[2])*f})
		}
		if len(ends) == 2 && math.Hypot(ends[0][0], ends[0][1]) > outside {
			c.lines = append(c.lines, [2]solid.Point{ends[0], ends[1]})
		}
	}
	return c
}

// turned is the section turned about its axis.
func (c cut) turned(a float64) cut {
	sin, cos := math.Sincos(a)
	out := cut{x: c.x}
	for _, l := range c.lines {
		var m [2]solid.Point
		for k, p := range l {
			m[k] = solid.Point{p[0]*cos - p[1]*sin, p[0]*sin + p[1]*cos}
		}
		out.lines = append(out.lines, m)
	}
	return out
}

// penetration is how deep points of a's outline lie inside b, whose tip radius is
// given, up to 1 mm; negative is the least gap.
func penetration(a, b cut, tip float64) float64 {
	strips := map[int][][2]solid.Point{}
	for _, e := range b.lines {
		low, high := min(e[0][1], e[1][1])-1, max(e[0][1], e[1][1])+1
		for i := int(math.Floor(low)); i <= int(math.Floor(high)); i++ {
			strips[i] = append(strips[i], e)
		}
	}
	shift := a.x - b.x
	deepest := math.Inf(-1)
	for _, l := range a.lines {
		for k := range 3 {
			f := float64(k) / 3
			p := solid.Point{l[0][0] + (l[1][0]-l[0][0])*f + shift, l[0][1] + (l[1][1]-l[0][1])*f}
			if p[0]*p[0]+p[1]*p[1] > (tip+0.2)*(tip+0.2) {
				continue
			}
			d, in := 1.0, false
			for _, e := range strips[int(math.Floor(p[1]))] {
				if math.Abs(e[0][0]-p[0]) < 3 {
					d = min(d, distance(p, e))
				}
				if (e[0][1] > p[1]) != (e[1][1] > p[1]) && p[0] < (e[1][0]-e[0][0])*(p[1]-e[0][1])/(e[1][1]-e[0][1])+e[0][0] {
					in = !in
				}
			}
			if !in {
				d = -d
			}
			deepest = max(deepest, d)
		}
	}
	return deepest
}

func distance(p solid.Point, e [2]solid.Point) float64 {
	dx, dy := e[1][0]-e[0][0], e[1][1]-e[0][1]
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = max(0, min(1, ((p[0]-e[0][0])*dx+(p[1]-e[0][1])*dy)/l))
	}
	return math.Hypot(p[0]-e[0][0]-t*dx, p[1]-e[0][1]-t*dy)
}

// pair is two gears' sections in one plane.
type pair struct {
	a, b cut
	g, h solid.Gear
}

// depth is how deep the teeth run into each other when a is turned.
func (p pair) depth(turn float64) float64 {
	a := p.a.turned(turn)
	return max(penetration(a, p.b, p.h.Tip()/2), penetration(p.b, a, p.g.Tip()/2))
}

// backlash is the arc at the pitch circle through which a turns freely.
func (p pair) backlash() float64 {
	free := func(sign float64) float64 {
		low, high := 0.0, 0.02
		for range 10 {
			if mid := (low + high) / 2; p.depth(sign*mid) > 0 {
				high = mid
			} else {
				low = mid
			}
		}
		return low
	}
	return (free(1) + free(-1)) * p.g.Pitch() / 2
}

// mates checks two gears' sections at several places of their common width.
func mates(t *testing.T, name string, left, right *solid.Solid, x0, x1 float64, at []float64, g, h solid.Gear) {
	t.Helper()
	for _, y := range at {
		p := pair{section(left, y, x0, g.Root()/2-1), section(right, y, x1, h.Root()/2-1), g, h}
		require.Greater(t, len(p.a.lines), 20*g.Teeth)
		require.Greater(t, len(p.b.lines), 20*h.Teeth)
		assert.LessOrEqual(t, p.depth(0), 0.02, "%s at y = %g: teeth run into each other", name, y)
		play := p.backlash()
		t.Logf("%s at y = %g: gap %.4f mm, backlash %.4f mm", name, y, -p.depth(0), play)
		assert.GreaterOrEqual(t, play, 0.05, "%s at y = %g: backlash", name, y)
		assert.LessOrEqual(t, play, 0.3, "%s at y = %g: backlash", name, y)
		// A tooth that stood where a space should be would be seen.
		assert.Greater(t, p.depth(math.Pi/float64(g.Teeth)), 0.5)
	}
}

func occurrenceOf(t *testing.T, path string) body {
	t.Helper()
	for _, b := range placed(t) {
		if b.path == path {
			return b
		}
	}
	require.Fail(t, "no occurrence", path)
	return body{}
}

func TestGearsMesh(t *testing.T) {
	pinion1, wheel1 := occurrenceOf(t, "line-in-1/shaft-1"), occurrenceOf(t, "line-mid-1/wheel-1")
	pinion2, wheel2 := occurrenceOf(t, "line-mid-1/shaft-1"), occurrenceOf(t, "line-out-1/wheel-1")
	mates(t, "stage 1", pinion1.solids[""], wheel1.solids[""], 0, stage1Distance,
		[]float64{-49.3, -34.1, -18.7}, standard.pinion1(), standard.wheel1())
	mates(t, "stage 2", pinion2.solids[""], wheel2.solids[""], stage1Distance, stage1Distance+stage2Distance,
		[]float64{-0.3, 24.1, 48.6}, standard.pinion2(), standard.wheel2())
}

func TestGearsOfTheCatalogueMesh(t *testing.T) {
	all := catalogue(len(firstStages))
	for _, v := range []variant{all[1], all[4]} { // the fewest and the most teeth
		left := v.stages.inputShaft().Moved(lying(mesh.Vec{}))
		right := v.wheel1Part().Moved(lying(mesh.Vec{stage1Distance, -stage1At, 0}))
		mates(t, v.id, left, right, 0, stage1Distance, []float64{-40.2}, v.stages.pinion1(), v.stages.wheel1())
	}
}

func TestCentreDistances(t *testing.T) {
	// ISO 21771: without profile shift the centre distance is half the sum of the
	// pitch diameters, and a pair of parallel axes has opposite hands.
	for _, c := range []struct {
		a, b     solid.Gear
		distance float64
	}{
		{standard.pinion1(), standard.wheel1(), 102}, {standard.pinion2(), standard.wheel2(), 136},
	} {
		assert.InDelta(t, c.distance, (c.a.Pitch()+c.b.Pitch())/2, 1e-9)
		assert.InDelta(t, 0, c.a.Helix+c.b.Helix, 1e-15)
		assert.InDelta(t, float64(c.a.Teeth)*c.a.Module/math.Cos(c.a.Helix), c.a.Pitch(), 1e-9)
	}
	// Both gears of the middle shaft have one hand: their thrusts oppose.
	assert.Positive(t, standard.wheel1().Helix*standard.pinion2().Helix)
}
