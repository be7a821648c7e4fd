package compare

import (
	"encoding/json"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/bundle"
	"planfold/convert/step"
	"planfold/schema"
)

// Each member of what is compared has its row in the table, and each row its member.
func TestEveryMemberHasAClass(t *testing.T) {
	seen := map[reflect.Type]map[string]bool{}
	var visit func(k *typ)
	visit = func(k *typ) {
		switch k.form {
		case formList, pointer, mapping:
			visit(k.elem)
			return
		case structure:
		default:
			return
		}
		for _, m := range k.members {
			owner := k.is
			for _, i := range m.index[:len(m.index)-1] {
				owner = owner.Field(i).Type
			}
			if seen[owner] == nil {
				seen[owner] = map[string]bool{}
			}
			if seen[owner][m.name] {
				continue
			}
			seen[owner][m.name] = true
			_, ok := fields[owner][m.name]
			assert.True(t, ok, "%v.%s has no row in field.go: which class does it touch?", owner, m.name)
			if m.field.class != follows {
				visit(m.typ)
			}
		}
	}
	for _, root := range []reflect.Type{reflect.TypeFor[bundle.Step](), reflect.TypeFor[drawing](), reflect.TypeFor[head](), reflect.TypeFor[step.Plan](), reflect.TypeFor[bundle.Resource]()} {
		visit(types()[root])
	}
	for owner, rows := range fields {
		for name := range rows {
			assert.True(t, seen[owner][name], "field.go has a row for %v.%s, which is not there", owner, name)
		}
	}
}

// Each list of structures says by what its entries are found again.
func TestEveryListHasAnIdentity(t *testing.T) {
	unread := []reflect.Type{reflect.TypeFor[bundle.Resource](), reflect.TypeFor[step.Part]()} // not walked as a list
	for _, k := range types() {
		if k.form == formList && (k.elem.form == structure || k.elem.form == pointer) && fields[k.elem.is] != nil && !slices.Contains(unread, k.elem.is) {
			assert.NotEmpty(t, k.elem.identity.keys, "%v has no row among the identities", k.elem.is)
		}
	}
	for of, row := range identities {
		k := types()[of]
		require.NotNil(t, k, of)
		if k.form == pointer {
			k = k.elem
		}
		for _, key := range append(row.keys, row.label) {
			for _, name := range key {
				assert.NotNil(t, k.member(name), "%v has no member %q", of, name)
			}
		}
	}
}

// What rules assign to a step stands in its document, in its drawing, or says why not.
func TestEveryMemberOfAStepIsCompared(t *testing.T) {
	elsewhere := map[string]string{
		"Order": "sequence", "Skip": "such a step is not there", "Chosen": "the others are not there", "Diagnostics": "notCarried", "LeftOut": "such parts are not there",
	}
	doc, drawn := reflect.TypeFor[bundle.Step](), reflect.TypeFor[drawing]()
	for _, f := range reflect.VisibleFields(reflect.TypeFor[step.Step]()) {
		_, inDocument := doc.FieldByName(f.Name)
		_, inDrawing := drawn.FieldByName(f.Name)
		assert.True(t, inDocument || inDrawing || f.Anonymous || elsewhere[f.Name] != "", "step.Step.%s is not compared", f.Name)
	}
}

// The published schema and the walk know the same members.
func TestWalkKnowsTheSchema(t *testing.T) {
	text, err := schema.Source("step")
	require.NoError(t, err)
	var s map[string]any
	require.NoError(t, json.Unmarshal(text, &s))
	var visit func(k *typ, node map[string]any, path string)
	visit = func(k *typ, node map[string]any, path string) {
		if ref, ok := node["$ref"].(string); ok {
			node = s["definitions"].(map[string]any)[ref[len("#/definitions/"):]].(map[string]any)
		}
		if one, ok := node["oneOf"].([]any); ok {
			node = one[len(one)-1].(map[string]any)
			visit(k, node, path)
			return
		}
		switch k.form {
		case pointer:
			visit(k.elem, node, path)
		case formList:
			if items, ok := node["items"].(map[string]any); ok {
				visit(k.elem, items, path+"[]")
			}
		case structure:
			for name, sub := range node["properties"].(map[string]any) {
				m := k.member(name)
				if assert.NotNil(t, m, "%s.%s is in the schema alone", path, name) {
					visit(m.typ, sub.(map[string]any), path+"."+name)
				}
			}
		}
	}
	visit(types()[reflect.TypeFor[bundle.Step]()], s, "step")
}
