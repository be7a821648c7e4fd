package scene

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/qmuntal/gltf"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/step"
	"planfold/testdata/solid"
)

func TestSharpEdgesAreThoseThatOneSees(t *testing.T) {
	points, ends := sharpEdges(solid.Box(mesh.Vec{}, mesh.Vec{1, 2, 3}))
	assert.Len(t, points, 8)
	require.Len(t, ends, 12)
	for _, e := range ends {
		d := points[e[0]].Sub(points[e[1]])
		assert.Equal(t, d.Dot(d), max(d[0]*d[0], d[1]*d[1], d[2]*d[2]), "no diagonal is sharp")
	}
	_, ends = sharpEdges(solid.Cylinder(1, 1, 96, false))
	assert.Len(t, ends, 2*96, "a round wall has no edge")
	_, ends = sharpEdges(solid.Cylinder(1, 1, 8, false))
	assert.Len(t, ends, 3*8, "one of eight faces has")
	sheet := &mesh.Mesh{Positions: []mesh.Vec{{}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}}, Triangles: [][3]int32{{0, 1, 2}, {0, 2, 3}}}
	_, ends = sharpEdges(sheet)
	assert.Len(t, ends, 4, "where it ends, and not where it is flat")
}

// merged puts meshes into one, each moved.
func merged(parts ...*mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	for _, m := range parts {
		first := int32(len(out.Positions))
		out.Positions = append(out.Positions, m.Positions...)
		for _, t := range m.Triangles {
			out.Triangles = append(out.Triangles, [3]int32{t[0] + first, t[1] + first, t[2] + first})
		}
	}
	return out
}

// spokes are bars across one axis.
func spokes(bars int) *mesh.Mesh {
	var all []*mesh.Mesh
	for k := range bars {
		turn := rotationMatrix(glb.Turn(mesh.Vec{0, 0, 1}, float64(k)/float64(2*bars)))
		all = append(all, moved(solid.Box(mesh.Vec{-0.2, -0.01, 0}, mesh.Vec{0.2, 0.01, 0.02}), turn))
	}
	return merged(all...)
}

func moved(m *mesh.Mesh, by mesh.Mat) *mesh.Mesh {
	out := *m
	out.Positions = nil
	for _, p := range m.Positions {
		out.Positions = append(out.Positions, by.Point(p))
	}
	return &out
}

func TestSymmetryIsFoundWhereverThePartStands(t *testing.T) {
	own := [3]mesh.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	wall := func(sides int) *mesh.Mesh { return solid.Cylinder(0.05, 0.2, sides, false) }
	box := func(x0, y0, z0, x1, y1, z1 float64) *mesh.Mesh {
		return solid.Box(mesh.Vec{x0, y0, z0}, mesh.Vec{x1, y1, z1})
	}
	for name, c := range map[string]struct {
		mesh  *mesh.Mesh
		order int
		round bool
	}{
		"round":                 {wall(96), 4, true},
		"six sides":             {wall(6), 6, false},
		"three sides":           {wall(3), 3, false},
		"twelve sides":          {wall(12), 4, true}, // they are 1.7 mm off
		"twelve spokes":         {spokes(6), 12, false},
		"a square bar":          {box(0, 0, 0, 0.1, 0.1, 0.4), 4, false},
		"a brick":               {box(0, 0, 0, 0.1, 0.2, 0.4), 2, false},
		"a cube":                {box(0, 0, 0, 0.1, 0.1, 0.1), 4, false},
		"an angle":              {merged(box(0, 0, 0, 0.1, 0.01, 0.4), box(0, 0, 0, 0.01, 0.2, 0.3)), 0, false},
		"a crank":               {merged(wall(96), moved(solid.Cylinder(0.02, 0.1, 24, false), mesh.Translation(mesh.Vec{0.04, 0, 0.2}))), 0, false},
		"a shaft with a mark":   {merged(wall(96), box(0.049, -0.002, 0.1, 0.0502, 0.002, 0.105)), 4, true},
		"a plate with one boss": {merged(box(-0.2, -0.2, 0, 0.2, 0.2, 0.02), box(0.1, 0.1, 0, 0.18, 0.18, 0.06)), 0, false},
	} {
		for where, at := range map[string]mesh.Mat{
			"as drawn": mesh.Identity(),
			"askew":    mesh.Translation(mesh.Vec{3, -2, 5}).Mul(rotationMatrix(glb.Turn(mesh.Vec{1, 2, 3}.Unit(), 0.17))),
		} {
			axes := own
			for k := range axes {
				axes[k] = at.Direction(axes[k])
			}
			got := symmetryOf(moved(c.mesh, at), axes)
			assert.Equal(t, c.order, got.order, "%s, %s", name, where)
			assert.Equal(t, c.round, got.round, "%s, %s", name, where)
		}
	}
	flat := solid.Box(mesh.Vec{}, mesh.Vec{})
	assert.Empty(t, symmetryOf(flat, own).String(), "what has no area")
	assert.Equal(t, "by any angle about the axis 0 0 1", symmetryOf(wall(96), own).String())
}

// What is no axis of the drawing is found by the part's own moments.
func TestSymmetryNeedsNoAxisOfTheDrawing(t *testing.T) {
	askew := rotationMatrix(glb.Turn(mesh.Vec{1, 2, 3}.Unit(), 0.17))
	got := symmetryOf(moved(solid.Cylinder(0.05, 0.2, 96, false), askew), [3]mesh.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}})
	assert.True(t, got.round)
	assert.InDelta(t, 1, max(got.axis.Dot(askew.Direction(mesh.Vec{0, 0, 1})), -got.axis.Dot(askew.Direction(mesh.Vec{0, 0, 1}))), 1e-6)
}

func TestOverlayIsAlignedByWhatIsThere(t *testing.T) {
	p, lib := press()
	p.Items["plate"].Class, p.Items["block"].Class, p.Items["ram"].Class = text("base"), text("moving"), text("moving")
	part := func(paths ...string) []step.Part {
		return []step.Part{{Item: text("x"), Occurrences: texts(paths...)}}
	}
	build := func(r step.Registration, present, toCome []string, parts []step.Part) (string, []string) {
		in := input(p, lib, &step.Step{Registration: r, Content: step.Content{Parts: parts}})
		in.Present, in.ToCome = present, toCome
		s := Build(in)
		s.Diagnostics = slices.DeleteFunc(s.Diagnostics, func(d diag.Diagnostic) bool { return d.Code == diag.SceneMotionBlocked.Name })
		return s.Aligned, codes(s)
	}
	largest, moving := step.Registration{Largest: text("true")}, step.Registration{Class: text("moving")}
	by := func(path string) step.Registration { return step.Registration{Occurrence: text(path)} }
	for name, c := range map[string]struct {
		by              step.Registration
		present, toCome []string
		parts           []step.Part
		aligned         string
		codes           []string
	}{
		"the largest that is there":          {by: largest, present: []string{"bolt-1", "head-1"}, toCome: []string{"plate-1"}, parts: part("head-2"), aligned: "head-1/ram"},
		"though the step brings a larger":    {by: largest, present: []string{"bolt-1"}, parts: part("plate-1"), aligned: "bolt-1"},
		"else what the step brings":          {by: largest, parts: part("bolt-1", "plate-1"), aligned: "plate-1", codes: []string{"SCENE_REGISTRATION_TO_COME"}},
		"of a class too":                     {by: moving, parts: part("plate-1", "head-1"), aligned: "head-1/ram", codes: []string{"SCENE_REGISTRATION_TO_COME"}},
		"the largest of a class":             {by: moving, present: []string{"plate-1", "head-2"}, aligned: "head-2/ram"},
		"and never of another":               {by: moving, present: []string{"plate-1"}, toCome: []string{"head-1"}, codes: []string{"SCENE_REGISTRATION_TO_COME"}},
		"nor what goes into it later":        {by: moving, present: []string{"head-1"}, toCome: []string{"head-1/ram"}, aligned: "head-1/block"},
		"an occurrence that is there":        {by: by("plate-1"), present: []string{"plate-1"}, parts: part("bolt-1"), aligned: "plate-1"},
		"one that the step begins with":      {by: by("plate-1"), parts: part("plate-1"), aligned: "plate-1"},
		"one that a later step brings":       {by: by("plate-1"), present: []string{"bolt-1"}, toCome: []string{"plate-1"}, aligned: "plate-1", codes: []string{"SCENE_REGISTRATION_TO_COME"}},
		"one that comes only with this step": {by: by("plate-1"), present: []string{"bolt-1"}, parts: part("plate-1"), aligned: "plate-1", codes: []string{"SCENE_REGISTRATION_TO_COME"}},
		"one that no step brings":            {by: by("plate-1"), present: []string{"bolt-1"}, aligned: "plate-1"}, // a fixture
	} {
		aligned, codes := build(c.by, c.present, c.toCome, c.parts)
		assert.Equal(t, c.aligned, aligned, name)
		assert.Equal(t, c.codes, codes, name)
	}
}

func TestRegistrationIsALightMeshWithItsEdges(t *testing.T) {
	p, lib := press()
	r := registered(t, input(p, lib, &step.Step{}), "head-2/block")
	require.NotNil(t, r)
	assert.Equal(t, 12, r.Edges)
	assert.Equal(t, "by 1/4 about the axis 0 0 1", r.Symmetric)
	var doc gltf.Document
	require.NoError(t, json.Unmarshal(r.GLTF, &doc))
	lines := doc.Meshes[1].Primitives[0]
	assert.Equal(t, gltf.PrimitiveLines, lines.Mode)
	assert.Equal(t, 24, doc.Accessors[*lines.Indices].Count)

	// Where the step's scene has the block, the light mesh is, moved as the step says.
	built := Build(input(p, lib, &step.Step{Content: step.Content{Parts: []step.Part{{Item: text("head"), Occurrences: texts("head-2")}}}}))
	_, named := world(decode(t, built), nil)
	block := lib["block"][0].Ladder.Bounds
	want := block.Transform(named["head-2/block"])
	got := shown(t, &r.Light).Transform(mesh.Translation(r.Position('Z', built.Origin)))
	requireBox(t, want, got)

	assert.Equal(t, "", registered(t, input(p, lib, &step.Step{}), "head-1").Symmetric, "a head is unlike whatever way it is turned")
	delete(lib, "block")
	assert.Nil(t, registered(t, input(p, lib, &step.Step{}), "head-2/block"))
}

func registered(t *testing.T, in Input, path string) *Registration {
	t.Helper()
	r, err := Register(in, path)
	require.NoError(t, err)
	return r
}
