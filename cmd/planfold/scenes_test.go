package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/cmd/planfold/demo"
	"planfold/convert/geometry"
	"planfold/convert/glb/meshopt"
	"planfold/convert/mesh"
	"planfold/schema"
	"planfold/testdata/solid"
	"planfold/testdata/validator"
)

// demoEdition converts the demo once for all tests that only read the result.
func demoEdition(t testing.TB) edition {
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
			files, want := e.scenes(t)
			light, err := filepath.Glob(filepath.Join(e.folder, "registration", "*.gltf"))
			require.NoError(t, err)
			if e.manifest.Locator != nil {
				light = append(light, filepath.Join(e.folder, "locator.gltf"))
			}
			for _, r := range validator.Clean(t, append(light, files...)...) {
				for _, m := range r.Messages {
					known := m.Code == "NODE_EMPTY" || // a part without geometry
						m.Code == "UNSUPPORTED_EXTENSION" && strings.Contains(m.Message, "EXT_meshopt_compression") ||
						m.Code == "UNUSED_OBJECT" && strings.HasPrefix(m.Pointer, "/buffers/") // only that extension uses it
					assert.True(t, known, "%s: %v", r.File, m)
				}
			}
			for i, file := range files {
				assert.Equal(t, want[i], drawn(t, file), file)
			}
		})
	}
}

// scenes lists the files of all scenes, and the triangles that their documents claim.
func (e edition) scenes(t *testing.T) (files []string, triangles []int) {
	t.Helper()
	for i, s := range e.manifest.Steps {
		scene := e.steps[i].Scene
		if scene == nil {
			continue
		}
		files = append(files, filepath.Join(e.folder, "steps", s.Folder, "scene.gltf"))
		triangles = append(triangles, scene.Triangles)
		sum := 0
		for _, n := range scene.Nodes {
			sum += n.Triangles
		}
		assert.Equal(t, scene.Triangles, sum, s.ID)
	}
	if e.manifest.Whole != nil {
		files = append(files, filepath.Join(e.folder, "whole.gltf"))
		triangles = append(triangles, e.manifest.Whole.Triangles)
	}
	require.NotEmpty(t, files)
	return files, triangles
}

// meshoptimizer's decoder unpacks every stream to the bytes that ours does, and
// three.js and our own reader load every scene and find the same shape. Each clip that
// a step names moves something, and ends where the scene has it.
func TestScenesAreReadByOthers(t *testing.T) {
	reducer := demoEdition(t)
	for name, e := range map[string]edition{"demo": reducer, "block-stage": blockStage(t)} {
		t.Run(name, func(t *testing.T) {
			files, triangles := e.scenes(t)
			var clips, played []string
			for _, s := range e.steps {
				if s.Scene != nil {
					clips = append(clips, s.Scene.Clips...)
				}
			}
			for i, r := range validator.Read(t, files...) {
				assert.Equal(t, triangles[i], r.Triangles, r.File)
				assert.NotEmpty(t, r.Views, r.File)
				assert.Equal(t, unpacked(t, r.File), r.Views, r.File)
				box := loaded(t, e.out, r.File)
				near := box.Diagonal() * 1e-5 // three.js multiplies matrices in double, positions in single precision
				assert.Less(t, box.Min.Distance(r.Min), near, r.File)
				assert.Less(t, box.Max.Distance(r.Max), near, r.File)
				for _, c := range r.Clips {
					played = append(played, c.Name)
					assert.Greater(t, c.Travel, 0.001, r.File)
					assert.Less(t, c.Off, near, r.File)
				}
			}
			assert.Equal(t, clips, played)
		})
	}
}

// unpacked gives the digest of each compressed view of a document, unpacked.
func unpacked(t *testing.T, file string) []string {
	t.Helper()
	var doc struct {
		Buffers     []struct{ URI string }
		BufferViews []struct {
			Extensions struct {
				Meshopt *struct {
					Buffer, ByteOffset, ByteLength, ByteStride, Count int
					Mode, Filter                                      string
				} `json:"EXT_meshopt_compression"`
			}
		}
	}
	readJSON(t, file, &doc)
	var out []string
	for _, v := range doc.BufferViews {
		c := v.Extensions.Meshopt
		if c == nil {
			continue
		}
		data, err := os.ReadFile(filepath.Join(filepath.Dir(file), doc.Buffers[c.Buffer].URI))
		require.NoError(t, err)
		data = data[c.ByteOffset : c.ByteOffset+c.ByteLength]
		if c.Mode == "ATTRIBUTES" {
			data, err = meshopt.UnpackAttributes(data, c.Count, c.ByteStride)
			require.True(t, meshopt.Unfilter(c.Filter, data, c.ByteStride))
		} else {
			var index []uint32
			index, err = meshopt.UnpackTriangles(data, c.Count)
			data = nil
			for _, i := range index {
				data = binary.LittleEndian.AppendUint32(data, i)[:len(data)+c.ByteStride]
			}
		}
		require.NoError(t, err)
		out = append(out, fmt.Sprintf("%x", sha256.Sum256(data)))
	}
	return out
}

// loaded is the box around a scene as our own reader takes it.
func loaded(t *testing.T, out, file string) mesh.Box {
	t.Helper()
	name, err := filepath.Rel(out, file)
	require.NoError(t, err)
	scene, list, err := geometry.Decode(os.DirFS(out), filepath.ToSlash(name), geometry.Options{Up: 'Y'})
	require.NoError(t, err)
	require.NotNil(t, scene, "%v", list)
	box := mesh.EmptyBox()
	for _, i := range solid.Instances(scene) {
		for _, tri := range scene.Meshes[i.Mesh].Triangles {
			for _, v := range tri {
				box.Add(i.Transform.Point(scene.Meshes[i.Mesh].Positions[v]))
			}
		}
	}
	return box
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
