package convert_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/step"
	"planfold/convert/store"
)

// gantry has a base, two branches that start from it and join, and a carriage that is
// built apart, from a head built apart, and mounted twice. A stop goes into the first
// carriage only when all is joined.
func gantry(id string) (*step.Plan, []*step.Operation) {
	placed := func(id, item string, x float64) *step.Occurrence {
		return &step.Occurrence{ID: text(id), Item: text(item), Placement: &step.Placement{Matrix: mesh.Translation(mesh.Vec{x, 0, 0})}}
	}
	plan := &step.Plan{
		ID: text(id), Revision: text("A"), RevisionOrder: "text", Product: text("GANTRY"),
		Frame: step.Frame{Up: 'Z', Units: map[string]float64{"stl": 0.001}}, Items: map[string]*step.Item{}, Position: diag.Position{File: "plan.xml"},
		Structure: map[string][]*step.Occurrence{
			"GANTRY":   {placed("base", "BASE", 0), placed("left", "POST", -1), placed("right", "POST", 1), placed("near", "CARRIAGE", 2), placed("far", "CARRIAGE", 3), placed("cap", "CAP", 4)},
			"CARRIAGE": {placed("frame", "FRAME", 0), placed("head", "HEAD", 0.1), placed("stop", "STOP", 0.2)},
			"HEAD":     {placed("nozzle", "NOZZLE", 0), placed("fan", "FAN", 0.01)},
		},
	}
	for _, item := range []string{"BASE", "POST", "CAP", "FRAME", "STOP", "NOZZLE", "FAN"} {
		plan.Items[item] = &step.Item{ID: text(item), Geometry: []step.Geometry{{File: text("pin.stl")}}}
	}
	consume := func(id string, paths ...string) *step.Step {
		s := &step.Step{ID: text(id)}
		for _, path := range paths {
			s.Parts = append(s.Parts, step.Part{Item: text("X"), Quantity: text("1"), Occurrences: []step.Text{text(path)}})
		}
		return s
	}
	operation := func(id, builds string, after []string, steps ...*step.Step) *step.Operation {
		o := &step.Operation{ID: text(id), Steps: steps}
		if builds != "" {
			o.Builds = text(builds)
		}
		for _, p := range after {
			o.Predecessors = append(o.Predecessors, text(p))
		}
		return o
	}
	return plan, []*step.Operation{
		operation("BASE", "", nil, consume("base", "base")),
		operation("LEFT", "GANTRY", []string{"BASE"}, consume("left", "left")),
		operation("RIGHT", "", []string{"BASE"}, consume("right", "right")),
		operation("HEAD", "HEAD", nil, consume("nozzle", "nozzle"), consume("fan", "fan")),
		operation("CARRIAGE", "CARRIAGE", []string{"HEAD"}, consume("frame", "frame"), consume("head", "head")),
		operation("JOIN", "", []string{"LEFT", "RIGHT", "CARRIAGE"}, consume("near", "near"), consume("far", "far"), consume("stop", "near/stop"), consume("cap", "cap")),
	}
}

// A sub-assembly that is consumed by its operation has the name of what that builds.
func TestConsumedSubAssemblyIsNamed(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := gantry(id)
		plan.Items["CARRIAGE"] = &step.Item{ID: text("CARRIAGE"), Title: step.Texts{{Text: text("Carriage with head")}}}
		near := operations[5].Steps[0]
		near.Parts[0].Item, near.Parts[0].Operation = step.Text{}, text("CARRIAGE")
		twin := &step.Operation{ID: text("CARRIAGE"), Builds: text("HEAD"), Steps: []*step.Step{{ID: text("twin")}}}
		return plan, append(operations, twin)
	}}
	tr.run(t, t.Context())
	var doc struct {
		Parts []struct {
			Operation, Item string
			ItemTitle       []struct{ Text string }
		}
	}
	require.NoError(t, json.Unmarshal([]byte(content(t, tr.dir, "/steps/near/step.json")), &doc))
	require.Len(t, doc.Parts, 1)
	assert.Equal(t, "CARRIAGE", doc.Parts[0].Operation)
	assert.Empty(t, doc.Parts[0].Item, "the plan names none")
	require.Len(t, doc.Parts[0].ItemTitle, 1)
	assert.Equal(t, "Carriage with head", doc.Parts[0].ItemTitle[0].Text)
}

// content is the file of the tree whose name ends so.
func content(t *testing.T, dir, end string) string {
	t.Helper()
	for name, text := range issued(t, dir) {
		if strings.HasSuffix(name, end) {
			return text
		}
	}
	require.Fail(t, "no file", end)
	return ""
}

// roles lists what each step's scene shows: parts of the step in capitals.
func roles(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	for name, content := range issued(t, dir) {
		if !strings.HasSuffix(name, "/step.json") {
			continue
		}
		var doc struct {
			ID    string
			Scene struct{ Nodes []struct{ Name, Role string } }
		}
		require.NoError(t, json.Unmarshal([]byte(content), &doc))
		var shown []string
		for _, n := range doc.Scene.Nodes {
			if n.Role == "focus" {
				n.Name = strings.ToUpper(n.Name)
			}
			shown = append(shown, n.Name)
		}
		out[doc.ID] = strings.Join(shown, " ")
	}
	return out
}

func TestScenesFollowTheBranchesOfTheOrder(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: gantry}
	tr.run(t, t.Context())
	assert.Equal(t, map[string]string{
		"base":   "BASE",
		"left":   "base LEFT",
		"right":  "base RIGHT", // not left, though it comes before in the sequence
		"nozzle": "NOZZLE", "fan": "nozzle FAN",
		"frame": "FRAME", "head": "frame HEAD/NOZZLE HEAD/FAN",
		"near": "base left right NEAR/FRAME NEAR/HEAD/NOZZLE NEAR/HEAD/FAN",
		"far":  "base left right near/frame near/head/nozzle near/head/fan FAR/FRAME FAR/HEAD/NOZZLE FAR/HEAD/FAN FAR/STOP",
		"stop": "base left right near/frame near/head/nozzle near/head/fan NEAR/STOP far/frame far/head/nozzle far/head/fan far/stop",
		"cap":  "base left right near/frame near/head/nozzle near/head/fan near/stop far/frame far/head/nozzle far/head/fan far/stop CAP",
	}, roles(t, tr.dir))
}

// What is chosen from alternatives is there afterwards, and nothing that is not; a step
// that only the office sees is done all the same.
func TestWhatIsNotChosenIsNeverThere(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := gantry(id)
		left, right, join := operations[1], operations[2], operations[5]
		left.Alternative, right.Alternative = text("side"), text("side")
		join.Steps[0].Alternative, join.Steps[1].Alternative = text("place"), text("place")
		return plan, operations
	}}
	s, err := store.Open(tr.dir)
	require.NoError(t, err)
	defer s.Close()
	o := tr.options(t, s)
	o.Mapper = skipping{tr.mapper, map[string]bool{"base": true, "left": true, "near": true, "stop": true}}
	_, err = convert.Run(t.Context(), o)
	require.NoError(t, err)
	got := roles(t, tr.dir)
	assert.Equal(t, "base RIGHT", got["right"])
	assert.Equal(t, "base right FAR/FRAME FAR/HEAD/NOZZLE FAR/HEAD/FAN FAR/STOP", got["far"])
	assert.Equal(t, "base right near/stop far/frame far/head/nozzle far/head/fan far/stop CAP", got["cap"])
}

// What is consumed before it is built is told once in the report, and in each step that
// lacks it. What an operation builds it may take as it came, but not what comes out of it.
func TestConsumedBeforeItIsBuilt(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := gantry(id)
		item := func(id string) step.Part { return step.Part{Item: text(id), Quantity: text("1")} }
		from := func(id string) step.Part { return step.Part{Operation: text(id), Quantity: text("1")} }
		for i, product := range map[int]string{1: "GANTRY", 2: "GANTRY", 3: "HEAD", 4: "CARRIAGE"} {
			operations[i].Common.Parts = []step.Part{item(product)}
		}
		join := operations[5]
		join.Predecessors = join.Predecessors[:2]
		join.Common.Parts = []step.Part{item("CARRIAGE")}
		join.Steps[0].Parts = append(join.Steps[0].Parts, item("HEAD"))
		join.Steps[3].Parts = append(join.Steps[3].Parts, from("JOIN"), from("LEFT"))
		return plan, operations
	}}
	r := tr.run(t, t.Context())
	var told []string
	for _, d := range r.Plans[0].Diagnostics {
		if d.Code == "ORDER_UNBUILT" {
			told = append(told, d.Message)
		}
	}
	assert.Equal(t, []string{
		`step "near" of operation "JOIN" consumes "HEAD" and does not wait for operation "HEAD", which builds it`,
		`operation "JOIN" consumes "CARRIAGE" and does not wait for operation "CARRIAGE", which builds it`,
		`step "cap" of operation "JOIN" consumes "JOIN" and does not wait for operation "JOIN", which builds it`,
	}, told)
	for _, id := range []string{"near", "far", "stop", "cap"} {
		assert.Contains(t, content(t, tr.dir, "/steps/"+id+"/step.json"), `operation \"JOIN\" consumes \"CARRIAGE\"`)
	}
}
