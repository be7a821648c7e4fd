package scene

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/step"
	"planfold/testdata/solid"
)

// chest is a box of six walls, 100 mm wide, with a die in it and bolts around. Its lid
// has a square hole of the given width, in metres; 0 for none.
func chest(hole float64) Input {
	p, lib := press()
	p.Structure[""] = nil
	add := func(id, item string, at *step.Placement) {
		p.Structure[""] = append(p.Structure[""], occurrence("", id, item, at))
	}
	wall := func(lo, hi mesh.Vec) { // an item of its own
		id := "wall-" + string(rune('a'+len(p.Structure[""])))
		lib[id] = []Shape{{Ladder: block(lo, hi), Transform: mesh.Identity()}}
		p.Items[id] = &step.Item{ID: text(id)}
		add(id+"-1", id, at(0, 0, 0))
	}
	wall(mesh.Vec{-0.05, -0.05, 0}, mesh.Vec{0.05, 0.05, 0.002})
	for _, d := range []float64{-1, 1} {
		x := mesh.Vec{0.05*d - 0.001, -0.051, 0}
		wall(x, mesh.Vec{0.05*d + 0.001, 0.051, 0.1})
		y := mesh.Vec{-0.051, 0.05*d - 0.001, 0}
		wall(y, mesh.Vec{0.051, 0.05*d + 0.001, 0.1})
	}
	h := hole / 2
	for _, l := range [][4]float64{{-0.05, -0.05, 0.05, -h}, {-0.05, h, 0.05, 0.05}, {-0.05, -h, -h, h}, {h, -h, 0.05, h}}[:2+min(2, int(1000*hole))] {
		wall(mesh.Vec{l[0], l[1], 0.098}, mesh.Vec{l[2], l[3], 0.1})
	}
	add("die-1", "block", at(0, 0, 0.002))
	add("bolt-1", "bolt", at(0.03, 0.03, 0.12))
	s := step.Step{Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1")}}}}
	in := seeing(input(p, lib, &s))
	for _, o := range p.Structure[""] {
		if o.ID.Value != "bolt-1" {
			in.Present = append(in.Present, o.ID.Value)
		}
	}
	return in
}

func TestWhatNobodySeesLeavesTheContext(t *testing.T) {
	shut := Build(chest(0))
	require.Equal(t, []string{"die-1"}, shut.Enclosed)
	require.Equal(t, 12, shut.EnclosedTriangles)
	for _, n := range shut.Nodes {
		require.NotEqual(t, "die-1", n.Name)
	}
	for _, hole := range []float64{0.05, 0.02, 0.01, 0.004} {
		require.Empty(t, Build(chest(hole)).Enclosed, "a hole of %g m shows the die", hole)
	}
}

func TestWhatMattersStaysThoughNobodySeesIt(t *testing.T) {
	in := chest(0)
	in.Step.Registration.Occurrence = text("die-1")
	require.Empty(t, Build(in).Enclosed, "the overlay is aligned by it")
	require.Contains(t, codes(Build(in)), "SCENE_REGISTRATION_HIDDEN", "by what nobody sees")

	in = chest(0)
	in.Step.Parts = append(in.Step.Parts, step.Part{Item: text("block"), Occurrences: texts("die-1")})
	require.Empty(t, Build(in).Enclosed, "it is a part of the step")

	in = chest(0)
	in.Structure.Occurrences[in.index(t, "bolt-1")].Placement = mesh.Translation(mesh.Vec{0.0155, 0, 0.03})
	require.Empty(t, Build(in).Enclosed, "a part of the step touches it")

	in = chest(0)
	in.Mesh = func(Blob) *mesh.Mesh { return nil }
	require.Empty(t, Build(in).Enclosed, "nobody could look")

	in = chest(0)
	lid := in.Structure.Occurrences[in.index(t, "wall-f-1")].Path
	in.Plan.Views["V"] = &step.View{ID: text("V"), Displaced: []step.Displaced{{Occurrence: text(lid), Placement: *at(0, 0, 0.2)}}}
	in.Step.View = text("V")
	require.Empty(t, Build(in).Enclosed, "what moves hides nothing")
}

func (in *Input) index(t *testing.T, path string) int {
	t.Helper()
	i, ok := in.Structure.Find(path)
	require.True(t, ok, path)
	return i
}

// A part that no sample may hit, though it lies open, is not judged.
func TestWhatIsTooThinToJudgeStays(t *testing.T) {
	in := chest(0)
	p := in.Plan
	in.Library["speck"] = []Shape{{Ladder: ladder([]*mesh.Mesh{solid.Sphere(0.0001, 12, 8)}, []float64{0}), Transform: mesh.Identity()}}
	p.Items["speck"] = &step.Item{ID: text("speck")}
	p.Structure[""] = append(p.Structure[""], occurrence("", "speck-1", "speck", at(0.0604, 0, 0.05)))
	in.Structure, _ = Expand(p, "")
	in.Present = append(in.Present, "speck-1")
	require.Equal(t, []string{"die-1"}, Build(in).Enclosed)
}

// What was found of a step holds for the steps after it, as long as all is there.
func TestWhatIsEnclosedStaysSo(t *testing.T) {
	in := chest(0)
	Build(in)
	in.Mesh = func(Blob) *mesh.Mesh { return nil } // it cannot look again
	require.Equal(t, []string{"die-1"}, Build(in).Enclosed)
	in.Present = in.Present[1:] // without its bottom
	require.Empty(t, Build(in).Enclosed)
}
