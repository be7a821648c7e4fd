package bundle

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/step"
	"planfold/schema"
)

func TestCheckStepFollowsEachName(t *testing.T) {
	a, b := strings.Repeat("a", 64), strings.Repeat("b", 64)
	uri := "../../" + BlobPath(a, "pdf")
	doc := func() *Step {
		id := step.Text{Value: "S-1"}
		return &Step{
			Format: "planfold/step/1", Precedence: Precedence, Plan: PlanHead{ID: id}, Revision: "A", Operation: &step.Operation{ID: id}, ID: id, Sequence: 1,
			Parts:     []Part{{Part: step.Part{Item: id}, Documents: []Attachment{{File: id, Type: "application/pdf", URI: uri, Bytes: 1, SHA256: a}}}},
			Resources: []Resource{{uri, 1, a}, {"scene.gltf", 1, b}},
			Scene:     &Scene{URI: "scene.gltf", SHA256: b, Layout: "placed", Bytes: 1, Nodes: []SceneNode{{Name: "n", Role: "focus", Part: new(0)}}},
		}
	}
	sums := Sums{BlobPath(a, "pdf"): a, "steps/S-1/scene.gltf": b}
	for name, c := range map[string]struct {
		change func(*Step)
		says   string
	}{
		"as it must be":       {func(*Step) {}, ""},
		"a part's document":   {func(s *Step) { s.Parts[0].Documents[0].URI = "gone.pdf" }, `names "gone.pdf", which the edition does not list`},
		"a resource's digest": {func(s *Step) { s.Resources[0].SHA256 = b }, "another digest than SHA256SUMS"},
		"the scene's digest":  {func(s *Step) { s.Scene.SHA256 = a }, "another digest than SHA256SUMS"},
		"a node's part":       {func(s *Step) { s.Scene.Nodes[0].Part = new(1) }, `node "n" that shows part 1 of 1`},
		"a step waited for":   {func(s *Step) { s.Predecessors = []string{"S-0"} }, `waits for step "S-0", which the edition does not have`},
		"no scene":            {func(s *Step) { s.Scene = nil }, "disagrees with scene.gltf"},
	} {
		t.Run(name, func(t *testing.T) {
			s := doc()
			c.change(s)
			text, err := schema.Encode(s)
			require.NoError(t, err)
			problems := CheckStep("S-1", text, []byte("{}"), sums, map[string]bool{"S-1": true})
			if c.says == "" {
				assert.Empty(t, problems)
				return
			}
			require.Len(t, problems, 1)
			assert.Contains(t, problems[0].String(), c.says)
		})
	}
}
