package scene

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/mesh"
	"planfold/convert/step"
)

// overlap reports whether two boxes share space seen from above.
func (t table) overlap(a, b mesh.Box) bool {
	for _, axis := range []int{t.right, t.away} {
		al, ah := span(a, axis)
		bl, bh := span(b, axis)
		if ah <= bl+1e-12 || bh <= al+1e-12 {
			return false
		}
	}
	return true
}

func TestTrayCellsDoNotOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := tableOf(rapid.SampledFrom([]byte("XYZ")).Draw(t, "up"))
		var cells []*cell
		for range rapid.IntRange(1, 12).Draw(t, "cells") {
			var b mesh.Box
			for k := range 3 {
				b.Min[k] = rapid.Float64Range(-1, 1).Draw(t, "low")
				b.Max[k] = b.Min[k] + rapid.Float64Range(0.001, 1).Draw(t, "size")
			}
			cells = append(cells, &cell{box: b})
		}
		width, depth := table.lay(cells, 0.05)
		var laid []mesh.Box
		for i, c := range cells {
			b := c.box.Transform(mesh.Translation(c.offset))
			for _, o := range laid {
				require.False(t, table.overlap(b, o), "cell %d", i)
			}
			laid = append(laid, b)
			bottom, _ := span(b, table.up)
			require.InDelta(t, 0, bottom, 1e-12)
			left, right := span(b, table.right)
			near, far := span(b, table.away)
			require.True(t, left > -1e-9 && right < width+1e-9 && far < 1e-9 && near > -depth-1e-9)
		}
	})
}

func TestStepWithoutPlacementsLiesOnTheTray(t *testing.T) {
	p, lib := press()
	for _, o := range p.Structure[""] {
		o.Placement = nil
	}
	s := &step.Step{Content: step.Content{Parts: []step.Part{
		{Item: text("bolt"), Find: text("10"), Occurrences: texts("bolt-1", "bolt-2")},
		{Item: text("plate")},
		{Item: text("bolt"), Find: text("10"), PartsOf: "operation"},
		{Item: text("head")},
		{Item: text("grease")},
		{Operation: text("OP-5")},
	}}}
	in := input(p, lib, s)
	in.Built = map[string]string{"OP-5": "ram"}
	out := Build(in)
	require.Equal(t, Tray, out.Layout)
	require.Equal(t, []string{"SCENE_ITEM_WITHOUT_GEOMETRY"}, codes(out))
	names := map[string]Node{}
	for i, n := range out.Nodes {
		names[n.Name] = n
		require.Equal(t, i, n.Part)
		require.Equal(t, Focus, n.Role)
		require.Empty(t, n.Occurrence)
	}
	require.Len(t, names, 6)
	for _, want := range []string{"10", "10 (2)", "plate The plate", "head The head", "grease The grease", "ram The ram"} {
		require.Contains(t, names, want)
	}
	require.Zero(t, names["grease The grease"].Triangles)
	require.Equal(t, 12+4*96, names["head The head"].Triangles) // block and ram, in their places
	doc := decode(t, out)
	require.Equal(t, out.Triangles, drawnTriangles(doc))

	// Seen from above no part lies over another, and all stand on one height.
	all, _ := world(doc, nil)
	yUp := tableOf('Y')
	var laid []mesh.Box
	for _, row := range out.Nodes {
		if row.Triangles == 0 {
			continue
		}
		b := mesh.EmptyBox()
		for _, n := range doc.Nodes {
			if n.Name != row.Name {
				continue
			}
			for _, c := range n.Children {
				a := doc.Accessors[doc.Meshes[*doc.Nodes[c].Mesh].Primitives[0].Attributes["POSITION"]]
				b.Join(mesh.Box{Min: mesh.Vec(a.Min), Max: mesh.Vec(a.Max)}.Transform(all[c]))
			}
		}
		require.False(t, b.Empty(), row.Name)
		for _, o := range laid {
			require.False(t, yUp.overlap(b, o), row.Name)
		}
		laid = append(laid, b)
		require.InDelta(t, laid[0].Min[1], b.Min[1], 1e-8, row.Name)
	}
}

func TestFilesWithoutPlacesLieSideBySide(t *testing.T) {
	p, lib := press()
	cube := block(mesh.Vec{}, mesh.Vec{0.01, 0.01, 0.01})
	shape := func(file string) Shape {
		return Shape{Name: file, Ladder: cube, Transform: mesh.Identity(), File: file}
	}
	lib["plate"] = []Shape{shape("a.stl"), shape("b.stl"), shape("b.stl")}
	c := newComposer(input(p, lib, &step.Step{}))
	shapes := c.trayShapes(tableOf('Z'), "plate")
	require.Len(t, shapes, 3)
	require.Equal(t, shapes[1].Transform, shapes[2].Transform)
	a, b := cube.Bounds.Transform(shapes[0].Transform), cube.Bounds.Transform(shapes[1].Transform)
	require.False(t, tableOf('Z').overlap(a, b))
}

func TestPartsWithoutPlacesLieBesideWhatIsInPlace(t *testing.T) {
	p, lib := press()
	s := boltStep(p)
	s.Parts = append(s.Parts, step.Part{Item: text("ram"), Find: text("bolt-1")}, step.Part{Item: text("plate"), Occurrences: texts("nowhere")})
	in := input(p, lib, s)
	in.Present = []string{"plate-1"}
	out := Build(in)
	require.Equal(t, Mixed, out.Layout)
	require.Equal(t, []string{"SCENE_OCCURRENCE_UNKNOWN", "SCENE_PART_UNPLACED", "SCENE_PART_UNPLACED"}, codes(out))
	require.Equal(t, `part "bolt-1 (2)" has no placement, and lies beside those that have`, out.Diagnostics[1].Message)
	last := out.Nodes[len(out.Nodes)-2:]
	require.Equal(t, "bolt-1 (2)", last[0].Name) // a node is called bolt-1 already
	require.Equal(t, "plate The plate", last[1].Name)
	_, named := world(decode(t, out), nil)
	for _, n := range last {
		require.Greater(t, named[n.Name].Point(mesh.Vec{})[0]+out.Origin[0], 0.05)
	}
}

func TestOperationsPartsAreShownToo(t *testing.T) {
	p, lib := press()
	s := &step.Step{Content: step.Content{Parts: []step.Part{{Item: text("plate")}}}}
	in := input(p, lib, s)
	in.Operation.Common.Parts = []step.Part{{Item: text("bolt")}}
	require.Len(t, Build(in).Nodes, 2)
}

func TestStepWithoutGeometryHasNoScene(t *testing.T) {
	p, _ := press()
	s := &step.Step{Content: step.Content{Parts: []step.Part{{Item: text("grease")}, {}}}}
	out := Build(input(p, Library{}, s))
	require.Nil(t, out.GLTF)
	require.Contains(t, out.Diagnostics[0].Message, "nothing is drawn of item", "there is no node that it could be shown as")
	require.Equal(t, []string{"SCENE_ITEM_WITHOUT_GEOMETRY", "SCENE_PART_WITHOUT_ITEM"}, codes(out))
	require.Equal(t, "GR-1", out.Diagnostics[0].Plan)
	require.Equal(t, "S-1", out.Diagnostics[0].Step)
	require.Nil(t, Build(input(p, Library{}, &step.Step{})).GLTF)
	require.Nil(t, Whole(input(p, Library{}, &step.Step{})).GLTF)
}

func TestPlacedPartWithoutGeometryKeepsAnEmptyNode(t *testing.T) {
	p, lib := press()
	delete(lib, "bolt")
	p.Items["bolt"].Geometry = []step.Geometry{{File: text("bolt.stl")}}
	s := boltStep(p)
	in := input(p, lib, s)
	in.Present = []string{"plate-1"}
	out := Build(in)
	require.Equal(t, []string{"SCENE_GEOMETRY_MISSING"}, codes(out))
	require.Len(t, out.Nodes, 5)
	_, named := world(decode(t, out), nil)
	got := turnZ.Mul(mesh.Translation(mesh.Vec(out.Origin).Scale(-1))).Mul(p.Structure[""][2].Placement.Matrix)
	requireSame(t, got, named["bolt-2"], 1e-15, "bolt-2")
}

func TestBudgetHidesTheLeastVisibleContextAndNeverFocus(t *testing.T) {
	p, lib := press()
	s := &step.Step{Content: step.Content{Parts: []step.Part{{Item: text("plate"), Occurrences: texts("plate-1")}}}}
	in := input(p, lib, s)
	in.Present = []string{"bolt-1", "bolt-2", "bolt-3", "bolt-4", "head-1"}
	// Coarsest: plate 12, bolts 48 each, block 12, ram 24.
	for _, c := range []struct {
		budget, triangles int
		hidden            string
	}{
		{250, 240, "[]"},
		{239, 192, "[bolt-1]"},
		{95, 48, "[bolt-1 bolt-2 bolt-3 bolt-4]"},
		{40, 36, "[bolt-1 bolt-2 bolt-3 bolt-4 head-1/block]"},
		{30, 24, "[bolt-1 bolt-2 bolt-3 bolt-4 head-1/ram]"}, // the block is smaller but has room again
		{5, 12, "[bolt-1 bolt-2 bolt-3 bolt-4 head-1/block head-1/ram]"},
	} {
		s.Budget = step.Count{Value: c.budget}
		out := Build(in)
		require.Equal(t, c.hidden, fmt.Sprint(out.Hidden), "%d", c.budget)
		require.Equal(t, "plate-1", out.Nodes[0].Name)
		require.Positive(t, out.Nodes[0].Triangles)
		require.Equal(t, c.budget < 12, contains(codes(out), "SCENE_BUDGET_EXCEEDED"))
		require.Equal(t, c.hidden != "[]", contains(codes(out), "SCENE_CONTEXT_HIDDEN"))
		if c.budget >= 12 {
			require.LessOrEqual(t, out.Triangles, c.budget)
		}
		require.GreaterOrEqual(t, out.Triangles, c.triangles)
	}
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

func TestFocusIsRefinedBeforeContextAndToldWhenCoarse(t *testing.T) {
	p, lib := press()
	s := &step.Step{Budget: step.Count{Value: 12 + 2*2*96 + 2*2*48}, Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1", "bolt-2")}}}}
	in := input(p, lib, s)
	in.Present = []string{"plate-1", "bolt-3", "bolt-4"}
	out := Build(in)
	deviation := map[string]float64{}
	for _, n := range out.Nodes {
		deviation[n.Name] = n.Deviation
		require.Positive(t, n.Triangles)
	}
	require.Less(t, deviation["bolt-1"], deviation["bolt-3"])
	// Focus has 24 sides and context 12, which deviate four times as much.
	require.InEpsilon(t, focusWeight, deviation["bolt-3"]/deviation["bolt-1"], 0.05)
	require.Equal(t, out.Deviation, deviation["bolt-3"])
	require.NotContains(t, codes(out), "SCENE_FOCUS_COARSE")
	s.Budget.Value = 250
	require.Contains(t, codes(Build(in)), "SCENE_FOCUS_COARSE")

	p.Items["bolt"].Budget = step.Count{Value: 100}
	s.Budget.Value = 100_000
	out = Build(in)
	require.LessOrEqual(t, out.Nodes[1].Triangles, 100)
	p.Items["bolt"].Budget = step.Count{Value: 10}
	require.Contains(t, codes(Build(in)), "SCENE_ITEM_BUDGET_EXCEEDED")
}

func TestBudgetOfAPartWinsOverItsItems(t *testing.T) {
	p, lib := press()
	s := &step.Step{Content: step.Content{Parts: []step.Part{
		{Item: text("bolt"), Occurrences: texts("bolt-1")},
		{Item: text("bolt"), Occurrences: texts("bolt-2"), Budget: step.Count{Value: 60}},
	}}}
	p.Items["bolt"].Budget = step.Count{Value: 100}
	out := Build(input(p, lib, s))
	require.LessOrEqual(t, out.Nodes[1].Triangles, 60)
	require.Greater(t, out.Nodes[0].Triangles, 60)
	require.LessOrEqual(t, out.Nodes[0].Triangles, 100)
}

func TestScaledPlacementScalesItsDeviation(t *testing.T) {
	p, lib := press()
	p.Structure[""][1].Placement = &step.Placement{Matrix: mesh.Mat{0: 3, 5: 3, 10: 1, 15: 1}}
	s := &step.Step{Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1", "bolt-2")}}}, Budget: step.Count{Value: 96}}
	out := Build(input(p, lib, s))
	want := millimetres(lib["bolt"][1].Ladder.Levels[4].Deviation)
	require.Equal(t, want, out.Nodes[1].Deviation)
	require.InDelta(t, 3*want, out.Nodes[0].Deviation, 3e-4)
}

func TestSomeOccurrencesWithoutPlacement(t *testing.T) {
	p, lib := press()
	p.Structure[""][1].Placement = nil
	out := Build(input(p, lib, boltStep2()))
	require.Equal(t, []string{"SCENE_OCCURRENCE_UNPLACED"}, codes(out))
	require.Len(t, out.Nodes, 1)
}

func boltStep2() *step.Step {
	return &step.Step{Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1", "bolt-2")}}}}
}

func TestRuleMotionsThatMoveNothingAreTold(t *testing.T) {
	p, lib := press()
	s := boltStep(p)
	down := [3]float64{0, 0, -1}
	s.Parts[0].Motion = &step.Motion{Direction: down, Distance: 1} // the view moves them already
	s.Parts = append(s.Parts, step.Part{Item: text("ram"), Motion: &step.Motion{Direction: down, Distance: 1}})
	s.Motions = []step.Motion{{Occurrence: "head-1", Direction: down, Distance: 1}, {Occurrence: "gone", Direction: down}}
	out := Build(input(p, lib, s))
	count := map[string]int{}
	for _, c := range codes(out) {
		count[c]++
	}
	require.Equal(t, map[string]int{"SCENE_MOTION_UNUSED": 6, "SCENE_OCCURRENCE_UNKNOWN": 1, "SCENE_PART_UNPLACED": 1}, count)
}

func TestDisplacementThatScalesMovesOnly(t *testing.T) {
	p, lib := press()
	s := boltStep(p)
	p.Views["V-1"].Displaced = p.Views["V-1"].Displaced[:1]
	p.Views["V-1"].Displaced[0].Placement.Matrix = mesh.Mat{0: 2, 5: 2, 10: 2, 12: 0.04, 13: 0.04, 14: 0.1, 15: 1}
	out := Build(input(p, lib, s))
	require.Equal(t, []string{"SCENE_DISPLACEMENT_SCALED"}, codes(out))
	require.Len(t, decode(t, out).Animations[0].Channels, 1)
	p.Views["V-1"].Displaced[0].Placement.Matrix = mesh.Mat{15: 1}
	require.Equal(t, []string{"SCENE_PLACEMENT_FLAT"}, codes(Build(input(p, lib, s))))
}
