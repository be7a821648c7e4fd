package rules

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/testdata/open"
)

var update = flag.Bool("update", false, "rewrite the golden files")

const (
	dialects     = "../testdata/dialects/"
	neutralRules = dialects + "neutral/rules.yaml"
	reducerRules = dialects + "reducer.yaml" // laid over the rules of a dialect
)

// compiled compiles a rule file that has no faults.
func compiled(t testing.TB, files ...string) *Set {
	t.Helper()
	var in []File
	for _, f := range files {
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		in = append(in, File{Name: filepath.Base(f), Data: b, Beside: os.DirFS(filepath.Dir(f))})
	}
	s, faults := Compile(in)
	require.Empty(t, faults)
	return s
}

// rulesOf compiles the text of a rule file that has no faults.
func rulesOf(t testing.TB, text string) *Set {
	t.Helper()
	s, faults := Compile([]File{{Name: "rules.yaml", Data: []byte(text)}})
	require.Empty(t, faults)
	return s
}

// mapped is all that mapping makes of a plan.
type mapped struct {
	Plan       *step.Plan
	Operations []*step.Operation
	Faults     diag.List
}

func (m mapped) operation(t testing.TB, id string) *step.Operation {
	t.Helper()
	for _, o := range m.Operations {
		if o.ID.Value == id {
			return o
		}
	}
	require.Fail(t, "no operation "+id)
	return nil
}

// of maps a plan, reading and assigning.
func (s *Set) of(t testing.TB, name string, xml []byte, facts step.Facts) mapped {
	t.Helper()
	var m mapped
	var assigned diag.List
	p, faults, err := s.Read(opening(xml), name, func(p *step.Plan, o *step.Operation) error {
		if len(m.Operations) == 0 {
			assigned.Add(s.AssignItems(p, facts)...)
		}
		assigned.Add(s.Assign(p, o, facts)...)
		m.Operations = append(m.Operations, o)
		return nil
	})
	require.NoError(t, err)
	m.Plan, m.Faults = p, append(faults, assigned...)
	return m
}

// allRaised checks that the cases of a folder show every code of an area.
func allRaised(t *testing.T, area string, raised map[string]bool) {
	t.Helper()
	for _, c := range diag.Codes() {
		if strings.HasPrefix(c.Name, area) && !lintCode(c) {
			assert.True(t, raised[c.Name], "no case shows %s", c.Name)
		}
	}
}

func readFile(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	return b
}

func neutral(t testing.TB) (*Set, mapped) {
	t.Helper()
	s := compiled(t, neutralRules, reducerRules)
	return s, s.of(t, "plan.xml", readFile(t, dialects+"neutral/plan.xml"), step.Facts{"N-0812": {Triangles: 5000}})
}

// blockStage maps the block-stage plan; stem is its file's name up to the first dot.
func blockStage(t testing.TB) (m mapped, stem string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(open.Path(t, "block-stage/docs"), "*.xml"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	stem, _, _ = strings.Cut(filepath.Base(files[0]), ".")
	s := compiled(t, dialects+"block-stage/rules.yaml")
	return s.of(t, filepath.Base(files[0]), readFile(t, files[0]), nil), stem
}

// golden compares with a file, or writes it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(name, got, 0o644))
		return
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err, "go test ./rules -update writes it")
	assert.Equal(t, string(want), string(got), "go test ./rules -update rewrites %s", name)
}

// shownModel writes a model as JSON, each value with its origin. hide turns a value
// of the plan into what may be shown of it.
func shownModel(t testing.TB, v any, hide func(string) string) []byte {
	t.Helper()
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	require.NoError(t, e.Encode(outlined(reflect.ValueOf(v), hide)))
	return b.Bytes()
}

func outlined(v reflect.Value, hide func(string) string) any {
	if !v.IsValid() || v.IsZero() {
		return nil
	}
	switch x := v.Interface().(type) {
	case step.Text:
		return hide(x.Value) + originText(x.Origin)
	case step.Origin:
		return strings.TrimSpace(originText(x))
	case diag.List:
		return fmt.Sprint(len(x), " diagnostics")
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		return outlined(v.Elem(), hide)
	case reflect.Slice, reflect.Array:
		var out []any
		for i := range v.Len() {
			out = append(out, outlined(v.Index(i), hide))
		}
		return out
	case reflect.Map:
		out := map[string]any{}
		for _, k := range v.MapKeys() {
			out[k.String()] = outlined(v.MapIndex(k), hide)
		}
		return out
	case reflect.Struct:
		return outlinedStruct(v, hide)
	case reflect.String:
		return hide(v.String())
	}
	return v.Interface()
}

func outlinedStruct(v reflect.Value, hide func(string) string) any {
	out := map[string]any{}
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if !f.IsExported() || f.Name == "Position" && f.Type == reflect.TypeFor[diag.Position]() {
			continue
		}
		if x := outlined(v.Field(i), hide); x != nil {
			out[f.Name] = x
		}
	}
	return out
}

func originText(o step.Origin) string {
	if o.Line == 0 {
		return " @" + o.Rule
	}
	return fmt.Sprintf(" @%d:%d %s", o.Line, o.Column, o.Rule)
}

func TestNeutralModel(t *testing.T) {
	_, m := neutral(t)
	assert.Empty(t, m.Faults)
	golden(t, "testdata/neutral.golden.json", shownModel(t, m, func(s string) string { return s }))
}

var number = regexp.MustCompile(`^[0-9.]*$`)

// The plan is a third party's, so its words are not in the golden file.
func TestBlockStageModel(t *testing.T) {
	m, _ := blockStage(t)
	m.Faults = nil
	golden(t, "testdata/block-stage.golden.json", shownModel(t, m, func(s string) string {
		if number.MatchString(s) || s == "all" || s == "operation" || s == "order" {
			return s
		}
		return fmt.Sprintf("%d bytes %.4x", len(s), sha256.Sum256([]byte(s)))
	}))
}
