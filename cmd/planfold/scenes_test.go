package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/cmd/planfold/demo"
	"planfold/schema"
	"planfold/testdata/validator"
)

// demoEdition converts the demo once for all tests that only read the result.
func demoEdition(t *testing.T) edition {
	t.Helper()
	return shared(t, "demo", func(out string) edition {
		in := writeDemo(t, 0)
		return convertTo(t, out, statusDone, "-r", in+"/rules.yaml", in+"/plan.xml")
	})
}

// Every scene is clean in the Khronos glTF validator, and draws what its step says.
func TestScenesAreCleanAndDrawWhatTheirStepSays(t *testing.T) {
	reducer := demoEdition(t)
	for name, e := range map[string]edition{"demo": reducer, "block-stage": blockStage(t)} {
		t.Run(name, func(t *testing.T) {
			var files []string
			want := map[string]int{}
			for i, s := range e.manifest.Steps {
				scene := e.steps[i].Scene
				if scene == nil {
					continue
				}
				file := filepath.Join(e.folder, "steps", s.Folder, "scene.gltf")
				files = append(files, file)
				want[file] = scene.Triangles
				sum := 0
				for _, n := range scene.Nodes {
					sum += n.Triangles
				}
				assert.Equal(t, scene.Triangles, sum, s.ID)
			}
			if whole := filepath.Join(e.folder, "whole.gltf"); e.manifest.Whole != nil {
				files = append(files, whole)
				want[whole] = e.manifest.Whole.Triangles
			}
			require.NotEmpty(t, files)
			validator.Clean(t, files...)
			for _, file := range files {
				assert.Equal(t, want[file], drawn(t, file), file)
			}
		})
	}
}

// drawn counts the triangles of a document, once for each node that shows them.
func drawn(t *testing.T, file string) int {
	t.Helper()
	var doc struct {
		Nodes  []struct{ Mesh *int }
		Meshes []struct {
			Primitives []struct{ Indices int }
		}
		Accessors []struct{ Count int }
	}
	readJSON(t, file, &doc)
	n := 0
	for _, node := range doc.Nodes {
		if node.Mesh == nil {
			continue
		}
		for _, p := range doc.Meshes[*node.Mesh].Primitives {
			n += doc.Accessors[p.Indices].Count / 3
		}
	}
	return n
}

// Nothing that a step is about is ever dropped: each focus node of an item with
// geometry draws at least one triangle.
func TestFocusIsAlwaysDrawn(t *testing.T) {
	e, solid, checked := demoEdition(t), itemsWithGeometry(t), 0
	for _, s := range e.steps {
		if s.Scene == nil {
			continue
		}
		assert.LessOrEqual(t, s.Scene.Triangles, 150_000, "the hand-held profile's budget")
		for _, n := range s.Scene.Nodes {
			if n.Role == "focus" && solid[n.Item] {
				checked++
				assert.Greater(t, n.Triangles, 0, "step %s, node %s", s.ID.Value, n.Name)
			}
		}
	}
	assert.Greater(t, checked, 100)
}

// itemsWithGeometry reads them out of the demo's plan, not out of what was issued.
func itemsWithGeometry(t *testing.T) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	require.NoError(t, demo.Write(0, func(name string, data []byte) error {
		if name == "plan.xml" {
			for _, item := range regexp.MustCompile(`(?s)<item id="([^"]*)".*?</item>`).FindAllSubmatch(data, -1) {
				out[string(item[1])] = bytes.Contains(item[0], []byte("<geometry "))
			}
		}
		return nil
	}))
	return out
}

// A second, independent validator agrees that every document fits its schema.
func TestDocumentsFitTheirSchemasBySecondValidator(t *testing.T) {
	e := demoEdition(t)
	compiler := jsonschema.NewCompiler()
	check := func(name, path string) {
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		var doc any
		require.NoError(t, json.Unmarshal(b, &doc))
		assert.NoError(t, compiled(t, compiler, name).Validate(doc), path)
	}
	check("catalog", e.out+"/catalog.json")
	check("run", e.out+"/run.json")
	check("bundle", e.folder+"/bundle.json")
	check("origin", e.folder+"/origin.json")
	for _, s := range e.manifest.Steps {
		check("step", filepath.Join(e.folder, "steps", s.Folder, "step.json"))
	}
}

func compiled(t *testing.T, c *jsonschema.Compiler, name string) *jsonschema.Schema {
	t.Helper()
	text, err := schema.Source(name)
	require.NoError(t, err)
	var doc any
	require.NoError(t, json.Unmarshal(text, &doc))
	c.AddResource(name+".json", doc) // a second time is refused, and the same
	s, err := c.Compile(name + ".json")
	require.NoError(t, err)
	return s
}

// Both validators refuse the same damaged documents.
func TestSchemasRefuseDamage(t *testing.T) {
	e := demoEdition(t)
	path := filepath.Join(e.folder, "steps", e.manifest.Steps[0].Folder, "step.json")
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	compiler := jsonschema.NewCompiler()
	for name, harm := range map[string]func(map[string]any){
		"no scene":           func(m map[string]any) { delete(m, "scene") },
		"unknown member":     func(m map[string]any) { m["colour"] = "red" },
		"sequence of text":   func(m map[string]any) { m["sequence"] = "1" },
		"quantity as number": func(m map[string]any) { m["parts"].([]any)[0].(map[string]any)["quantity"] = 2.5 },
		"decimal comma":      func(m map[string]any) { m["parts"].([]any)[0].(map[string]any)["quantity"] = "2,5" },
	} {
		t.Run(name, func(t *testing.T) {
			var doc map[string]any
			require.NoError(t, json.Unmarshal(b, &doc))
			harm(doc)
			text, err := schema.Encode(doc)
			require.NoError(t, err)
			assert.NotEmpty(t, schema.Check("step", text))
			assert.Error(t, compiled(t, compiler, "step").Validate(map[string]any(doc)))
		})
	}
}
