package scene

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/step"
	"planfold/testdata/solid"
)

func focusOn(parts ...step.Part) *step.Step { return &step.Step{Content: step.Content{Parts: parts}} }

func TestPartsComeInByTheWayThatIsFree(t *testing.T) {
	p, lib := press()
	in := seeing(input(p, lib, focusOn(step.Part{Item: text("bolt"), Occurrences: texts("bolt-1", "bolt-2", "bolt-3", "bolt-4")})))
	in.Present = []string{"plate-1"}
	s := Build(in)
	require.Empty(t, s.Diagnostics)
	require.Equal(t, []string{"assemble"}, s.Clips)
	require.Equal(t, []Motion{{"bolt-1", "inferred", 0, "", "cylinder"}, {"bolt-2", "inferred", 0, "", "cylinder"}, {"bolt-3", "inferred", 0, "", "cylinder"}, {"bolt-4", "inferred", 0, "", "cylinder"}}, s.Motions)
	doc := decode(t, s)
	_, first := world(doc, poses(t, doc, s, false))
	_, home := world(doc, nil)
	for path := range map[string]bool{"bolt-1": true, "bolt-4": true} {
		way := first[path].Point(mesh.Vec{}).Sub(home[path].Point(mesh.Vec{}))
		require.InDelta(t, 1, way.Unit()[1], 1e-6, path) // Y is up
		require.Greater(t, way.Length(), 0.02, path)     // their whole length
	}
	require.True(t, same(s, Build(in)))

	// What is still to come is not in the way. What is there is, though it is not drawn.
	lid := &step.Occurrence{ID: text("lid-1"), Item: text("lid"), Placement: at(0, 0, 0.02)}
	p.Structure[""] = append(p.Structure[""], lid)
	lib["lid"] = []Shape{{Ladder: block(mesh.Vec{-0.06, -0.06, 0}, mesh.Vec{0.06, 0.06, 0.01}), Transform: mesh.Identity()}}
	in = seeing(input(p, lib, in.Step))
	in.Present = []string{"plate-1"}
	require.Len(t, Build(in).Motions, 4)
	in.Present = []string{"plate-1", "lid-1"}
	in.Step.Roles = []step.RoleChange{{Occurrence: "lid-1", Role: text(Hidden)}}
	s = Build(in)
	require.Empty(t, s.Motions)
	require.Empty(t, s.Clips)
	require.Equal(t, []string{"SCENE_MOTION_BLOCKED"}, codes(s))
	require.Contains(t, s.Diagnostics[0].Message, `no straight way in is free for 4 occurrences; "lid-1" stands in the way of the first, "bolt-1"`)
}

// What a rule keeps from being drawn is there all the same.
func TestWhatIsNeverDrawnIsInTheWay(t *testing.T) {
	p, lib := press()
	lid := &step.Occurrence{ID: text("lid-1"), Item: text("lid"), Placement: at(0, 0, 0.02), Hide: text("never drawn")}
	p.Structure[""] = append(p.Structure[""], lid)
	lib["lid"] = []Shape{{Ladder: block(mesh.Vec{-0.06, -0.06, 0}, mesh.Vec{0.06, 0.06, 0.01}), Transform: mesh.Identity()}}
	in := seeing(input(p, lib, focusOn(step.Part{Item: text("bolt"), Occurrences: texts("bolt-1")})))
	in.Present = []string{"plate-1"}
	require.Len(t, Build(in).Motions, 1)
	in.Present = []string{"plate-1", "lid-1"}
	require.Equal(t, []string{"SCENE_MOTION_BLOCKED"}, codes(Build(in)))
}

// A part that stands nearly upright, on an axis of its own that is nearly its placement's,
// has a way up.
func TestAPartThatStandsAskewFloats(t *testing.T) {
	p, lib := press()
	sin, cos := math.Sincos(0.0087) // half a degree
	tilt := mesh.Mat{cos, 0, -sin, 0, 0, 1, 0, 0, sin, 0, cos, 0, 0.5, 0, 0, 1}
	p.Structure[""] = append(p.Structure[""], &step.Occurrence{ID: text("pin-1"), Item: text("pin"), Placement: &step.Placement{Matrix: tilt}})
	sin, cos = math.Sincos(0.014)
	lib["pin"] = []Shape{{Ladder: rod(0.004, 0.05), Transform: mesh.Mat{cos, 0, -sin, 0, 0, 1, 0, 0, sin, 0, cos, 0, 0, 0, 0, 1}}}
	s := Build(seeing(input(p, lib, focusOn(step.Part{Item: text("pin"), Occurrences: texts("pin-1")}))))
	require.Len(t, s.Motions, 1)
}

func TestWhatIsGivenIsShownAndWhatItMeetsIsTold(t *testing.T) {
	p, lib := press()
	s := boltStep(p)
	in := seeing(input(p, lib, s))
	in.Present = []string{"plate-1"}
	require.Empty(t, Build(in).Diagnostics)
	for i := range p.Views["V-1"].Displaced {
		d := &p.Views["V-1"].Displaced[i]
		d.Placement.Matrix = mesh.Translation(mesh.Vec{0, 0, -0.1}).Mul(d.Placement.Matrix)
	}
	got := Build(in)
	require.Equal(t, []string{"SCENE_MOTION_COLLIDES"}, codes(got), "but for the one that turns, of which it cannot be told")
	require.Contains(t, got.Diagnostics[0].Message, `the motion of 3 occurrences, the first of them "bolt-1", leads through "plate-1"`)
	require.Len(t, got.Motions, 4)
	require.Equal(t, Motion{"bolt-1", "view", 0, "plate-1", ""}, got.Motions[0])
	require.Equal(t, Motion{"bolt-4", "view", 1, "", ""}, got.Motions[3])
}

// A rule moves the bolts; the plate that they hold is moved by nothing, and comes first.
func TestRulesAndInferenceShareAStep(t *testing.T) {
	p, lib := press()
	bolt := step.Part{Item: text("bolt"), Occurrences: texts("bolt-1"), Motion: &step.Motion{Direction: [3]float64{0, 0, -1}, Distance: 0.06}}
	in := seeing(input(p, lib, focusOn(bolt, step.Part{Item: text("plate"), Occurrences: texts("plate-1")})))
	s := Build(in)
	require.Empty(t, s.Diagnostics)
	require.Equal(t, []Motion{{"plate-1", "inferred", 0, "", "up"}, {"bolt-1", "rule", 1, "", ""}}, s.Motions)
	// Where a view displaces something, nothing is added to what it says.
	p.Views["V"] = &step.View{ID: text("V"), Displaced: []step.Displaced{{Occurrence: text("plate-1"), Placement: *at(0, 0, 0.2)}}}
	in.Step.View, in.Step.Parts[0].Motion = text("V"), nil
	require.Equal(t, []Motion{{"plate-1", "view", 0, "bolt-1", ""}}, Build(in).Motions)
}

func TestASubAssemblyComesInWhole(t *testing.T) {
	p, lib := press()
	in := seeing(input(p, lib, focusOn(step.Part{Item: text("head"), Occurrences: texts("head-1")})))
	in.Present = []string{"plate-1"}
	s := Build(in)
	require.Empty(t, s.Diagnostics)
	require.Equal(t, []Motion{{"head-1", "inferred", 0, "", "up"}}, s.Motions)
}

// A screw turns by its own thread, the way that the thread goes.
func TestAScrewTurnsAsItGoesIn(t *testing.T) {
	p, lib := press()
	for hand, turns := range map[float64]float64{1: -inferredTurns, -1: inferredTurns} {
		m := solid.Screw(0.003, 0.0006, 0.001, hand*0.001, 0.02)
		lib["bolt"] = []Shape{{Ladder: ladder([]*mesh.Mesh{m}, []float64{0}), Transform: mesh.Translation(mesh.Vec{0, 0, -0.02})}}
		lib["plate"] = []Shape{{Ladder: ladder([]*mesh.Mesh{solid.Bored(m, 0.02)}, []float64{0}), Transform: mesh.Translation(mesh.Vec{0.04, 0.04, -0.01})}}
		in := seeing(input(p, lib, focusOn(step.Part{Item: text("bolt"), Occurrences: texts("bolt-1")})))
		in.Present = []string{"plate-1"}
		c := newComposer(in)
		c.parts = in.Step.Parts
		c.cast()
		c.collect()
		c.fit(1e6)
		c.planMoves()
		require.Empty(t, c.out.Diagnostics)
		i, _ := in.Structure.Find("bolt-1")
		require.Equal(t, turns, c.moves[i].turns)
		require.InDelta(t, -1, c.moves[i].axis[2], 1e-12)
		require.NotEqual(t, glb.Still, c.moves[i].turnAt(0.1))
	}
}
