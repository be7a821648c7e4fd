package main

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/rules"
)

const (
	neutralPlan  = root + "/testdata/dialects/neutral/plan.xml"
	reducerRules = root + "/testdata/dialects/reducer.yaml"
)

// Two ways to say where a value comes from: origins that travel with the values
// into origin.json, and explain, which hears of them from the trace.
func TestExplainAgreesWithOrigins(t *testing.T) {
	in := writeDemo(t, 0)
	for name, c := range map[string]struct {
		edition edition
		plan    string
		rules   []string
	}{
		"neutral": {convertTo(t, t.TempDir(), statusLeftOut, "-r", neutralRules, "-r", reducerRules, neutralPlan), neutralPlan, []string{neutralRules, reducerRules}},
		"demo":    {demoEdition(t), in + "/plan.xml", []string{in + "/rules.yaml"}},
	} {
		t.Run(name, func(t *testing.T) {
			set, err := compileRules(c.rules)
			require.NoError(t, err)
			whole := toldOf(t, c.plan, set, question{})
			titles := toldOf(t, c.plan, set, question{explainOptions: explainOptions{value: "title"}})
			for _, s := range c.edition.manifest.Steps {
				given := originsOf(t, c.edition.folder, s.Folder)
				require.Greater(t, len(given), 10, s.ID)
				told := maps.Clone(whole)
				maps.Copy(told, toldOf(t, c.plan, set, question{explainOptions: explainOptions{step: s.ID}}))
				for value, pointer := range given {
					if strings.Contains(pointer, "/itemTitle/") && told[value] == "" { // of an item that the step does not name
						assert.Contains(t, titles, value, "%s %s", s.ID, pointer)
						continue
					}
					assert.Contains(t, told, value, "%s %s", s.ID, pointer)
				}
				for value, of := range told {
					if of != "" {
						assert.Contains(t, given, value, "%s %s", s.ID, of)
					}
				}
			}
		})
	}
}

var inList = regexp.MustCompile(`(/\d+)?(/text)?$`)

// originsOf are the values of a step with their origins, as origin.json has them:
// field, value, line, column, rule. What an assigning rule gave goes by the rule.
func originsOf(t *testing.T, edition, folder string) map[string]string {
	t.Helper()
	var origins struct {
		Rules []string
		Steps map[string]map[string]string
	}
	readJSON(t, filepath.Join(edition, "origin.json"), &origins)
	var doc any
	readJSON(t, filepath.Join(edition, "steps", folder, "step.json"), &doc)
	out := map[string]string{}
	for pointer, source := range origins.Steps[folder] {
		var line, column, rule int
		_, err := fmt.Sscanf(source, "%d:%d:%d", &line, &column, &rule)
		require.NoError(t, err)
		name := origins.Rules[rule]
		if line == 0 && !strings.HasPrefix(name, "read.") {
			out[name] = pointer
			continue
		}
		field := filepath.Base(inList.ReplaceAllString(pointer, ""))
		if item, ok := strings.CutPrefix(field, "item"); ok && item != "" {
			field = strings.ToLower(item)
		}
		// An item's notes are a list of lists.
		if parent := filepath.Base(filepath.Dir(inList.ReplaceAllString(pointer, ""))); field == "notes" || parent == "notes" || parent == "itemNotes" {
			field = "notes"
		}
		out[fmt.Sprintf("%s=%s @%d:%d %s", field, valueAt(t, doc, pointer), line, column, name)] = pointer
	}
	return out
}

func valueAt(t *testing.T, doc any, pointer string) string {
	t.Helper()
	for _, key := range strings.Split(pointer, "/")[1:] {
		if list, ok := doc.([]any); ok {
			i, err := strconv.Atoi(key)
			require.NoError(t, err)
			doc = list[i]
			continue
		}
		doc = doc.(map[string]any)[key]
	}
	return doc.(string)
}

// unissued are values that step.json does not have, or not with an origin.
var unissued = map[string]bool{
	"step.view": true, "step.predecessors": true, "item.id": true, "plan.product": true, "plan.revision": true,
	"part.role": true, "part.motion": true, "part.budget": true, "step.role": true, "item.budget": true, "item.look": true,
}

// toldOf are the same as explain has them, with the object of each, which is empty
// where origin.json has no such value.
func toldOf(t *testing.T, plan string, set *rules.Set, q question) map[string]string {
	t.Helper()
	s := convert.Source{Name: plan, Base: filepath.Base(plan), Open: opening(plan)}
	out := map[string]string{}
	list, _, err := q.explain(set, s)
	require.NoError(t, err)
	for _, e := range list {
		for _, v := range e.Values {
			of := fmt.Sprintf("%s: %s", e.Object, v.Field)
			if unissued[e.Kind+"."+v.Field] || e.Kind == "geometry" {
				of = ""
			}
			if v.Line == 0 && !strings.HasPrefix(v.Rule, "read.") {
				out[v.Rule] = of
				continue
			}
			out[fmt.Sprintf("%s=%s @%d:%d %s", v.Field, v.Value, v.Line, v.Column, v.Rule)] = of
		}
	}
	return out
}

func opening(name string) func() (io.ReadCloser, error) {
	return func() (io.ReadCloser, error) { return os.Open(name) }
}

// explain runs the command and gives what it prints.
func explain(t *testing.T, args ...string) string {
	t.Helper()
	c := planfold(t, append([]string{"explain", "-r", "rules.yaml", "-r", "line.yaml", "plan.xml", "--step", "S-20-2"}, args...)...)
	c.Dir = "testdata/explain"
	out, err := c.Output()
	require.NoError(t, err)
	return string(out)
}

func TestExplainAStep(t *testing.T) {
	got := explain(t)
	const golden = "testdata/explain/want.txt"
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(got), 0o666))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err, "go test ./cmd/planfold -run Explain -update writes it")
	assert.Equal(t, string(want), got, "go test ./cmd/planfold -run Explain -update rewrites %s", golden)
}

func TestExplainAsJSONSaysTheSame(t *testing.T) {
	var doc explained
	require.NoError(t, json.Unmarshal([]byte(explain(t, "--value", "motion", "--format", "json")), &doc))
	assert.Equal(t, "plan.xml", doc.File)
	require.Len(t, doc.Objects, 3, "the parts, set or not")
	bolts := doc.Objects[1]
	assert.Equal(t, rules.Object{Kind: "part", ID: "N-0812", N: 2, Operation: "OP-20", Step: "S-20-2"}, bolts.Object)
	require.Len(t, bolts.Values, 1)
	assert.Equal(t, []string{"bolts-from-below", "bolts-turn-in", "parts-drop-in"},
		[]string{bolts.Values[0].Rule, bolts.Values[0].Overrides[0].Rule, bolts.Values[0].Overrides[1].Rule})
	assert.Equal(t, []string{`item.class == "bolt" is false: item.class is "housing"`}, doc.Objects[0].NotFired[0].Why)
}

// The demo in the README prints what it prints, but for times and the edition.
func TestReadmeShowsTheDemo(t *testing.T) {
	readme, err := os.ReadFile(root + "/README.md")
	require.NoError(t, err)
	dir := t.TempDir()
	printed := typed(t, dir, "$ planfold demo demo\n$ planfold convert -r demo/rules.yaml -o demo/out demo/plan.xml\n"+
		"$ planfold verify demo/out\n$ planfold explain -r demo/rules.yaml demo/plan.xml --step S-60-4 --value nominal\n")
	text := untimed.ReplaceAllString(string(readme), "0.1 s\n")
	for line := range strings.Lines(printed) {
		assert.Contains(t, text, strings.TrimPrefix(line, "$ planfold "), "mend README.md")
	}
}
