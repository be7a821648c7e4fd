package solid

import (
	"math"
	"testing"

	"planfold/convert/mesh"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// closed fails unless each edge is used once each way and the volume is positive.
func closed(t *testing.T, s *Solid) {
	t.Helper()
	count := map[edge]int{}
	for _, tri := range s.Triangles {
		for k := range 3 {
			count[edge{tri[k], tri[(k+1)%3]}]++
		}
		a, b, c := s.Points[tri[0]], s.Points[tri[1]], s.Points[tri[2]]
		require.Positive(t, b.Sub(a).Cross(c.Sub(a)).Length(), "triangle %v has no area", tri)
	}
	for e, n := range count {
		require.Equal(t, 1, n, "edge %v %v", s.Points[e[0]], s.Points[e[1]])
		require.Equal(t, 1, count[edge{e[1], e[0]}], "edge %v %v", s.Points[e[0]], s.Points[e[1]])
	}
	require.Positive(t, s.Volume())
}

func TestStackOfUnlikeLayersIsClosed(t *testing.T) {
	plate := Region{}.Add(Rectangle(0, 0, 10, 10)).Cut(Circle(Point{5, 5}, 2, 32))
	wall := Region{}.Add(Rectangle(0, 0, 10, 2), Rectangle(0, 8, 10, 12))
	s := Stack(Layer{0, 3, plate}, Layer{3, 5, wall})
	closed(t, s)
	polygon := Circle(Point{}, 2, 32).area()
	assert.InDelta(t, 3*(100-polygon)+2*(20+40), s.Volume(), 1e-3)
}

func TestPushAndPierce(t *testing.T) {
	s := Stack(Layer{0, 10, Region{}.Add(Rectangle(0, 0, 20, 20))})
	top := Frame{Origin: mesh.Vec{10, 10, 10}, X: mesh.Vec{1, 0, 0}, Y: mesh.Vec{0, 1, 0}}
	s.Push(top, 4, Circle(Point{5, 0}, 3, 24))
	s.Push(top, -4, Circle(Point{-5, 0}, 3, 24))
	s.Pierce(top, 10, Circle(Point{0, 6}, 2, 24), Circle(Point{0, -6}, 2, 24))
	closed(t, s)
	assert.InDelta(t, 4000-2*10*Circle(Point{}, 2, 24).area(), s.Volume(), 1e-6)
}

func TestKeyedShaftIsClosed(t *testing.T) {
	whole, slotted := Keyed(10, 6, 6.5, 60)
	c := func(z float64, l Loop) Section { return Section{Z: z, Loops: []Loop{l}} }
	s := Sweep(c(0, whole.Scaled(0.9)), c(1, whole), c(5, whole), c(5, slotted), c(20, slotted), c(20, whole), c(30, whole))
	closed(t, s)
}

func TestRevolveMatchesPappus(t *testing.T) {
	// Pappus' second theorem, for a fine ring: V = 2πR·A.
	ring := Revolve(Arc(Point{20, 0}, 2, 0, 360-360/64.0, 64), 256)
	closed(t, ring)
	assert.InEpsilon(t, 2*math.Pi*20*math.Pi*4, ring.Volume(), 2e-3)
	closed(t, Revolve(Arc(Point{0, 0}, 5, -90, 90, 17), 24))
}

func TestThreadIsClosed(t *testing.T) {
	closed(t, Sweep(Thread(0, 12, 8, 1.25, 36)...))
}

func TestGearDiameters(t *testing.T) {
	// ISO 21771: d = z·mn/cos β, tan αt = tan αn/cos β, db = d·cos αt; a spur gear
	// of 20 teeth and module 2 is the textbook case d = 40, db = 37.588.
	g := Gear{Teeth: 20, Module: 2}
	assert.InDelta(t, 40, g.Pitch(), 1e-12)
	assert.InDelta(t, 37.588, g.Pitch()*math.Cos(g.transverse()), 5e-4)
	h := Gear{Teeth: 60, Module: 2.5, Helix: -14.5 * math.Pi / 180}
	assert.InDelta(t, 60*2.5/0.968148, h.Pitch(), 1e-3)
	assert.InDelta(t, math.Atan(0.363970/0.968148), h.transverse(), 1e-6)
}

func TestGearFlankIsInvolute(t *testing.T) {
	// On an involute, the angle from the middle of the tooth to the flank shrinks
	// by inv α(r) - inv αt beyond the pitch circle (ISO 21771, tooth thickness).
	g := Gear{Teeth: 23, Module: 3, Helix: 0.25, Thin: 0.06}
	inv := func(a float64) float64 { return math.Tan(a) - a }
	r, at := g.Pitch()/2, g.transverse()
	base := g.Pitch() * math.Cos(at)
	thick := math.Pi/(2*23) - g.Thin/2/r
	n := 0
	for _, p := range g.half()[8:17] {
		a := math.Acos(base / 2 / p.r)
		want := math.Pi/23 - (thick - (inv(a) - inv(at)))
		assert.InDelta(t, want, p.a, 1e-12)
		n++
	}
	assert.Equal(t, 9, n)
	assert.InDelta(t, g.Tip()/2, g.half()[18].r, 1e-9)
	assert.InDelta(t, g.Root()/2, g.half()[0].r, 1e-9)
}
