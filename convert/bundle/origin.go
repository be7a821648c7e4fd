package bundle

import (
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"planfold/convert/step"
)

// Origins is origin.json: for each step folder, the JSON pointer of each value in
// step.json that the plan or a rule gave, with its line, column and rule.
type Origins struct {
	Format string                       `json:"format"`
	File   string                       `json:"file"`
	Rules  []string                     `json:"rules"`
	Steps  map[string]map[string]Source `json:"steps"`
	index  map[string]int
}

// Source is the place of a value in the plan (line 0: it is not in the plan) and
// the index of its rule.
type Source struct{ Line, Column, Rule int }

// MarshalText writes line:column:rule, on one line however the document is indented.
func (s Source) MarshalText() ([]byte, error) {
	return fmt.Appendf(nil, "%d:%d:%d", s.Line, s.Column, s.Rule), nil
}

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
	walkTexts(reflect.ValueOf(s).Elem(), "", func(pointer string, t *step.Text) {
		at, ok := values[pointer]
		if !ok {
			return
		}
		t.Origin = step.Origin{Line: at.Line, Column: at.Column}
		if at.Rule < len(o.Rules) {
			t.Origin.Rule = o.Rules[at.Rule]
		}
	})
}

// NewOrigins begins the origins of a plan's edition.
func NewOrigins(file string) *Origins {
	return &Origins{"planfold/origin/1", file, []string{}, map[string]map[string]Source{}, map[string]int{}}
}

// Add records the origins of a step's values.
func (o *Origins) Add(folder string, s *Step) {
	values := map[string]Source{}
	walkTexts(reflect.ValueOf(s).Elem(), "", func(pointer string, t *step.Text) {
		if t.Origin != (step.Origin{}) {
			values[pointer] = Source{t.Origin.Line, t.Origin.Column, o.rule(t.Origin.Rule)}
		}
	})
	o.Steps[folder] = values
}

// Sort orders the table of rules by name, so that it does not depend on which
// step was recorded first.
func (o *Origins) Sort() {
	sorted := slices.Sorted(slices.Values(o.Rules))
	for _, values := range o.Steps {
		for pointer, at := range values {
			at.Rule, _ = slices.BinarySearch(sorted, o.Rules[at.Rule])
			values[pointer] = at
		}
	}
	o.Rules = sorted
}

func (o *Origins) rule(name string) int {
	if i, ok := o.index[name]; ok {
		return i
	}
	o.index[name] = len(o.Rules)
	o.Rules = append(o.Rules, name)
	return len(o.Rules) - 1
}

var textType = reflect.TypeFor[step.Text]()

// walkTexts follows the structure as encoding/json does, and hands over each text with
// its JSON pointer.
func walkTexts(v reflect.Value, pointer string, each func(string, *step.Text)) {
	switch {
	case v.Type() == textType:
		each(pointer, v.Addr().Interface().(*step.Text))
	case v.Kind() == reflect.Pointer && !v.IsNil():
		walkTexts(v.Elem(), pointer, each)
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			walkTexts(v.Index(i), pointer+"/"+strconv.Itoa(i), each)
		}
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			field := v.Type().Field(i)
			name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
			switch {
			case name == "-" || !field.IsExported():
			case field.Anonymous && name == "":
				walkTexts(v.Field(i), pointer, each)
			default:
				walkTexts(v.Field(i), pointer+"/"+name, each)
			}
		}
	}
}
