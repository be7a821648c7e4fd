package bundle

import (
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
	"sync"

	"planfold/convert/step"
)

// Origins is origin.json: for each step folder, the JSON pointer of each value in
// step.json that the plan or a rule gave, with its line, column and rule.
type Origins struct {
	Format string                       `json:"format"`
	File   string                       `json:"file"`
	Rules  []string                     `json:"rules"`
	Steps  map[string]map[string]Source `json:"steps"`
}

// Source is the place of a value in the plan (line 0: it is not in the plan) and
// the index of its rule.
type Source struct{ Line, Column, Rule int }

// UnmarshalText reads line:column:rule.
func (s *Source) UnmarshalText(text []byte) error {
	parts := strings.Split(string(text), ":")
	numbers := []*int{&s.Line, &s.Column, &s.Rule}
	if len(parts) != len(numbers) {
		return fmt.Errorf("%q is not line:column:rule", text)
	}
	for i, p := range parts {
		n, err := strconv.Atoi(p)
		if err != nil || n < 0 {
			return fmt.Errorf("%q is not line:column:rule", text)
		}
		*numbers[i] = n
	}
	return nil
}

// ReadOrigins reads origin.json for the wanted step folders; the others are passed
// over, so that it need not stand in memory whole.
func ReadOrigins(r io.Reader, wanted map[string]bool) (*Origins, error) {
	o := &Origins{Steps: map[string]map[string]Source{}}
	d := json.NewDecoder(r)
	if err := expect(d, '{'); err != nil {
		return nil, err
	}
	for d.More() {
		name, err := d.Token()
		if err != nil {
			return nil, err
		}
		switch name {
		case "rules":
			err = d.Decode(&o.Rules)
		case "file":
			err = d.Decode(&o.File)
		case "steps":
			err = o.readSteps(d, wanted)
		default:
			err = d.Decode(new(json.RawMessage))
		}
		if err != nil {
			return nil, err
		}
	}
	return o, expect(d, '}')
}

func expect(d *json.Decoder, delim json.Delim) error {
	t, err := d.Token()
	if err == nil && t != delim {
		err = fmt.Errorf("%v where %q is due", t, delim.String())
	}
	return err
}

func (o *Origins) readSteps(d *json.Decoder, wanted map[string]bool) error {
	if err := expect(d, '{'); err != nil {
		return err
	}
	for d.More() {
		folder, err := d.Token()
		if err != nil {
			return err
		}
		name, _ := folder.(string)
		if !wanted[name] {
			err = d.Decode(new(json.RawMessage))
		} else {
			var values map[string]Source
			err = d.Decode(&values)
			o.Steps[name] = values
		}
		if err != nil {
			return err
		}
	}
	return expect(d, '}')
}

// Restore gives the values of a step that was read from its document their origins.
func (o *Origins) Restore(folder string, s *Step) {
	values := o.Steps[folder]
	walkTexts(reflect.ValueOf(s).Elem(), nil, func(pointer []byte, t *step.Text) {
		at, ok := values[string(pointer)]
		if !ok {
			return
		}
		t.Origin = step.Origin{Line: at.Line, Column: at.Column}
		if at.Rule < len(o.Rules) {
			t.Origin.Rule = o.Rules[at.Rule]
		}
	})
}

var textType = reflect.TypeFor[step.Text]()

// walkTexts follows the structure as encoding/json does, and hands over each text with
// its JSON pointer, which is good until the next.
func walkTexts(v reflect.Value, pointer []byte, each func([]byte, *step.Text)) {
	switch {
	case v.Type() == textType:
		each(pointer, v.Addr().Interface().(*step.Text))
	case v.Kind() == reflect.Pointer && !v.IsNil():
		walkTexts(v.Elem(), pointer, each)
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			walkTexts(v.Index(i), strconv.AppendInt(append(pointer, '/'), int64(i), 10), each)
		}
	case v.Kind() == reflect.Struct:
		for _, m := range membersOf(v.Type()) {
			walkTexts(v.Field(m.field), append(pointer, m.path...), each)
		}
	}
}

// member is a field of a structure that JSON has, with what it adds to a pointer.
type member struct {
	field int
	path  string
}

var members sync.Map // reflect.Type → []member, filled as needed

func membersOf(t reflect.Type) []member {
	if known, ok := members.Load(t); ok {
		return known.([]member)
	}
	var out []member
	for i := range t.NumField() {
		field := t.Field(i)
		name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
		switch {
		case name == "-" || !field.IsExported():
		case field.Anonymous && name == "":
			out = append(out, member{i, ""})
		default:
			out = append(out, member{i, "/" + name})
		}
	}
	members.Store(t, out)
	return out
}
