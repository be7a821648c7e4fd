package scene

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/step"
)

func TestArrowStartsBeforeWhatMovesAndEndsBehindItsSeat(t *testing.T) {
	p, lib := press()
	s := step.Step{
		Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1")}}},
		Motions: []step.Motion{{Direction: [3]float64{0, 0, -1}, Distance: 1}},
	}
	in := seeing(input(p, lib, &s))
	in.Present = []string{"plate-1"}
	pic := Build(in).Picture()
	require.Len(t, pic.Paths, 1)
	start, home := mesh.EmptyBox(), mesh.EmptyBox()
	for i, b := range pic.Focus {
		for _, at := range b.Mesh.Positions {
			start.Add(b.Place.Point(at))
			home.Add(pic.Home[i].Place.Point(at))
		}
	}
	require.InDelta(t, start.Min[2], pic.Paths[0][0][2], 1e-5)
	require.InDelta(t, home.Max[2], pic.Paths[0][1][2], 1e-5)

	// With less room than that it runs into the seat rather than to be too short.
	s.Motions[0].Distance = 0.01
	in.Step = &s
	path := Build(in).Picture().Paths[0]
	require.InDelta(t, 0.006, path[0][2]-path[1][2], 1e-9)
}

func TestWaysOnOneLineHaveOneArrow(t *testing.T) {
	down := mesh.Vec{0, 0, -1}
	far := way{mesh.Vec{0, 0, 1}, down, 0.3, 0.5}
	near := way{mesh.Vec{0, 0, 0.6}, down, 0.5, 0.6}
	for _, order := range [][2]way{{far, near}, {near, far}} {
		one := order[0]
		require.True(t, order[1].follows(one))
		one.join(order[1])
		require.InDelta(t, 1, one.from[2], 1e-12)
		require.InDelta(t, 0.1, one.at(one.length)[2], 1e-12)
	}
	for _, other := range []way{
		{mesh.Vec{0.1, 0, 0.6}, down, 0.5, 0.6},         // beside it
		{mesh.Vec{0, 0, 0.6}, down.Scale(-1), 0.5, 0.6}, // the other way
		{mesh.Vec{0, 0, 0.4}, down, 0.5, 0.6},           // where the first is at home already
	} {
		require.False(t, other.follows(far))
	}
}

// A view from so far, or one past it, is not what one can read on paper.
func TestPictureIsDrawnFromCloserThanAFarView(t *testing.T) {
	p, lib := press()
	s := step.Step{Content: step.Content{
		Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1")}},
	}}
	s.View = text("V-1")
	look := func(distance, aside float64) (toward mesh.Vec, share int, whole bool) {
		target := [3]float64{aside, 0, 0}
		p.Views["V-1"] = &step.View{ID: text("V-1"), Camera: &step.Camera{
			Position: [3]float64{aside, -distance, distance}, Target: target, Up: [3]float64{0, 0, 1},
		}}
		in := seeing(input(p, lib, &s))
		in.Present = []string{"plate-1"}
		out := Build(in)
		require.Equal(t, []string{"V-1"}, out.Views, "the scene's stays")
		pic := out.Picture()
		n, whole := inside(pic, append(pic.Focus, pic.Home...))
		return pic.View.Toward, n, whole
	}
	_, near, _ := look(0.5, 0)
	toward, far, whole := look(20, 0)
	require.True(t, whole)
	require.Greater(t, 3*far, near)
	require.InDelta(t, 1, toward.Dot(mesh.Vec{0, 1, -1}.Unit()), 1e-9)
	_, _, whole = look(1, 3)
	require.True(t, whole)
}
