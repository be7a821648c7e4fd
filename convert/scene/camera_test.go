package scene

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/raster"
	"planfold/convert/step"
	"planfold/testdata/solid"
)

// seeing lets scenes look at the fixtures' meshes.
func seeing(in Input) Input {
	in.Mesh = func(b Blob) *mesh.Mesh {
		m, err := b.Layout.Decode(blobs[b.SHA256])
		if err != nil {
			panic(err)
		}
		return m
	}
	in.Normals = func(b Blob) raster.Normals { return raster.PackNormals(glb.Normals(in.Mesh(b))) }
	return in
}

// inside reports how many samples show bodies, and whether none is cut by the border.
func inside(p *raster.Picture, bodies []raster.Body) (samples int, whole bool) {
	b := raster.NewBuffer(p.Width, p.Height)
	for _, x := range bodies {
		b.Draw(p.View, raster.Place(x.Mesh, x.Place), 0)
	}
	whole = true
	for i, t := range b.Tags {
		x, y := i%p.Width, i/p.Width
		if t != raster.None {
			samples++
			whole = whole && x > 0 && y > 0 && x < p.Width-1 && y < p.Height-1
		}
	}
	return samples, whole
}

func TestOwnCameraFramesTheFocusAlongItsPath(t *testing.T) {
	p, lib := press()
	for _, distance := range []float64{0.02, 0.2, 1} {
		s := step.Step{
			Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1", "bolt-3")}}},
			Motions: []step.Motion{{Direction: [3]float64{0, 0, -1}, Distance: distance}},
		}
		in := seeing(input(p, lib, &s))
		in.Present = []string{"plate-1"}
		got := Build(in)
		require.Equal(t, []string{"step"}, got.Views)
		require.NotNil(t, decode(t, got).Cameras)
		pic := got.Picture()
		require.Len(t, pic.Paths, 2)
		for _, bodies := range [][]raster.Body{pic.Focus, pic.Home} {
			n, whole := inside(pic, bodies)
			require.Greater(t, n, 20)
			require.True(t, whole, "at a distance of %g", distance)
		}
	}
}

// A niche that is open to one side alone.
func niche(open mesh.Vec) (*step.Plan, Library) {
	p, lib := press()
	p.Structure[""] = []*step.Occurrence{occurrence("", "niche-1", "plate", at(0, 0, 0)), occurrence("", "ram-1", "ram", at(0, 0, -0.025))}
	var walls []Shape
	for k := range 3 {
		for _, d := range []float64{-1, 1} {
			if open[k] == d {
				continue
			}
			lo, hi := mesh.Vec{-0.05, -0.05, -0.05}, mesh.Vec{0.05, 0.05, 0.05}
			lo[k], hi[k] = 0.05*d-0.001, 0.05*d+0.001
			walls = append(walls, Shape{Ladder: ladder([]*mesh.Mesh{solid.Box(lo, hi)}, []float64{0}), Transform: mesh.Identity()})
		}
	}
	lib["plate"] = walls
	return p, lib
}

func TestOwnCameraLooksFromWhereTheFocusIsSeen(t *testing.T) {
	s := step.Step{Content: step.Content{Parts: []step.Part{{Item: text("ram"), Occurrences: texts("ram-1")}}}}
	look := func(p *step.Plan, lib Library) mesh.Vec {
		in := seeing(input(p, lib, &s))
		in.Present = []string{"niche-1"}
		return Build(in).Picture().View.Toward
	}
	for _, open := range []mesh.Vec{{0, 1, 0}, {-1, 0, 0}, {0, 0, -1}} {
		require.Less(t, look(niche(open)).Dot(open), -0.5, "it looks in through the opening")
	}

	// What is seen well enough from the side of the plan's views is seen from there.
	p, lib := niche(mesh.Vec{0, -1, 0})
	usual := look(p, lib)
	require.InDelta(t, 1, usual.Dot(mesh.Vec{-0.6, 0.8, -0.6}.Unit()), 1e-9)
	p.Views["V-1"] = &step.View{Camera: &step.Camera{Position: [3]float64{-1, -2, 1}}}
	p.Views["V-2"] = &step.View{Camera: &step.Camera{Position: [3]float64{-1, -2, 1.5}}}
	require.Greater(t, look(p, lib).Dot(mesh.Vec{1, 2, -1.25}.Unit()), 0.99)
}

func TestWholeHasACamera(t *testing.T) {
	p, lib := press()
	got := Whole(seeing(input(p, lib, &step.Step{})))
	require.Len(t, decode(t, got).Cameras, 1)
	_, whole := inside(got.Picture(), got.Picture().Context)
	require.True(t, whole)
}

func TestPictureShowsEachPieceInItsRole(t *testing.T) {
	p, lib := press()
	s := step.Step{Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1")}}}}
	in := seeing(input(p, lib, &s))
	in.Present = []string{"plate-1", "head-1"}
	got := Build(in)
	pic := got.Picture()
	require.Len(t, pic.Focus, 2, "shank and cap")
	require.Equal(t, pic.Focus[0].Number, pic.Focus[1].Number, "one thing")
	require.Len(t, pic.Context, 3)
	require.Len(t, pic.Home, 2, "where it goes")
	require.Equal(t, [2]int{960, 720}, [2]int{pic.Width, pic.Height})
	in.Profile.PictureEdge = 320
	require.Equal(t, 240, Build(in).Picture().Height)
}

func TestFrameIsFilledAndHasEqualMargins(t *testing.T) {
	p, lib := press()
	c := newComposer(input(p, lib, &step.Step{}))
	boxes := []mesh.Box{{Min: mesh.Vec{0, 0, 0}, Max: mesh.Vec{0.3, 0.1, 0.05}}, {Min: mesh.Vec{0.2, 0.4, 0}, Max: mesh.Vec{0.25, 0.5, 0.4}}}
	bar := []mesh.Box{{Max: mesh.Vec{0.3, 0.04, 0.04}}}
	for i, from := range []mesh.Vec{{1, -1, 1}, {0, -1, 0.2}, {-0.3, 1, -1}, {1, 0.09, 0}, {1, 0.18, 0.1}, {-1, 0, 0}} {
		if i > 2 { // nearly along it
			boxes = bar
		}
		k := c.frame(from.Unit(), mesh.Vec{}, 0.8, boxes)
		share, whole := k.filled(boxes)
		require.True(t, whole)
		require.InDelta(t, 0.8, share, 0.003)
		v := raster.Perspective(k.position, k.towards, k.up, k.field, 0, pictureWide, pictureHigh)
		least, most := [2]float64{9, 9}, [2]float64{-9, -9}
		for _, b := range boxes {
			for i := range 8 {
				x, y, _ := v.Spot(b.Corner(i))
				for axis, at := range [2]float64{x, y} {
					least[axis], most[axis] = min(least[axis], at), max(most[axis], at)
				}
			}
		}
		require.InDelta(t, pictureWide, least[0]+most[0], 0.02)
		require.InDelta(t, pictureHigh, least[1]+most[1], 0.02)
	}
}
