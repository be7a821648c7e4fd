package convert_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/step"
)

// All steps that are aligned by one occurrence share its light mesh; each says where it
// stands in its own scene, and warns where the pose is ambiguous. The report says so once.
func TestStepsShareWhatTheyAreAlignedBy(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := bracket(id)
		plan.Items["PLATE"].Title = step.Texts{{Text: text("The plate")}}
		for _, s := range operations[0].Steps {
			s.Registration.Largest = text("true")
		}
		return plan, operations
	}}
	r := tr.run(t, t.Context())
	assert.Empty(t, verify(t, tr.dir))
	said := 0
	for _, code := range codes(r, 0) {
		if code == "SCENE_REGISTRATION_SYMMETRIC" {
			said++
		}
	}
	assert.Equal(t, 1, said)
	shared := map[string]bool{}
	for _, name := range glob(t, tr.dir, "plans/*/*/steps/*/step.json") {
		b, err := os.ReadFile(filepath.Join(tr.dir, name))
		require.NoError(t, err)
		var doc struct {
			Scene        struct{ Origin [3]float64 }
			Registration struct {
				Occurrence, URI  string
				ItemTitle        []struct{ Text string }
				Position         [3]float64
				Triangles, Edges int
			}
			Resources  []struct{ URI string }
			NotCarried []struct{ Code string }
		}
		require.NoError(t, json.Unmarshal(b, &doc))
		g := doc.Registration
		assert.Equal(t, "plate", g.Occurrence)
		require.Len(t, g.ItemTitle, 1)
		assert.Equal(t, "The plate", g.ItemTitle[0].Text)
		assert.Equal(t, []int{12, 12}, []int{g.Triangles, g.Edges})
		// The plate's middle is at 5 mm each way; the scene's axes are x, z, -y.
		assert.InDeltaSlice(t, []float64{0.005 - doc.Scene.Origin[0], 0.005 - doc.Scene.Origin[2], doc.Scene.Origin[1] - 0.005}, g.Position[:], 1e-9)
		shared[g.URI] = true
		assert.Contains(t, string(b), "SCENE_REGISTRATION_SYMMETRIC")
		assert.Contains(t, doc.Resources, struct{ URI string }{g.URI})
	}
	require.Len(t, shared, 1)

	edition := filepath.Dir(glob(t, tr.dir, "plans/*/*/bundle.json")[0])
	file := rewrite(t, tr.dir, glob(t, tr.dir, "plans/*/*/registration/*.gltf")[0], func(b []byte) []byte {
		return []byte(strings.Replace(string(b), "/blobs/", "/blobs/x", 1))
	})
	assert.Contains(t, strings.Join(verify(t, tr.dir), "\n"), file+": names buffer")
	require.NoError(t, os.Remove(filepath.Join(tr.dir, file)))
	sum(t, tr.dir, filepath.ToSlash(edition), strings.TrimPrefix(file, filepath.ToSlash(edition)+"/"), nil)
	assert.Contains(t, strings.Join(verify(t, tr.dir), "\n"), `/step.json: names "../../registration/`)
}
