package sweep

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

var (
	up   = mesh.Vec{0, 0, 1}
	down = mesh.Vec{0, 0, -1}
	six  = []mesh.Vec{up, down, {1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}}
	mm   = 0.001
)

// tube stands on z = 0; sizes in mm.
func tube(inner, outer, height float64, sides int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(sides))
		for _, p := range [][2]float64{{outer, 0}, {outer, height}, {inner, height}, {inner, 0}} {
			m.Positions = append(m.Positions, mesh.Vec{p[0] * cos * mm, p[0] * sin * mm, p[1] * mm})
		}
		for k := range 4 {
			a, b := int32(4*i+k), int32(4*i+(k+1)%4)
			c, d := int32((4*i+4+k)%(4*sides)), int32((4*i+4+(k+1)%4)%(4*sides))
			m.Triangles = append(m.Triangles, [3]int32{a, c, b}, [3]int32{c, d, b})
		}
	}
	return m
}

func at(m *mesh.Mesh, x, y, z float64) Shell {
	return Shell{Mesh: m, Bounds: m.Bounds(), At: mesh.Translation(mesh.Vec{x, y, z}.Scale(mm))}
}

func body(shells ...Shell) Body { return Body{Shells: shells} }

func rod(radius, height float64, sides int) *mesh.Mesh {
	return solid.Cylinder(radius*mm, height*mm, sides, true)
}

func box(x0, y0, z0, x1, y1, z1 float64) Shell {
	return at(solid.Box(mesh.Vec{x0, y0, z0}.Scale(mm), mesh.Vec{x1, y1, z1}.Scale(mm)), 0, 0, 0)
}

func one(m Body) []Moving { return []Moving{{Body: m, Ways: six}} }

// ways lists which ways are free of what stands still.
func ways(still, moving Body) string {
	a := newApart(still, one(moving))
	out := ""
	for w, name := range "udxXyY" {
		if room, _ := a.free(0, w, false); math.IsInf(room, 1) {
			out += string(name)
		}
	}
	return out
}

func TestOneWayOut(t *testing.T) {
	hole := tube(5, 20, 10, 36)
	for _, c := range []struct {
		name          string
		still, moving Body
		free          string
	}{
		{"a peg in a hole", body(at(hole, 0, 0, 0)), body(at(rod(5, 30, 48), 0, 0, -10)), "ud"},
		{"a peg in a blind hole", body(at(hole, 0, 0, 0), at(rod(20, 2, 24), 0, 0, -2)), body(at(rod(5, 30, 48), 0, 0, 0)), "u"},
		{"a peg with a head", body(at(hole, 0, 0, 0)), body(at(rod(5, 9, 48), 0, 0, 1), at(rod(9, 4, 48), 0, 0, 10)), "u"},
		{"a captive ball", body(at(tube(4, 20, 2, 36), 0, 0, 0), at(tube(10, 20, 10, 36), 0, 0, 2), at(tube(4, 20, 2, 36), 0, 0, 12)), body(at(solid.Sphere(6*mm, 24, 12), 0, 0, 7)), ""},
		{"a block on a table", body(box(-50, -50, -10, 50, 50, 0)), body(box(-5, -5, 0, 5, 5, 5)), "uxXyY"},
		{"a block sunk a little", body(box(-50, -50, -10, 50, 50, 0)), body(box(-5, -5, -0.15, 5, 5, 5)), "uxXyY"},
		{"a block sunk too far", body(box(-50, -50, -10, 50, 50, 0)), body(box(-5, -5, -0.5, 5, 5, 5)), "u"},
		{"a key in its slot", body(box(-30, -20, -10, 30, -4, 4), box(-30, 4, -10, 30, 20, 4), box(-30, -4, -10, 30, 4, 0), box(-30, -4, 0, -10, 4, 4), box(10, -4, 0, 30, 4, 4)), body(box(-10, -4, 0, 10, 4, 7)), "u"},
		{"a tight peg, pressed in", body(at(hole, 0, 0, 0)), body(at(rod(5.1, 30, 48), 0, 0, -10)), "ud"},
		{"a screw as thick as its thread", body(at(hole, 0, 0, 0)), body(at(rod(6, 9, 48), 0, 0, 1), at(rod(9, 4, 48), 0, 0, 10)), "u"},
		{"a screw in a mirrored thread", body(mirrored(at(hole, 0, 0, 0))), body(at(rod(6, 9, 48), 0, 0, 1), at(rod(9, 4, 48), 0, 0, 10)), "u"},
		{"a block cast into another", body(box(-50, -50, -50, 50, 50, 50)), body(box(-5, -5, 0, 5, 5, 5)), ""},
		{"a bearing against a shoulder", body(at(rod(10, 60, 64), 0, 0, 0), at(rod(14, 10, 64), 0, 0, 0)), body(at(tube(10, 20, 12, 48), 0, 0, 10)), "u"},
		{"a bearing pressed into the shoulder", body(at(rod(10, 60, 64), 0, 0, 0), at(rod(14, 10, 64), 0, 0, 0)), body(at(tube(10, 20, 12, 48), 0, 0, 9.7)), "u"},
		{"a sheet under a bolt's head", body(at(rod(3, 20, 36), 0, 0, -18), at(rod(5, 4, 36), 0, 0, 2), box(-50, -50, -20, 50, 50, 0)), body(at(tube(3.2, 8, 0.1, 48), 0, 0, 0)), ""},
		{"a sheet, nothing above", body(at(rod(3, 20, 36), 0, 0, -18), box(-50, -50, -20, 50, 50, 0)), body(at(tube(3.2, 8, 0.1, 48), 0, 0, 0)), "u"},
		{"far above, a roof", body(box(-50, -50, -10, 50, 50, 0), box(-50, -50, 400, 50, 50, 410)), body(box(-5, -5, 0, 5, 5, 5)), "xXyY"},
		{"a pin of a millimetre in the way", body(box(-50, -50, -10, 50, 50, 0), at(rod(0.5, 5, 12), 17, 1, 30)), body(box(-25, -25, 0, 25, 25, 5)), "xXyY"},
	} {
		require.Equal(t, c.free, ways(c.still, c.moving), c.name)
	}
}

func mirrored(s Shell) Shell {
	s.At = mesh.Mat{-1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}.Mul(s.At)
	return s
}

// A nut under a ledge comes off downwards, though the floor is near, since from there it
// leaves sideways. Where walls stand around, it does not come off at all.
func TestWaysMayTurnOnceOut(t *testing.T) {
	ledge := body(box(-50, -50, 0, 50, 50, 10), box(-50, -50, -40, 50, 50, -30))
	nut := body(box(-5, -5, -10, 5, 5, 0))
	got := Apart(ledge, one(nut))
	require.Equal(t, 1, got[0].Way)
	require.InDelta(t, mesh.Vec{10, 10, 10}.Length()/3*mm, got[0].Distance, 1e-9)
	ledge.Shells = append(ledge.Shells, box(-50, -50, -30, 50, -49, 0), box(-50, 49, -30, 50, 50, 0), box(-50, -49, -30, -49, 49, 0))
	require.Equal(t, 1, Apart(ledge, one(nut))[0].Way, "one side is open")
	ledge.Shells = append(ledge.Shells, box(49, -49, -30, 50, 49, 0))
	require.Equal(t, -1, Apart(ledge, one(nut))[0].Way)
}

// An open surface is in the way from both sides, and one that lies on it comes off.
func TestOpenSurfacesAreSkins(t *testing.T) {
	floor := solid.Box(mesh.Vec{-50, -50, -10}.Scale(mm), mesh.Vec{50, 50, 0}.Scale(mm))
	for i := range floor.Triangles {
		only := *floor
		only.Triangles = only.Triangles[i : i+1]
		p := func(k int) mesh.Vec { return only.Positions[only.Triangles[0][k]].Scale(1 / mm) }
		if p(0)[2]+p(1)[2]+p(2)[2] != 0 {
			continue // not of the top
		}
		m := p(0).Add(p(1)).Add(p(2)).Scale(1.0 / 3)
		on, over, under := box(m[0], m[1], 0, m[0]+2, m[1]+2, 5), box(m[0], m[1], 3, m[0]+2, m[1]+2, 5), box(m[0], m[1], -5, m[0]+2, m[1]+2, -3)
		sheet := body(at(&only, 0, 0, 0))
		require.Equal(t, "uxXyY", ways(sheet, body(on)))
		require.Equal(t, "uxXyY", ways(sheet, body(over)))
		require.Equal(t, "dxXyY", ways(sheet, body(under)))
		require.Equal(t, "dxXyY", ways(body(on), sheet))
		require.Equal(t, "uxXyY", ways(body(under), sheet))
	}
}

func way(t *testing.T, list []Leave, moving int) Leave {
	t.Helper()
	for _, l := range list {
		if l.Moving == moving {
			return l
		}
	}
	t.Fatal("absent")
	return Leave{}
}

func TestShortestWayOutPastWhatStandsAround(t *testing.T) {
	shaft := body(at(rod(10, 100, 64), 0, 0, 0))
	bearing := body(at(tube(10, 20, 12, 48), 0, 0, 70))
	got := Apart(shaft, one(bearing))
	require.Equal(t, 0, got[0].Way)
	require.InDelta(t, 30*mm+bearingDiagonal()/3, got[0].Distance, 1e-9)
	// What touches nothing comes from above, though its axis comes first.
	m := Moving{Body: bearing, Ways: []mesh.Vec{{1, 0, 0}, up}, Float: 1}
	require.Equal(t, 1, Apart(Body{}, []Moving{m})[0].Way)
}

func bearingDiagonal() float64 { return mesh.Vec{40, 40, 12}.Length() * mm }

// A bolt through two plates, with a washer and a nut: each waits for what holds it,
// in whatever order they are listed.
func TestPartsLeaveAsTheyBlockEachOther(t *testing.T) {
	plates := body(at(tube(6.5, 40, 20, 48), 0, 0, -20))
	bolt := Moving{Body: body(at(rod(6, 50, 48), 0, 0, -45), at(rod(9, 7, 36), 0, 0, 5)), Ways: six}
	washer := Moving{Body: body(at(tube(6.5, 12, 5, 48), 0, 0, 0)), Ways: six}
	low := Moving{Body: body(at(tube(6.5, 12, 2, 48), 0, 0, -22)), Ways: six}
	nut := Moving{Body: body(at(tube(6, 9, 10, 36), 0, 0, -32)), Ways: six}
	all := []Moving{washer, bolt, low, nut}
	for i, order := range [][]int{{0, 1, 2, 3}, {3, 2, 1, 0}, {1, 0, 3, 2}, {2, 3, 0, 1}} {
		var list []Moving
		where := map[int]int{}
		for k, n := range order {
			list = append(list, all[n])
			list[k].Kind = k
			where[n] = k
		}
		got := Apart(plates, list)
		w, b, l, n := way(t, got, where[0]), way(t, got, where[1]), way(t, got, where[2]), way(t, got, where[3])
		require.Equal(t, []int{0, 0, 1, 1}, []int{w.Way, b.Way, l.Way, n.Way}, i)
		require.Greater(t, w.Round, b.Round)
		require.Greater(t, l.Round, n.Round)
		// The bolt starts beyond the washer, the nut beyond the other.
		require.Greater(t, b.Distance-45*mm, w.Distance+5*mm)
		require.Greater(t, n.Distance+22*mm, l.Distance+22*mm)
	}
}

func TestEqualPartsLeaveTogetherUnlessOneHoldsAnother(t *testing.T) {
	plate := body(box(-50, -50, -10, 50, 50, 0))
	var list []Moving
	for i := range 3 {
		list = append(list, Moving{Body: body(box(-5, -5, float64(5*i), 5, 5, float64(5*i+5))), Ways: six, Kind: 1})
	}
	list = append(list, Moving{Body: body(box(20, -5, 0, 30, 5, 5)), Ways: six, Kind: 1})
	got := Apart(plate, list)
	require.Equal(t, []int{0, 1, 2}, []int{way(t, got, 2).Round, way(t, got, 1).Round, way(t, got, 0).Round})
	require.Equal(t, 0, way(t, got, 3).Round)
}

func TestWhatCannotLeaveIsTold(t *testing.T) {
	cage := body(at(tube(4, 20, 2, 36), 0, 0, 0), at(tube(10, 20, 10, 36), 0, 0, 2), at(tube(4, 20, 2, 36), 0, 0, 12))
	ball := Moving{Body: body(at(solid.Sphere(6*mm, 24, 12), 0, 0, 7)), Ways: six}
	got := Apart(cage, []Moving{ball})
	require.Equal(t, -1, got[0].Way)
	require.Equal(t, &Meeting{-1, 2}, got[0].Met)
	// Two that hold each other, and a third that does not mind.
	hook := Moving{Body: cage, Ways: six}
	got = Apart(Body{}, []Moving{hook, {Body: body(box(100, 0, 0, 110, 10, 10)), Ways: six}, ball})
	require.Equal(t, []int{1, 0, 2}, []int{got[0].Moving, got[1].Moving, got[2].Moving})
	require.Equal(t, []int{0, -1, -1}, []int{got[0].Way, got[1].Way, got[2].Way})
}

// What is given is done: in its turn, and with a word where it goes through something.
func TestGivenWaysAreTakenAsTheyAre(t *testing.T) {
	plate := body(box(-50, -50, -10, 50, 50, 0))
	low := Moving{Body: body(box(-5, -5, 0, 5, 5, 5)), Ways: []mesh.Vec{up}, Given: 0.02}
	high := Moving{Body: body(box(-5, -5, 5, 5, 5, 9)), Ways: []mesh.Vec{up}, Given: 0.05}
	got := Apart(plate, []Moving{high, low})
	require.Equal(t, []Leave{{Moving: 0, Distance: 0.05}, {Moving: 1, Round: 1, Distance: 0.02}}, got)
	low.Ways = []mesh.Vec{down}
	got = Apart(plate, []Moving{high, low})
	require.Equal(t, &Meeting{-1, 0}, way(t, got, 1).Met)
	require.Nil(t, way(t, got, 0).Met)
	// No farther than it goes.
	roof := body(box(-50, -50, 40, 50, 50, 50))
	high.Given = 0.030
	require.Nil(t, Apart(roof, []Moving{high})[0].Met)
	high.Given = 0.032
	require.NotNil(t, Apart(roof, []Moving{high})[0].Met)
}

// A pin that is drawn in one mesh with a large frame is in the way of a large plate.
func TestSmallThingsOnLargePartsAreInTheWay(t *testing.T) {
	for k := range 19 {
		frame := box(-750, -750, -50, 750, 750, 0).Mesh
		pin := at(rod(2.5, 20, 12), -700+73*float64(k), 640-67*float64(k), 100)
		n := int32(len(frame.Positions))
		for _, p := range pin.Mesh.Positions {
			frame.Positions = append(frame.Positions, pin.At.Point(p))
		}
		for _, tri := range pin.Mesh.Triangles {
			frame.Triangles = append(frame.Triangles, [3]int32{tri[0] + n, tri[1] + n, tri[2] + n})
		}
		require.NotContains(t, ways(body(at(frame, 0, 0, 0)), body(box(-750, -750, 0, 750, 750, 10))), "u", "pin %d", k)
	}
}

// What comes in first does not go through what waits to come in: played backwards, the
// block goes into its tunnel while the peg is still above its hole.
func TestWhatWaitsIsInNobodysWay(t *testing.T) {
	still := body(box(-10, -10, -40, 10, 10, 0),
		box(-30, -20, 0, 0, -10, 100), box(-30, 10, 0, 0, 20, 100), box(-30, -10, 0, 0, 10, 40), box(-30, -10, 60, 0, 10, 100)) // a tunnel along x, and what it is in
	block := Moving{Body: body(box(-30, -10, 40, 0, 10, 60)), Ways: []mesh.Vec{{1, 0, 0}}}
	peg := Moving{Body: body(box(2, -5, 0, 8, 5, 30)), Ways: []mesh.Vec{{0, 0, 1}}}
	for _, l := range Apart(still, []Moving{block, peg}) {
		require.GreaterOrEqual(t, l.Way, 0)
		if l.Moving == 1 {
			require.Equal(t, 0, l.Round, "the peg leaves first")
			require.Greater(t, l.Distance, 60*mm, "it waits above the block's way")
		}
	}
}

// Shells of one mesh that are turned alike are seen once; what is found is what each with a
// mesh of its own gives.
func TestShellsOfOneMeshAreSweptAsOthers(t *testing.T) {
	peg, pin := rod(3, 20, 24), rod(1, 5, 12)
	quarter := at(peg, 0, 70, 0)
	quarter.At = quarter.At.Mul(mesh.Mat{0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1})
	for name, c := range map[string]struct{ still, moving []Shell }{
		"pegs below pegs, each at another distance": {
			[]Shell{box(-10, -10, -5, 90, 10, -1), at(peg, 0, 0, 25), at(peg, 30, 1, 37), at(peg, 62, 0, 51), quarter},
			[]Shell{at(peg, 0, 0, 0), at(peg, 30, 0, 2), at(peg, 60, 0, 7)},
		},
		"pins that no line meets by chance": {
			[]Shell{box(-700, -750, -20, 750, 750, -10)},
			[]Shell{at(pin, -740, 0, 0), at(pin, 333, 127, 0), at(pin, -212, -611, 3)},
		},
	} {
		passes := func(own bool) (all []pass) {
			give := func(shells []Shell) []Shell {
				shells = slices.Clone(shells)
				for i := range shells {
					if own {
						m := *shells[i].Mesh
						shells[i].Mesh = &m
					}
				}
				return shells
			}
			for _, list := range newApart(body(give(c.still)...), one(body(give(c.moving)...))).passes[0] {
				all = append(all, list...)
			}
			return all
		}
		shared, own := passes(false), passes(true)
		require.Len(t, shared, len(own), name)
		met := 0
		for i, p := range own {
			if p.met() {
				met++
			}
			require.Equal(t, [2]int{p.body, p.shell}, [2]int{shared[i].body, shared[i].shell}, name)
			require.InDelta(t, p.clear, shared[i].clear, 1e-12, name)
			require.Equal(t, p.met(), shared[i].met(), name)
			if p.met() {
				require.InDelta(t, p.at, shared[i].at, 1e-12, name)
			}
		}
		require.Positive(t, met, name)
	}
}
