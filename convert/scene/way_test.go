package scene

import (
	"slices"
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
	require.InDelta(t, start.Min[2], pic.Paths[0].From[2], 1e-5)
	require.InDelta(t, home.Max[2], pic.Paths[0].To[2], 1e-5)

	// With less room than that it runs into the seat rather than to be too short.
	s.Motions[0].Distance = 0.01
	in.Step = &s
	path := Build(in).Picture().Paths[0]
	require.InDelta(t, 0.006, path.From[2]-path.To[2], 1e-9)
}

func TestWaysOnOneLineHaveOneArrow(t *testing.T) {
	down := mesh.Vec{0, 0, -1}
	far := way{from: mesh.Vec{0, 0, 1}, direction: down, length: 0.3, travel: 0.5}
	near := way{from: mesh.Vec{0, 0, 0.6}, direction: down, length: 0.5, travel: 0.6}
	for _, order := range [][2]way{{far, near}, {near, far}} {
		one := order[0]
		require.True(t, order[1].follows(one))
		one.join(order[1])
		require.InDelta(t, 1, one.from[2], 1e-12)
		require.InDelta(t, 0.1, one.from[2]-one.length, 1e-12)
	}
	for _, other := range []way{
		{from: mesh.Vec{0.1, 0, 0.6}, direction: down, length: 0.5, travel: 0.6},         // beside it
		{from: mesh.Vec{0, 0, 0.6}, direction: down.Scale(-1), length: 0.5, travel: 0.6}, // the other way
		{from: mesh.Vec{0, 0, 0.4}, direction: down, length: 0.5, travel: 0.6},           // where the first is at home already
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

// What the parts go onto is in the picture as well, where they are large enough in it.
func TestPictureShowsTheWholeOfWhatIsThere(t *testing.T) {
	p, lib := press()
	s := step.Step{Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1", "bolt-3")}}}}
	s.View = text("V-1")
	p.Views["V-1"] = &step.View{ID: text("V-1"), Camera: &step.Camera{Position: [3]float64{0, -0.06, 0.1}, Target: [3]float64{0, 0, 0.01}}}
	in := seeing(input(p, lib, &s))
	in.Present = []string{"plate-1"}
	saved := camera{position: mesh.Vec{0, -0.06, 0.1}, towards: mesh.Vec{0, 0, 0.01}, up: mesh.Vec{0, 0, 1}, field: usualFieldOfView}
	_, whole := saved.filled([]mesh.Box{lib["plate"][0].Ladder.Bounds})
	require.False(t, whole, "the saved view cuts the plate off")
	pic := Build(in).Picture()
	_, whole = inside(pic, slices.Concat(pic.Context, pic.Focus, pic.Home))
	require.True(t, whole)

	lib["plate"] = []Shape{{Ladder: block(mesh.Vec{-0.5, -0.5, 0}, mesh.Vec{0.5, 0.5, 0.01}), Transform: mesh.Identity()}}
	pic = Build(in).Picture()
	_, whole = inside(pic, pic.Context)
	require.False(t, whole, "the bolts would be small")
	_, whole = inside(pic, append(pic.Focus, pic.Home...))
	require.True(t, whole)
}
