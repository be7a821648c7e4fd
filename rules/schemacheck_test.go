package rules

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v4"

	"planfold/convert/diag"
	"planfold/rules/action"
	"planfold/rules/document"
	"planfold/schema"
)

// asJSON is a rule file as an editor's validator sees it.
func asJSON(t testing.TB, text []byte) []byte {
	t.Helper()
	var v any
	require.NoError(t, yaml.Unmarshal(text, &v))
	b, err := json.Marshal(v)
	require.NoError(t, err)
	return b
}

// secondOpinion is the schema as another validator reads it.
func secondOpinion(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(readFile(t, schemaFile)))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("rules.schema.json", doc))
	s, err := c.Compile("rules.schema.json")
	require.NoError(t, err)
	return s
}

// ruleFiles are those of the repository that compile.
func ruleFiles(t testing.TB) []string {
	t.Helper()
	var all []string
	for _, pattern := range []string{dialects + "*.yaml", dialects + "*/*.yaml", "../cmd/planfold/demo/*.yaml", "testdata/mapping/*.yaml", "testdata/lint/*.yaml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, files, pattern)
		all = append(all, files...)
	}
	return all
}

func TestRuleFilesFitTheSchema(t *testing.T) {
	second := secondOpinion(t)
	for _, f := range ruleFiles(t) {
		doc := asJSON(t, readFile(t, f))
		assert.Empty(t, schema.Check("rules", doc), f)
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(doc))
		require.NoError(t, err)
		assert.NoError(t, second.Validate(v), f)
	}
}

// structural are the codes of faults that structure alone can tell.
var structural = []string{"RULE_KEY_UNKNOWN", "RULE_KEY_MISSING", "RULE_VALUE_INVALID", "RULE_ACTION_UNSUITED", "RULE_VERSION_UNKNOWN"}

// A file without "read", or without these in it, may be a layer.
var mayBeALayer = []string{`a rule file needs "read"`, `read needs "plan"`, `read needs "operations"`}

func TestBadRulesDoNotFitTheSchema(t *testing.T) {
	second := secondOpinion(t)
	files, err := filepath.Glob("testdata/bad/*.yaml")
	require.NoError(t, err)
	refused := 0
	for _, f := range files {
		text := readFile(t, f)
		_, faults := Compile([]File{{Name: "rules.yaml", Data: text}})
		told := slices.ContainsFunc(faults, func(d diag.Diagnostic) bool {
			return slices.Contains(structural, d.Code) && !slices.Contains(mayBeALayer, d.Message)
		})
		if !told || strings.Contains(f, "RULE_YAML_MALFORMED") || strings.Contains(f, "RULE_LIMIT") {
			continue
		}
		refused++
		doc := asJSON(t, text)
		assert.NotEmpty(t, schema.Check("rules", doc), f)
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(doc))
		require.NoError(t, err)
		assert.Error(t, second.Validate(v), f)
	}
	assert.Greater(t, refused, 6)
}

// beyondSchema are faults that are no matter of structure though they have the code
// of one, by a piece of their message.
var beyondSchema = []string{
	`the rule sets nothing`, `takes the reason`, `is three zeros`, `which is not a decimal number`, `each join is followed by its own`,
}

// The schema refuses what compiling refuses for its structure, and nothing that
// compiles: single edits at random places of every rule file.
func TestSchemaAgreesWithCompiling(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	var docs []any
	reading := decoded(t, dialects+"neutral/rules.yaml")
	for _, f := range ruleFiles(t) {
		doc := decoded(t, f)
		if doc["read"] == nil { // a layer, which does not compile by itself
			whole := maps.Clone(reading)
			maps.Copy(whole, doc)
			doc = whole
		}
		docs = append(docs, doc)
	}
	agreed := map[bool]int{}
	for range 300 {
		text, edit := edited(t, docs[random.IntN(len(docs))], random)
		s, faults := Compile([]File{{Name: "rules.yaml", Data: text}})
		problems := schema.Check("rules", text)
		inStructure := len(faults) > 0
		for _, d := range faults {
			beyond := slices.ContainsFunc(beyondSchema, func(piece string) bool { return strings.Contains(d.Message, piece) })
			inStructure = inStructure && slices.Contains(structural, d.Code) && !beyond && !slices.Contains(mayBeALayer, d.Message)
		}
		switch {
		case s != nil:
			assert.Empty(t, problems, "%s compiles", edit)
		case inStructure:
			assert.NotEmpty(t, problems, "%s: %v", edit, faults)
		default:
			continue
		}
		agreed[s != nil]++
	}
	assert.Greater(t, agreed[true], 30)
	assert.Greater(t, agreed[false], 30)
}

func decoded(t *testing.T, file string) map[string]any {
	t.Helper()
	var v map[string]any
	require.NoError(t, json.Unmarshal(asJSON(t, readFile(t, file)), &v))
	return v
}

// edited is the document with one edit at a random place, as JSON, which is YAML.
func edited(t *testing.T, doc any, random *rand.Rand) (text []byte, edit string) {
	t.Helper()
	b, err := json.Marshal(doc)
	require.NoError(t, err)
	var v any
	require.NoError(t, json.Unmarshal(b, &v))
	places := mappings(v, "")
	p := places[random.IntN(len(places))]
	keys := slices.Sorted(maps.Keys(p.mapping))
	k := keys[random.IntN(len(keys))]
	values := []any{"", "x", -1, 7, true, nil, []any{}, []any{"a"}, map[string]any{}, map[string]any{"x": 1}, map[string]any{"path": "x"}}
	switch kind := random.IntN(8); kind {
	case 0:
		p.mapping[k+"x"] = p.mapping[k]
		delete(p.mapping, k)
		edit = "renamed"
	case 1, 2:
		delete(p.mapping, k)
		edit = "deleted"
	case 3:
		added := []string{"where", "pattern", "join", "by", "default", "value", "rest", "up", "first", "group", "title", "stop", "notes"}
		k = added[random.IntN(len(added))]
		p.mapping[k] = values[random.IntN(len(values))]
		edit = fmt.Sprintf("added with %v", p.mapping[k])
	default:
		p.mapping[k] = values[random.IntN(len(values))]
		edit = fmt.Sprintf("made %v", p.mapping[k])
	}
	b, err = json.Marshal(v)
	require.NoError(t, err)
	return b, p.where + "." + k + " " + edit
}

type place struct {
	where   string
	mapping map[string]any
}

// mappings lists every mapping of a document that is not empty.
func mappings(v any, where string) []place {
	var out []place
	switch v := v.(type) {
	case map[string]any:
		if len(v) > 0 {
			out = append(out, place{where, v})
		}
		for _, k := range slices.Sorted(maps.Keys(v)) { // for the seed
			out = append(out, mappings(v[k], where+"."+k)...)
		}
	case []any:
		for i, e := range v {
			out = append(out, mappings(e, fmt.Sprintf("%s[%d]", where, i))...)
		}
	}
	return out
}

// Of an action's argument the schema knows the keys that compiling knows.
func TestSchemaKnowsTheKeysOfEachAction(t *testing.T) {
	s := schemaOf{t, jsonObject{}}
	for _, row := range action.Rows() {
		for _, kind := range row.For {
			keys := keysOf(s.takes(row.Takes, kind))
			if len(keys) == 0 {
				continue
			}
			var faults document.Faults
			n := document.Parse("r.yaml", []byte(row.Name+": {zzzzzzzzzzzzzzzzzzzzzzzzzz: 1}\n"), &faults)
			c := compiler{faults: &faults, set: &Set{}}
			c.actions(n, kind)
			listed := regexp.MustCompile(`(?m), which takes (.*)$`).FindStringSubmatch(messages(faults.List()))
			require.NotNil(t, listed, faults.List())
			assert.ElementsMatch(t, strings.Split(listed[1], ", "), keys, "%s of a %s", row.Name, kind)
		}
	}
}

func messages(faults diag.List) string {
	var b strings.Builder
	for _, d := range faults {
		b.WriteString(d.Message + "\n")
	}
	return b.String()
}

// keysOf are the keys of a mapping, or of the mappings of which one is taken.
func keysOf(shape jsonObject) []string {
	forms, several := shape["oneOf"].([]any)
	if !several {
		forms = []any{shape}
	}
	known := map[string]bool{}
	for _, form := range forms {
		properties, _ := form.(jsonObject)["properties"].(jsonObject)
		for name := range properties {
			known[name] = true
		}
	}
	return slices.Sorted(maps.Keys(known))
}
