package compare

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/step"
)

// object is a structure as a change shows it, its members in the order of step.json.
type object []objectMember

type objectMember struct {
	name  string
	value any
}

// MarshalJSON writes the members in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(strconv.Quote(m.name))
		b.WriteByte(':')
		text, err := json.Marshal(m.value)
		if err != nil {
			return nil, err
		}
		b.Write(text)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// describe is a value as a change shows it; nil if there is none.
func (k *typ) describe(v reflect.Value) any {
	switch k.form {
	case text:
		return given(v.Field(0).String())
	case count:
		return given(v.Field(0).Int())
	case structure:
		return k.describeStructure(v)
	case formList:
		if k.is == reflect.TypeFor[step.Texts]() {
			return describeTexts(v.Interface().(step.Texts))
		}
		return k.describeList(v)
	case numbers:
		return v.Interface()
	case pointer:
		if v.IsNil() {
			return nil
		}
		return k.elem.describe(v.Elem())
	case mapping:
		return nil // each entry is described on its own
	}
	return given(v.Interface())
}

// given is nil for an empty value.
func given(v any) any {
	if reflect.ValueOf(v).IsZero() {
		return nil
	}
	return v
}

// shownOfScene is what a scene that came or went is told by.
var shownOfScene = []string{"triangles", "deviation", "layout"}

func (k *typ) describeStructure(v reflect.Value) any {
	var out object
	for i := range k.members {
		m := &k.members[i]
		if m.field.class == follows || m.field.refers == toPart || k.is == reflect.TypeFor[bundle.Scene]() && !slices.Contains(shownOfScene, m.name) {
			continue
		}
		if d := m.typ.describe(m.of(v)); d != nil {
			out = append(out, objectMember{m.name, d})
		}
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

func (k *typ) describeList(v reflect.Value) any {
	var out []any
	for i := range v.Len() {
		out = append(out, k.elem.describe(v.Index(i)))
	}
	if out == nil {
		return nil
	}
	return out
}

// describeTexts is the text alone if it is in one language, else each by its tag.
func describeTexts(t step.Texts) any {
	switch len(t) {
	case 0:
		return nil
	case 1:
		return given(t[0].Text.Value)
	}
	var out object
	for _, l := range t {
		out = append(out, objectMember{l.Lang, l.Text.Value})
	}
	return out
}

// flat writes a described value on one line.
func flat(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case string:
		return strings.Join(strings.Fields(v), " ")
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case object:
		var parts []string
		for _, m := range v {
			parts = append(parts, m.name+" "+flat(m.value))
		}
		return strings.Join(parts, "; ")
	case []any:
		var parts []string
		for _, e := range v {
			parts = append(parts, flat(e))
		}
		return strings.Join(parts, ", ")
	}
	return fmt.Sprint(v)
}

// firstOrigin finds where a value comes from: its own place, else that of the first
// text in it.
func (k *typ) firstOrigin(v reflect.Value) step.Origin {
	switch k.form {
	case text, count:
		return v.Field(1).Interface().(step.Origin)
	case structure:
		if k.origin != nil {
			if o := v.FieldByIndex(k.origin).Interface().(step.Origin); o != (step.Origin{}) {
				return o
			}
		}
		for i := range k.members {
			if o := k.members[i].typ.firstOrigin(k.members[i].of(v)); o != (step.Origin{}) {
				return o
			}
		}
	case formList:
		for i := range v.Len() {
			if o := k.elem.firstOrigin(v.Index(i)); o != (step.Origin{}) {
				return o
			}
		}
	case pointer:
		if !v.IsNil() {
			return k.elem.firstOrigin(v.Elem())
		}
	}
	return step.Origin{}
}
