package scene

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/raster"
	"planfold/convert/step"
	"planfold/testdata/solid"
)

// sunk is the picture of a step that lowers bolts into the plate.
func sunk(t *testing.T, lib Library, first string, bolts ...string) *raster.Picture {
	t.Helper()
	p, press := press()
	if lib == nil {
		lib = press
	}
	in := seeing(input(p, lib, &step.Step{
		Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts(bolts...)}}},
		Motions: []step.Motion{{Direction: [3]float64{0, 0, -1}, Distance: 0.1}},
	}))
	if first != "" {
		in.Step.Tightening = []step.Tightening{{Order: text("1"), Occurrence: text(first)}}
	}
	in.Present = []string{"plate-1"}
	return Build(in).Picture()
}

func TestOfAGroupTheNearestHasAnArrow(t *testing.T) {
	pic := sunk(t, nil, "", "bolt-1", "bolt-2", "bolt-3", "bolt-4")
	require.Len(t, pic.Paths, 4)
	var arrow raster.Path
	thin := 0
	for _, p := range pic.Paths {
		if p.Thin {
			thin++
		} else {
			arrow = p
		}
	}
	require.Equal(t, 3, thin)
	for _, p := range pic.Paths {
		assert.LessOrEqual(t, arrow.From.Distance(pic.View.Position), p.From.Distance(pic.View.Position))
	}
	for _, first := range []string{"bolt-1", "bolt-4"} {
		pic := sunk(t, nil, first, "bolt-1", "bolt-2", "bolt-3", "bolt-4")
		for _, p := range pic.Paths {
			l := pic.Labels[0]
			require.NotEqual(t, p.Thin, math.Hypot(p.From[0]-l.At[0], p.From[1]-l.At[1]) < 1e-6, "what is tightened first has it: %s", first)
		}
	}
	for _, p := range sunk(t, nil, "", "bolt-1", "bolt-2", "bolt-3").Paths {
		require.False(t, p.Thin, "three are not many")
	}
}

func down(x, length float64) way {
	return way{from: mesh.Vec{x, 0, 1}, direction: mesh.Vec{0, 0, -1}, length: length, travel: length}
}

func TestGroupsLieTogetherAndGoAlike(t *testing.T) {
	all := []arrow{{way: down(0, 0.5)}, {way: down(0.9, 0.5)}, {way: down(0.1, 0.5)}, {way: down(1, 0.5)}, {way: down(0.5, 0.3)}}
	groups, single := grouped(all)
	require.Equal(t, [][]*arrow{{&all[0], &all[2]}, {&all[1], &all[3]}}, groups)
	require.Equal(t, []*arrow{&all[4]}, single, "it goes less far")
}

// The nearest would lie beside the arrow of something else.
func TestArrowOfAGroupStandsWhereThereIsRoom(t *testing.T) {
	v := raster.Perspective(mesh.Vec{-3, -3, 0.5}, mesh.Vec{0.5, 0, 0.5}, mesh.Vec{0, 0, 1}, 0.6, 0.1, 960, 720)
	ways := []way{down(0, 0.5), down(0.3, 0.5), down(0.6, 0.5), down(0.9, 0.5)}
	leads := func(ways []way) (out []bool) {
		for _, p := range (&composer{Input: Input{Step: &step.Step{}}}).arrows(ways, v) {
			out = append(out, !p.Thin)
		}
		return out
	}
	require.Equal(t, []bool{true, false, false, false}, leads(ways))
	require.Equal(t, []bool{false, true, false, false, true}, leads(append(ways, down(0.02, 0.3))))
	low := mesh.Vec{0.9, 0, 0.2}
	past := way{from: low, direction: v.Position.Sub(low).Unit(), length: 9, travel: 9}
	require.Equal(t, []bool{true, false, false, false, true}, leads(append(ways, past)), "what reaches past the eye is not drawn")
}

func TestArrowOfARingStartsOnIt(t *testing.T) {
	for inner, on := range map[float64]bool{0.009: true, 0.002: false} {
		_, lib := press()
		lib["bolt"] = []Shape{{Ladder: ladder([]*mesh.Mesh{solid.Bored(solid.Screw(inner, 0, 1, 0, 0.004), 0.01)}, []float64{0}), Transform: mesh.Identity()}}
		pic := sunk(t, lib, "", "bolt-1")
		require.Len(t, pic.Paths, 1)
		aside := pic.Paths[0].From.Sub(mesh.Vec{0.04, 0.04, pic.Paths[0].From[2]})
		if !on {
			require.Less(t, aside.Length(), 1e-6, "its middle is not wide")
			continue
		}
		require.InDelta(t, 0.0095, aside.Length(), 0.0008)
		require.Positive(t, aside.Dot(pic.View.Position.Sub(pic.Paths[0].From)), "at the side of the eye")
		require.InDelta(t, 0, pic.Paths[0].To.Sub(pic.Paths[0].From).Cross(mesh.Vec{0, 0, 1}).Length(), 1e-9)
	}
}

// Ways that are each like the next need not all be alike.
func TestEachWayIsOfOneGroup(t *testing.T) {
	var all []arrow
	for _, travel := range []float64{1, 1.03, 1.015, 1, 1, 1, 1.03, 1.03, 1.03} {
		all = append(all, arrow{way: way{direction: mesh.Vec{0, 0, 1}, length: 1, travel: travel}})
	}
	groups, single := grouped(all)
	count := len(single)
	for _, g := range groups {
		count += len(g)
	}
	require.Equal(t, len(all), count)
}
