package rules

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/rules/action"
	"planfold/rules/document"
	"planfold/schema"
)

const schemaFile = "../schema/rules.schema.json"

// The JSON Schema of the rule language says what the tables say that the code
// follows.
func TestSchemaIsTrue(t *testing.T) {
	want, err := schema.Encode(languageSchema(t))
	require.NoError(t, err)
	if *update {
		require.NoError(t, os.WriteFile(schemaFile, want, 0o644))
		return
	}
	assert.Equal(t, string(want), string(readFile(t, schemaFile)), "go test ./rules -update rewrites the schema")
}

// jsonObject is written with its members in alphabetical order.
type jsonObject = map[string]any

// languageSchema needs no "read" at the top: a file that is layered over another
// may do without.
func languageSchema(t *testing.T) jsonObject {
	s := schemaOf{t, jsonObject{}}
	for name, shape := range shapes {
		s.definitions[name] = shape
	}
	own := map[string]any{
		"frame":      s.mapping(frameKeys, map[string]any{"geometry": s.mapping(geometryKeys, nil, nil)}, nil),
		"joins":      jsonObject{"type": "object", "additionalProperties": s.mapping(joinKeys, nil, joinKeys.names())},
		"parameters": named(jsonObject{"anyOf": []any{defined("constant"), jsonObject{"type": "array", "items": defined("constant")}}}),
		"lists":      named(jsonObject{"type": "array", "items": defined("constant")}),
		"tables":     named(s.mapping(tableKeys, nil, tableKeys.names())),
		"rules":      jsonObject{"type": "array", "items": s.rule()},

		"expectations": jsonObject{"type": "array", "items": s.mapping(expectationKeys, nil, []string{"name", "expect"})},
		"read": s.mapping(readKeys, map[string]any{
			"plan": s.records(planKind, "match"), "items": s.records(itemKind, "match"),
			"occurrences": s.records(occurrenceKind, "match"), "views": s.records(viewKind, "match"),
			"operations": s.records(operationKind, "match"),
		}, nil),
	}
	root := s.mapping(fileKeys, own, []string{"planfold"})
	root["$schema"] = "http://json-schema.org/draft-07/schema#"
	root["title"] = "rule file of planfold"
	root["description"] = "What a plan export means, and what is done to it. What only compiling can tell (paths, patterns, conditions, names of joins) is for planfold check."
	root["definitions"] = s.definitions
	return root
}

// shapes are the words in which the tables say what a key takes. A YAML scalar that
// looks like a number or a truth is a text as well.
var shapes = map[string]jsonObject{
	"text":            scalar("a text"),
	"number":          {"type": "number"},
	"whole number":    {"type": "integer", "minimum": 1},
	"true or false":   {"type": "boolean"},
	"true":            {"enum": []any{true}},
	"path":            scalar("XPath 1.0 from the record's element"),
	"record pattern":  {"type": "string", "pattern": `^\s*/`, "description": "a path from the document that is decided at the start tag"},
	"pattern":         scalar("a regular expression, RE2"),
	"condition":       scalar("a condition in CEL, which gives yes or no"),
	"occurrence path": scalar("an occurrence, by its path"),
	"reason":          {"type": []string{"string", "number"}, "pattern": `\S`, "description": "why, in words for people"},
	"language tag":    {"type": "string", "pattern": "^[A-Za-z]{2,8}([-_][A-Za-z0-9]{1,8})*$"},
	"texts": {"anyOf": []any{defined("text"), jsonObject{
		"type": "object", "minProperties": 1, "additionalProperties": defined("text"), "description": "a text for each language, by its tag",
	}}},
	"#rrggbb": {"type": "string", "pattern": "^#[0-9a-fA-F]{6}$"},

	"constant":            {"type": []string{"string", "number", "boolean"}},
	"number above 0":      {"type": "number", "exclusiveMinimum": 0},
	"whole number from 0": {"type": "integer", "minimum": 0},
}

// named are values by names that conditions can use.
func named(shape jsonObject) jsonObject {
	return jsonObject{
		"type": "object", "additionalProperties": shape,
		"propertyNames": jsonObject{"pattern": identifier.String(), "not": jsonObject{"enum": []string{"in", "true", "false", "null"}}},
	}
}

func scalar(says string) jsonObject {
	return jsonObject{"type": []string{"string", "number", "boolean"}, "pattern": `\S`, "description": says}
}

type schemaOf struct {
	t           *testing.T
	definitions jsonObject
}

func defined(name string) jsonObject {
	return jsonObject{"$ref": "#/definitions/" + strings.ReplaceAll(name, " ", "%20")}
}

// described puts a sentence beside a shape; beside a $ref it would be ignored.
func described(says string, shape any) jsonObject {
	return jsonObject{"description": says, "allOf": []any{shape}}
}

// define gives a shape a name, once.
func (s schemaOf) define(name string, shape func() jsonObject) jsonObject {
	if s.definitions[name] == nil {
		s.definitions[name] = jsonObject{} // a record may hold records of its kind
		s.definitions[name] = shape()
	}
	return defined(name)
}

// mapping is a mapping of keys, of which those in own have a shape of their own.
func (s schemaOf) mapping(ks keys, own map[string]any, needed []string) jsonObject {
	properties := jsonObject{}
	for _, k := range ks {
		shape := own[k.name]
		if shape == nil {
			shape = s.takes(k.takes, "")
		}
		properties[k.name] = described(k.says, shape)
	}
	return closed(properties, needed)
}

func closed(properties jsonObject, needed []string) jsonObject {
	m := jsonObject{"type": "object", "properties": properties, "additionalProperties": false}
	if len(needed) > 0 {
		m["required"] = needed
	}
	return m
}

// takes reads what a table says that a key takes: a word of shapes, or values with
// "or" between them, or a mapping or list of these in YAML's flow style, where
// "key?" may be absent, and "…" stands for more of a list and for any key. "; for a step" begins what
// is otherwise for that kind of object, "also" what it takes besides. Of mappings with
// "or" between or before them one is taken.
func (s schemaOf) takes(says, kind string) jsonObject {
	forms := regexp.MustCompile(`; for an? (\w+) `).FindAllStringSubmatchIndex(says, -1)
	general, own := says, ""
	for i, at := range slices.Backward(forms) {
		end := len(says)
		if i+1 < len(forms) {
			end = forms[i+1][0]
		}
		if says[at[2]:at[3]] == kind {
			own = says[at[1]:end]
		}
		general = says[:at[0]]
	}
	also, besides := strings.CutPrefix(own, "also ")
	switch {
	case own == "":
		return s.forms(general)
	case !besides:
		return s.forms(own)
	}
	n := s.parsed(general)
	more := s.parsed(also)
	n.Keys, n.Values = append(n.Keys, more.Keys...), append(n.Values, more.Values...)
	return s.form(n)
}

// forms are the shapes of which one is taken, or the one.
func (s schemaOf) forms(says string) jsonObject {
	var each []any
	for _, one := range strings.Split(strings.ReplaceAll(says, " or {", "\n{"), "\n") {
		each = append(each, s.form(s.parsed(one)))
	}
	if len(each) == 1 {
		return each[0].(jsonObject)
	}
	return jsonObject{"oneOf": each}
}

func (s schemaOf) parsed(says string) *document.Node {
	var faults document.Faults
	n := document.Parse("takes", []byte("takes: "+says), &faults)
	require.Empty(s.t, faults.List(), "what a key takes: %s", says)
	require.NotNil(s.t, n.Get("takes"), "what a key takes: %s", says)
	return n.Get("takes")
}

func (s schemaOf) form(n *document.Node) jsonObject {
	switch n.Kind {
	case document.Scalar:
		if shapes[n.Text] != nil {
			return defined(n.Text)
		}
		require.NotContains(s.t, n.Text, ",", "what a key takes is said in the words of shapes, or as values with \"or\" between them: %s", n.Text)
		return oneOf(strings.Split(n.Text, " or "))
	case document.List:
		return s.list(n)
	}
	if len(n.Keys) == 1 && n.Keys[0].Text == "…" {
		return jsonObject{"type": "object", "additionalProperties": s.form(n.Values[0])}
	}
	properties, needed := jsonObject{}, []string{}
	for i, k := range n.Keys {
		name, optional := strings.CutSuffix(k.Text, "?")
		properties[name] = s.form(n.Values[i])
		if !optional {
			needed = append(needed, name)
		}
	}
	return closed(properties, needed)
}

func (s schemaOf) list(n *document.Node) jsonObject {
	count := len(n.Values)
	if count == 2 && n.Values[1].Text == "…" {
		return jsonObject{"type": "array", "items": s.form(n.Values[0])}
	}
	return jsonObject{"type": "array", "items": s.form(n.Values[0]), "minItems": count, "maxItems": count}
}

// oneOf are texts of which YAML may take some for numbers or truths.
func oneOf(allowed []string) jsonObject {
	var values []any
	for _, a := range allowed {
		values = append(values, a)
		if a == "1" {
			values = append(values, 1)
		}
	}
	return jsonObject{"enum": values}
}

// records are one record or a list of them.
func (s schemaOf) records(k *kind, by string) jsonObject {
	record := s.define("record of "+k.name, func() jsonObject {
		ks := slices.DeleteFunc(slices.Clone(recordKeys), func(k key) bool { return !slices.Contains(recordKeysBy(by), k.name) })
		m := s.mapping(ks, nil, append([]string{by}, k.needed...))
		if by == "each" {
			m["dependencies"] = jsonObject{"join": []string{"by"}, "by": []string{"join"}}
		}
		for _, f := range k.fields {
			says := f.said(k)
			require.NotEmpty(s.t, says, "rules/says.go does not say what the %s of a %s is", f.name, k.name)
			m["properties"].(jsonObject)[f.name] = described(says, s.field(k, f))
		}
		return m
	})
	return jsonObject{"anyOf": []any{record, jsonObject{"type": "array", "items": record}}}
}

// field is a value, or a list of values of which the first that gives something
// counts.
func (s schemaOf) field(k *kind, f *field) jsonObject {
	if f.typ == records {
		return s.records(f.of, "each")
	}
	name := "value"
	switch {
	case f.allowed != nil:
		name = strings.Join(f.allowed, " or ")
	case f.typ == decimal:
		name = "decimal"
	case f.typ == texts || f.typ == notes:
		name = "value in languages"
	}
	rest := k.field("notes") != nil
	if rest {
		name += " of a record with notes"
	}
	return s.define(name+", or a list", func() jsonObject {
		one := s.define(name, func() jsonObject { return jsonObject{"anyOf": []any{defined("path"), s.value(f, name, rest)}} })
		return jsonObject{"anyOf": []any{one, jsonObject{"type": "array", "minItems": 1, "items": one}}}
	})
}

func (s schemaOf) value(f *field, name string, rest bool) jsonObject {
	constant := defined("text")
	switch {
	case f.allowed != nil:
		constant = oneOf(f.allowed)
	case f.typ == decimal:
		constant = jsonObject{"type": []string{"string", "number"}, "pattern": `^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)$`}
	}
	ks := valueKeys
	if !rest {
		ks = slices.DeleteFunc(slices.Clone(ks), func(k key) bool { return k.name == "rest" })
	}
	if f.typ != texts && f.typ != notes {
		ks = slices.DeleteFunc(slices.Clone(ks), func(k key) bool { return k.name == "lang" || k.name == "languages" })
	}
	if f.typ != decimal {
		ks = slices.DeleteFunc(slices.Clone(ks), func(k key) bool { return k.name == "plus" })
	}
	m := s.mapping(ks, map[string]any{
		"value": constant, "default": constant, "plus": jsonObject{"anyOf": []any{defined("path"), defined(name)}},
		"join": oneOrMore(defined("text")), "by": oneOrMore(defined("path")),
	}, nil)
	m["oneOf"] = anyRequired(valueSources)
	without := jsonObject{"join": []string{"by"}}
	for _, u := range useless {
		depends := jsonObject{"anyOf": anyRequired(u.without)}
		if without[u.key] != nil {
			depends["required"] = without[u.key]
		}
		without[u.key] = depends
	}
	m["dependencies"] = without
	return m
}

func oneOrMore(shape jsonObject) jsonObject {
	return jsonObject{"anyOf": []any{shape, jsonObject{"type": "array", "minItems": 1, "items": shape}}}
}

func anyRequired(names []string) []any {
	var out []any
	for _, n := range names {
		out = append(out, jsonObject{"required": []string{n}})
	}
	return out
}

// rule is an assigning rule; what it may set depends on what it is for.
func (s schemaOf) rule() jsonObject {
	m := s.mapping(ruleKeys, map[string]any{
		"for": oneOf(action.Kinds), "set": jsonObject{"type": "object"},
	}, []string{"name", "for", "set"})
	var cases []any
	for _, kind := range action.Kinds {
		properties := jsonObject{}
		for _, row := range action.Rows() {
			if slices.Contains(row.For, kind) {
				properties[row.Name] = described(row.Does, s.takes(row.Takes, kind))
			}
		}
		cases = append(cases, jsonObject{
			"if":   jsonObject{"properties": jsonObject{"for": jsonObject{"const": kind}}, "required": []string{"for"}},
			"then": jsonObject{"properties": jsonObject{"set": closed(properties, nil)}},
		})
	}
	m["allOf"] = cases
	return m
}
