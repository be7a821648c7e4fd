package scene

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/step"
	"planfold/testdata/solid"
	"planfold/testdata/validator"
)

// boltStep puts four bolts into the plate with a view that displaces them.
func boltStep(p *step.Plan) *step.Step {
	p.Views["V-1"] = &step.View{
		ID:     text("V-1"),
		Camera: &step.Camera{Position: [3]float64{0.2, -0.3, 0.25}, Target: [3]float64{0, 0, 0.01}, Up: [3]float64{0, 0, 1}},
	}
	v := p.Views["V-1"]
	for i, o := range p.Structure[""][1:5] {
		m := mesh.Translation(mesh.Vec{0, 0, 0.05}).Mul(o.Placement.Matrix)
		if i == 3 {
			m = m.Mul(rotationMatrix(glb.Turn(mesh.Vec{0, 0, 1}, 0.3)))
		}
		v.Displaced = append(v.Displaced, step.Displaced{Occurrence: o.ID, Placement: step.Placement{Matrix: m}})
	}
	return &step.Step{View: text("V-1"), Content: step.Content{Parts: []step.Part{
		{Item: text("bolt"), Find: text("20"), Occurrences: texts("bolt-1", "bolt-2", "bolt-3", "bolt-4")},
	}}}
}

func TestSceneOfAStep(t *testing.T) {
	p, lib := press()
	in := input(p, lib, boltStep(p))
	in.Present = []string{"plate-1", "head-1"}
	s := Build(in)
	require.Empty(t, s.Diagnostics)
	require.Equal(t, Placed, s.Layout)
	require.Equal(t, []string{"V-1"}, s.Views)
	require.Equal(t, []string{"assemble"}, s.Clips)
	require.Empty(t, s.Hidden)
	var got []string
	for _, n := range s.Nodes {
		got = append(got, n.Name+" "+n.Role)
	}
	require.Equal(t, []string{
		"plate-1 context", "bolt-1 focus", "bolt-2 focus", "bolt-3 focus", "bolt-4 focus", "head-1/block context", "head-1/ram context",
	}, got)
	doc := decode(t, s)
	require.Equal(t, "planfold", doc.Asset.Generator)
	require.Equal(t, s.Triangles, drawnTriangles(doc))
	// Everything fits at its finest, so nothing deviates.
	require.Zero(t, s.Deviation)
	require.Equal(t, 12+4*2*4*96+12+4*96, s.Triangles)
	require.Equal(t, [3]float64{0, 0, 0.002}, s.Origin)

	_, named := world(doc, nil)
	for i, o := range in.Structure.Occurrences {
		if m, ok := named[o.Path]; ok && in.Structure.Occurrences[i].End == i+1 {
			want := turnZ.Mul(mesh.Translation(mesh.Vec(s.Origin).Scale(-1))).Mul(o.Placement)
			requireSame(t, want, m, 1e-15, o.Path)
		}
	}
}

func TestShapesStandWhereTheirMeshIs(t *testing.T) {
	p, lib := press()
	s := Build(input(p, lib, boltStep(p)))
	doc := decode(t, s)
	all, _ := world(doc, nil)
	box := mesh.EmptyBox()
	for i, n := range doc.Nodes {
		if n.Mesh != nil {
			a := doc.Accessors[doc.Meshes[*n.Mesh].Primitives[0].Attributes["POSITION"]]
			box.Join(mesh.Box{Min: mesh.Vec(a.Min), Max: mesh.Vec(a.Max)}.Transform(all[i]))
		}
	}
	// Bolts reach from z = -0.01 to 0.014 and to 0.045 outwards; Y is up.
	require.InDelta(t, 0.012, box.Max[1], 1e-8)
	require.InDelta(t, -0.012, box.Min[1], 1e-8)
	require.InDelta(t, 0.045, box.Max[0], 1e-8)
	require.InDelta(t, -0.045, box.Min[2], 1e-8)
}

func TestAnimationRunsFromDisplacedToHome(t *testing.T) {
	p, lib := press()
	s := boltStep(p)
	in := input(p, lib, s)
	scene := Build(in)
	doc := decode(t, scene)
	view := p.Views["V-1"]
	toScene := turnZ.Mul(mesh.Translation(mesh.Vec(scene.Origin).Scale(-1)))
	_, first := world(doc, poses(t, doc, scene, false))
	_, last := world(doc, poses(t, doc, scene, true))
	_, rest := world(doc, nil)
	for i, d := range view.Displaced {
		path := d.Occurrence.Value
		requireSame(t, toScene.Mul(d.Placement.Matrix), first[path], 2e-7, path)
		requireSame(t, rest[path], last[path], 1e-8, path)
		requireSame(t, toScene.Mul(p.Structure[""][1+i].Placement.Matrix), last[path], 1e-8, path)
	}
	// Three bolts share their displacement and go first, together; the fourth turns.
	require.Len(t, doc.Animations, 1)
	var starts, ends []float64
	for _, sampler := range doc.Animations[0].Samplers {
		starts = append(starts, doc.Accessors[sampler.Input].Min[0])
		ends = append(ends, doc.Accessors[sampler.Input].Max[0])
	}
	require.Equal(t, []float64{0, 0, 0, 1.5, 1.5}, starts)
	require.Equal(t, []float64{1.5, 1.5, 1.5, 3, 3}, ends)
}

func TestRuleMotionTurnsInKeysOfAtMostAThird(t *testing.T) {
	p, lib := press()
	s := &step.Step{Content: step.Content{Parts: []step.Part{{
		Item: text("bolt"), Occurrences: texts("bolt-2"),
		Motion: &step.Motion{Direction: [3]float64{0, 0, -1}, Distance: 0.06, Turns: 3.25},
	}}}}
	scene := Build(input(p, lib, s))
	doc := decode(t, scene)
	require.Len(t, doc.Animations[0].Channels, 2)
	input := doc.Accessors[doc.Animations[0].Samplers[0].Input]
	require.Equal(t, 11, input.Count) // 9.75 thirds of a turn
	_, first := world(doc, poses(t, doc, scene, false))
	home := mesh.Translation(mesh.Vec{-0.04, 0.04, 0.01})
	// Right-handed about the way down means that a quarter of a turn is still to go
	// back: seen from above, anticlockwise.
	want := mesh.Translation(mesh.Vec{0, 0, 0.06}).Mul(home).Mul(rotationMatrix(glb.Turn(mesh.Vec{0, 0, 1}, 0.25)))
	requireSame(t, turnZ.Mul(mesh.Translation(mesh.Vec(scene.Origin).Scale(-1))).Mul(want), first["bolt-2"], 2e-7, "first key")

	m := &move{axis: mesh.Vec{0, 0, 1}, turns: -3.25, turn: glb.Still}
	track := m.track(0)
	for i := 1; i < len(track.Rotations); i++ {
		a, b := track.Rotations[i-1], track.Rotations[i]
		dot := a[0]*b[0] + a[1]*b[1] + a[2]*b[2] + a[3]*b[3]
		require.GreaterOrEqual(t, dot, 0.5-1e-9) // cos 60°: half of 120°
	}
	require.Equal(t, glb.Still, track.Rotations[len(track.Rotations)-1])
}

func TestMovedSubAssemblyCarriesWhatStandsInIt(t *testing.T) {
	p, lib := press()
	away := turned(mesh.Vec{1, 0, 0}, 0.2, 0.3, 0.1, 0.2)
	inner := turned(mesh.Vec{0, 1, 0}, 0.1, 0, 0, 0.09)
	p.Views["V"] = &step.View{ID: text("V"), Displaced: []step.Displaced{
		{Occurrence: text("head-2"), Placement: *away}, {Occurrence: text("head-2/ram"), Placement: *inner},
	}}
	s := &step.Step{View: text("V"), Content: step.Content{Parts: []step.Part{{Item: text("head"), Occurrences: texts("head-2")}}}}
	scene := Build(input(p, lib, s))
	require.Empty(t, scene.Diagnostics)
	doc := decode(t, scene)
	toScene := turnZ.Mul(mesh.Translation(mesh.Vec(scene.Origin).Scale(-1)))
	_, first := world(doc, poses(t, doc, scene, false))
	_, last := world(doc, poses(t, doc, scene, true))
	requireSame(t, toScene.Mul(away.Matrix), first["head-2/block"], 3e-7, "block")
	requireSame(t, toScene.Mul(away.Matrix).Mul(inner.Matrix), first["head-2/ram"], 5e-7, "ram in the head")
	home := p.Structure[""][6].Placement.Matrix
	requireSame(t, toScene.Mul(home), last["head-2/block"], 1e-8, "block at home")
}

func TestTighteningOrdersGroups(t *testing.T) {
	p, lib := press()
	s := &step.Step{
		Tightening: []step.Tightening{{Order: text("1"), Occurrence: text("bolt-3")}, {Order: text("2"), Occurrence: text("bolt-1")}},
		Content: step.Content{Parts: []step.Part{
			{Item: text("bolt"), Occurrences: texts("bolt-1", "bolt-2", "bolt-3")},
			{Item: text("plate"), Occurrences: texts("plate-1")},
		}},
	}
	for i, id := range []string{"bolt-1", "bolt-2", "bolt-3", "plate-1"} {
		s.Motions = append(s.Motions, step.Motion{Occurrence: id, Direction: [3]float64{0, 0, -1}, Distance: 0.01 * float64(i+1)})
	}
	c := newComposer(input(p, lib, s))
	c.parts = s.Parts
	c.cast()
	c.collect()
	c.fit(1e6)
	c.planMoves()
	for _, m := range c.moves {
		m.node = m.occurrence
	}
	var order []string
	for i, track := range c.tracks() {
		order = append(order, c.Structure.Occurrences[track.Node].Path)
		require.Equal(t, 1.5*float64(i), track.Times[0])
	}
	require.Equal(t, []string{"plate-1", "bolt-2", "bolt-3", "bolt-1"}, order, "bolts, as they hold the plate, after it")
}

func TestViewLimitsContextAndShowsWhatItNames(t *testing.T) {
	p, lib := press()
	s := boltStep(p)
	s.Parts[0].Occurrences = texts("bolt-1")
	v := p.Views["V-1"]
	in := input(p, lib, s)
	in.Present = []string{"plate-1", "head-1"}
	names := func() string {
		var out []string
		for _, n := range Build(in).Nodes {
			out = append(out, n.Name)
		}
		return strings.Join(out, " ")
	}
	require.Equal(t, "plate-1 bolt-1 head-1/block head-1/ram", names())
	require.Equal(t, []string{"SCENE_DISPLACED_HIDDEN"}, codes(Build(in)))
	v.Visible = texts("head-1/block", "bolt-2")
	require.Equal(t, "bolt-1 bolt-2 head-1/block", names())
	s.Roles = []step.RoleChange{{Occurrence: "plate-1", Role: text(Context)}, {Item: "block", Role: text(Hidden)}}
	require.Equal(t, "plate-1 bolt-1 bolt-2", names())
	s.Parts[0].Role = text(Hidden)
	s.Registration.Occurrence = text("head-1/ram")
	require.Equal(t, "plate-1 bolt-2 head-1/ram", names())
	s.Roles = append(s.Roles, step.RoleChange{Item: "ram", Role: text(Hidden)})
	require.Contains(t, codes(Build(in)), "SCENE_REGISTRATION_HIDDEN")
}

func TestCameraLooksFromTheView(t *testing.T) {
	p, lib := press()
	s := Build(input(p, lib, boltStep(p)))
	doc := decode(t, s)
	require.Len(t, doc.Cameras, 1)
	camera := doc.Cameras[0].Perspective
	require.Equal(t, 0.6, camera.Yfov)
	require.Nil(t, camera.AspectRatio)
	all, named := world(doc, nil)
	m := named["V-1"]
	toScene := turnZ.Mul(mesh.Translation(mesh.Vec(s.Origin).Scale(-1)))
	eye := toScene.Point(mesh.Vec{0.2, -0.3, 0.25})
	target := toScene.Point(mesh.Vec{0, 0, 0.01})
	require.InDelta(t, 0, eye.Distance(m.Point(mesh.Vec{})), 1e-12)
	require.InDelta(t, 1, m.Direction(mesh.Vec{0, 0, -1}).Dot(target.Sub(eye).Unit()), 1e-12)
	require.Greater(t, m.Direction(mesh.Vec{0, 1, 0})[1], 0.5) // upright
	for i, n := range doc.Nodes {
		if n.Mesh != nil {
			d := all[i].Point(mesh.Vec{}).Distance(eye)
			require.Greater(t, d, camera.Znear)
			require.Less(t, d, *camera.Zfar)
		}
	}
	v := p.Views["V-1"]
	v.Camera.Target = v.Camera.Position
	require.Contains(t, codes(Build(input(p, lib, boltStepWith(v)))), "SCENE_CAMERA_DEGENERATE")
	v.Camera.Target, v.Camera.FieldOfView, v.Camera.Up = [3]float64{0.2, -0.3, 0}, 4, [3]float64{0, 0, 1}
	down := Build(input(p, lib, boltStepWith(v)))
	require.Contains(t, codes(down), "SCENE_CAMERA_DEGENERATE")
	require.Equal(t, []string{"V-1"}, down.Views) // straight down, along its own up
	require.Contains(t, codes(Build(input(p, lib, &step.Step{View: text("V-9"), Content: boltStepWith(v).Content}))), "SCENE_VIEW_UNKNOWN")
}

func boltStepWith(v *step.View) *step.Step {
	return &step.Step{View: v.ID, Content: step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1")}}}}
}

func TestFarFromTheDatumNothingIsLost(t *testing.T) {
	p, lib := press()
	near := Build(input(p, lib, boltStep(p)))
	far, _ := press()
	view := boltStep(far)
	shift := mesh.Translation(mesh.Vec{1000, -700, 300})
	for _, o := range far.Structure[""] {
		o.Placement.Matrix = shift.Mul(o.Placement.Matrix)
	}
	for i := range far.Views["V-1"].Displaced {
		d := &far.Views["V-1"].Displaced[i].Placement
		d.Matrix = shift.Mul(d.Matrix)
	}
	s := Build(input(far, lib, view))
	require.InDelta(t, 1000, s.Origin[0], 1e-6)
	a, _ := world(decode(t, near), nil)
	doc := decode(t, s)
	b, _ := world(doc, nil)
	single, _ := world(inSingle(doc), nil)
	shiftOfOrigin := mesh.Vec(near.Origin).Sub(mesh.Vec(s.Origin)).Add(mesh.Vec{1000, -700, 300})
	for i := range a {
		if doc.Nodes[i].Camera != nil {
			continue
		}
		want := mesh.Translation(turnZ.Direction(shiftOfOrigin)).Mul(a[i])
		if i == 0 {
			want = a[i]
		}
		requireSame(t, want, b[i], 1e-12, doc.Nodes[i].Name)
		// A device in single precision is off by less than a micrometre.
		require.Less(t, want.Point(mesh.Vec{}).Distance(single[i].Point(mesh.Vec{})), 1e-8)
	}
}

func TestNodesOfABundleOfScenesPassTheKhronosValidator(t *testing.T) {
	dir := t.TempDir()
	if keep := os.Getenv("PLANFOLD_KEEP"); keep != "" {
		dir = keep
	}
	var files []string
	for name, s := range manyScenes() {
		doc := decode(t, s)
		require.Equal(t, s.Triangles, drawnTriangles(doc), name)
		sum := 0
		for _, n := range s.Nodes {
			sum += n.Triangles
		}
		require.Equal(t, sum, s.Triangles, name)
		files = append(files, save(t, dir, name, s))
	}
	for _, r := range validator.Clean(t, files...) {
		for _, m := range r.Messages {
			if m.Code != "NODE_EMPTY" { // a part without geometry
				t.Errorf("%s: %s %s", r.File, m.Code, m.Message)
			}
		}
	}
}

// manyScenes are scenes with all that a scene can hold, by name.
func manyScenes() map[string]*Scene {
	out := map[string]*Scene{}
	p, lib := press()
	in := input(p, lib, boltStep(p))
	in.Present = []string{"plate-1", "head-1", "head-2"}
	out["placed"] = Build(in)
	out["whole"] = Whole(input(p, lib, &step.Step{}))
	out["tray"] = Build(input(p, lib, &step.Step{Content: step.Content{Parts: []step.Part{
		{Item: text("plate")}, {Item: text("bolt"), Find: text("10")}, {Item: text("head")}, {Item: text("grease")},
	}}}))
	mixed := boltStep(p)
	mixed.Parts = append(mixed.Parts, step.Part{Item: text("ram")})
	out["mixed"] = Build(input(p, lib, mixed))

	p, lib = press()
	for i, m := range []mesh.Mat{
		{-1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0.04, 0.04, 0.01, 1},  // mirrored
		{2, 0, 0, 0, 0, 2, 0, 0, 0, 0, 1, 0, -0.04, 0.04, 0.01, 1},  // scaled
		{1, 0, 0, 0, 0.5, 1, 0, 0, 0, 0, -1, 0, 0.1, 0.04, 0.01, 1}, // sheared and mirrored
		{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1},            // flat
	} {
		p.Structure[""][1+i].Placement = &step.Placement{Matrix: m}
	}
	p.Frame.Up = 'Y'
	s := boltStep(p)
	s.Parts[0].Motion = &step.Motion{Direction: [3]float64{0, -1, 0}, Distance: 0.05, Turns: -2}
	s.View = step.Text{}
	out["odd"] = Build(input(p, lib, s))
	p.Frame.Up = 'X'
	out["x-up"] = Build(input(p, lib, s))
	lib["plate"] = []Shape{{
		Name: "plate", Transform: mesh.Identity(), Ladder: ladder([]*mesh.Mesh{solid.Cylinder(0.05, 0.01, 30, true)}, []float64{0}),
		Materials: []mesh.Material{{Name: "wall", Color: [4]float64{1, 0, 0, 0.5}}},
	}}
	out["groups"] = Whole(input(p, lib, &step.Step{}))
	return out
}

func TestBuildIsDeterministic(t *testing.T) {
	a, b := manyScenes(), manyScenes()
	for name := range a {
		require.True(t, same(a[name], b[name]), name)
	}
}

func TestWholeShowsEveryLeafWithinItsBudget(t *testing.T) {
	p, lib := press()
	in := input(p, lib, &step.Step{})
	s := Whole(in)
	require.Len(t, s.Nodes, 9)
	for _, n := range s.Nodes {
		require.Equal(t, Context, n.Role)
		require.Equal(t, -1, n.Part)
		require.Positive(t, n.Triangles)
	}
	in.Profile.WholeTriangles = 600
	s = Whole(in)
	require.Len(t, s.Nodes, 9)
	require.LessOrEqual(t, s.Triangles, 600)
	require.Positive(t, s.Deviation)
}

func TestPlacementsOfAnyKindKeepTheirShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m mesh.Mat
		for i := range 12 {
			m[i/3*4+i%3] = rapid.Float64Range(-2, 2).Draw(t, "m")
		}
		m[15] = 1
		s := stretchOf(m)
		if s.flat || s.smallest < 1e-3 {
			return
		}
		// The largest singular value is what no direction exceeds and one attains.
		v := mesh.Vec{rapid.Float64Range(-1, 1).Draw(t, "x"), rapid.Float64Range(-1, 1).Draw(t, "y"), 1}.Unit()
		length := m.Direction(v).Length()
		if length > s.largest*(1+1e-12) || length < s.smallest*(1-1e-12) {
			t.Fatalf("%v has length %v, outside %v to %v", v, length, s.smallest, s.largest)
		}
		d := &glb.Document{}
		placeNode(d, glb.Root, "x", m, 0)
		b, err := d.Encode()
		require.NoError(t, err)
		doc := decode(&testing.T{}, &Scene{GLTF: b})
		all, _ := world(doc, nil)
		for _, p := range []mesh.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {}} {
			require.InDelta(t, 0, all[len(all)-1].Point(p).Distance(m.Point(p)), 1e-9)
		}
		i := m.Mul(inverse(m))
		for k, x := range mesh.Identity() {
			require.InDelta(t, x, i[k], 1e-9)
		}
	})
}

func TestEigenvaluesOfAKnownMatrix(t *testing.T) {
	// 2 -1 0, -1 2 -1, 0 -1 2 has the eigenvalues 2 and 2 ± √2.
	values, v := eigen([3][3]float64{{2, -1, 0}, {-1, 2, -1}, {0, -1, 2}})
	got := map[bool]float64{}
	for _, x := range values {
		got[x > 2.1] += x
	}
	require.InDelta(t, 2+math.Sqrt2, got[true], 1e-14)
	require.InDelta(t, 4-math.Sqrt2, got[false], 1e-14)
	for i := range 3 {
		for j := range 3 {
			dot := v[0][i]*v[0][j] + v[1][i]*v[1][j] + v[2][i]*v[2][j]
			require.InDelta(t, map[bool]float64{true: 1, false: 0}[i == j], dot, 1e-14)
		}
	}
}

// BenchmarkWhole writes 5000 occurrences of 200 items.
func BenchmarkWhole(b *testing.B) {
	p, lib := press()
	p.Structure = map[string][]*step.Occurrence{}
	for i := range 5000 {
		item := "item-" + strconv.Itoa(i%200)
		lib[item] = lib["bolt"]
		p.Structure[""] = append(p.Structure[""], occurrence("", strconv.Itoa(i), item, turned(mesh.Vec{1, 1, 1}, 0.1, float64(i), 0, 0)))
	}
	in := input(p, lib, &step.Step{})
	var size int
	for b.Loop() {
		size = len(Whole(in).GLTF)
	}
	b.ReportMetric(float64(size), "bytes")
}

func TestHiddenIsNeverDrawn(t *testing.T) {
	p, lib := press()
	reason := step.Text{Value: "wax", Origin: step.Origin{Rule: "wax"}}
	nodes := func(s *Scene) string {
		var out []string
		for _, n := range s.Nodes {
			out = append(out, n.Item+" "+n.Occurrence)
		}
		return strings.Join(out, ", ")
	}
	s := boltStep(p)
	s.Roles = []step.RoleChange{{Item: "ram", Role: text(Focus)}}
	require.Contains(t, nodes(Build(input(p, lib, s))), "ram head-1/ram")
	p.Items["ram"].Hide = reason
	p.Structure[""][1].Hide = reason // bolt-1
	for _, built := range []*Scene{Build(input(p, lib, s)), Whole(input(p, lib, &step.Step{}))} {
		require.NotContains(t, nodes(built), "ram")
		require.NotContains(t, nodes(built), "bolt-1")
		require.Contains(t, nodes(built), "bolt-2")
	}
	p.Items["bolt"].Hide = reason
	s.Parts[0].Occurrences = nil
	tray := Build(input(p, lib, s))
	require.NotContains(t, nodes(tray), "bolt", "nor on the tray")
}

func TestRoleOfAnItemThatIsNotInThePlanIsSaid(t *testing.T) {
	p, lib := press()
	s := boltStep(p)
	s.Roles = []step.RoleChange{{Item: "grease", Role: text(Hidden)}, {Item: "plate", Role: text(Context)}}
	require.NotContains(t, codes(Build(input(p, lib, s))), "SCENE_ITEM_UNKNOWN", "an item without an occurrence is known")
	s.Roles = append(s.Roles, step.RoleChange{Item: "plat", Role: step.Text{Value: Hidden, Origin: step.Origin{Rule: "covers"}}})
	built := Build(input(p, lib, s))
	require.Contains(t, codes(built), "SCENE_ITEM_UNKNOWN")
	require.Contains(t, built.Diagnostics[len(built.Diagnostics)-1].Message, `rule "covers" gives a role to item "plat"`)
}
