package compare

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/cmd/planfold/demo"
	"planfold/convert"
	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/rules"
	"planfold/schema"
)

// realSteps are step documents of the neutral dialect, with scenes, and of the demo,
// without.
func realSteps(t *testing.T) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	issued, err := filepath.Glob("../../cmd/planfold/testdata/golden/*/want/plans/*/*/steps/*/step.json")
	require.NoError(t, err)
	require.NotEmpty(t, issued)
	for _, name := range issued {
		out[name], err = os.ReadFile(name)
		require.NoError(t, err)
	}
	m := demoMapped(t)
	m.Order()
	for o, op := range m.Operations {
		for s := 0; s < len(op.Steps); s += 3 { // they are much alike
			text, err := schema.Encode(m.Document(o, s))
			require.NoError(t, err)
			out["demo "+op.Steps[s].ID.Value] = text
		}
	}
	return out
}

func demoMapped(t testing.TB) *convert.Mapped {
	t.Helper()
	files := map[string][]byte{}
	enough := errors.New("the geometry is not needed")
	require.ErrorIs(t, demo.Write(1, func(name string, data []byte) error {
		files[name] = data
		if files["plan.xml"] != nil {
			return enough
		}
		return nil
	}), enough)
	set, list := rules.Compile([]rules.File{{Name: "rules.yaml", Data: files["rules.yaml"]}})
	require.Empty(t, list)
	m := convert.MapWhole(set, convert.Source{Name: "plan.xml", Base: "plan.xml", Open: func() (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(files["plan.xml"])), nil
	}})
	require.NotNil(t, m.Plan)
	return m
}

// editionWith is an edition of documents.
func editionWith(docs ...*bundle.Step) *edition {
	e := &edition{head: head{Plan: docs[0].Plan, Revision: docs[0].Revision}}
	for _, d := range docs {
		e.steps = append(e.steps, entry{operation: d.Operation.ID.Value, id: d.ID.Value, sequence: d.Sequence})
	}
	e.open = func(i int) (*document, *diag.Diagnostic) {
		own := *docs[i]
		return &document{step: &own}, nil
	}
	return e
}

func decoded(t *testing.T, text []byte) *bundle.Step {
	t.Helper()
	var s bundle.Step
	require.NoError(t, json.Unmarshal(text, &s))
	return &s
}

// Each leaf of a real document, changed alone, gives that difference and no other, or
// none if it is no difference in itself.
func TestEachLeafIsSeen(t *testing.T) {
	for name, text := range realSteps(t) {
		var tree any
		require.NoError(t, json.Unmarshal(text, &tree))
		old := decoded(t, text)
		other := decoded(t, text)
		other.Operation.ID.Value, other.ID.Value, other.Sequence = "another operation", "another step", old.Sequence+500
		eachLeaf(tree, "", func(pointer string) {
			new := decoded(t, mustEncode(t, tree))
			got := compareEditions(editionWith(old, other), editionWith(new, other)).Changes
			if quiet(pointer, old) {
				assert.Empty(t, got, "%s: %s", name, pointer)
				return
			}
			want := expected(pointer)
			if !assert.NotEmpty(t, got, "%s: %s", name, pointer) {
				return
			}
			for _, c := range got {
				what := inBrackets.ReplaceAllString(c.What, "")
				assert.True(t, want == what || strings.HasPrefix(want, what+".") && strings.HasSuffix(c.What, "]"), "%s: %s gives %s %s", name, pointer, c.Kind, c.What)
			}
			if len(got) > 1 { // what identifies an entry: the old one went, the new one came
				kinds := []string{got[0].Kind, got[1].Kind}
				slices.Sort(kinds)
				assert.Len(t, got, 2, "%s: %s", name, pointer)
				assert.Equal(t, []string{Added, Removed}, kinds, "%s: %s", name, pointer)
			}
		})
		assert.Empty(t, compareEditions(editionWith(old, other), editionWith(decoded(t, text), other)).Changes)
	}
}

func mustEncode(t *testing.T, v any) []byte {
	text, err := json.Marshal(v)
	require.NoError(t, err)
	return text
}

// eachLeaf changes each leaf in turn, hands its pointer over, and changes it back.
func eachLeaf(v any, at string, do func(pointer string)) {
	visit := func(child any, name string, set func(any)) {
		switch c := child.(type) {
		case string:
			set(c + " x")
		case float64:
			set(c + 1000)
		default:
			eachLeaf(child, at+"/"+name, do)
			return
		}
		do(at + "/" + name)
		set(child)
	}
	switch v := v.(type) {
	case map[string]any:
		for name, child := range v {
			visit(child, name, func(c any) { v[name] = c })
		}
	case []any:
		for i, child := range v {
			visit(child, strconv.Itoa(i), func(c any) { v[i] = c })
		}
	}
}

// quiet are the leaves that are no difference in themselves.
func quiet(pointer string, s *bundle.Step) bool {
	parts := strings.Split(pointer[1:], "/")
	last := parts[len(parts)-1]
	switch parts[0] {
	case "format", "precedence", "picture": // the picture is drawn of the scene
		return true
	case "resources":
		i, _ := strconv.Atoi(parts[1])
		shared := slices.IndexFunc(s.Resources, func(r bundle.Resource) bool {
			return r.URI == "../../locator.gltf" || strings.HasPrefix(r.URI, "../../registration/")
		})
		return last == "bytes" || !strings.HasSuffix(s.Resources[i].URI, ".bin") || shared >= 0 && i > shared
	case "scene", "locator":
		return len(parts) == 2 && (last == "uri" || last == "bytes" || last == "enclosedTriangles")
	case "attachments", "parts":
		return last == "uri" || last == "bytes"
	case "notCarried":
		return last == "line"
	}
	return false
}

// expected is the path of a leaf's change, without identities.
func expected(pointer string) string {
	var out []string
	for _, p := range strings.Split(pointer[1:], "/") {
		if _, err := strconv.Atoi(p); err != nil {
			out = append(out, p)
		}
	}
	if out[0] == "resources" {
		return "scene.geometry"
	}
	if n := len(out); n > 1 && out[n-1] == "text" {
		out = out[:n-1]
	}
	return strings.Join(out, ".")
}
