package bundle

import (
	"fmt"
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

// NewOrigins begins the origins of a plan's edition.
func NewOrigins(file string) *Origins {
	return &Origins{"planfold/origin/1", file, []string{}, map[string]map[string]Source{}, map[string]int{}}
}

// Add records the origins of a step's values.
func (o *Origins) Add(folder string, s *Step) {
	values := map[string]Source{}
	o.walk(reflect.ValueOf(s).Elem(), "", values)
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

// walk follows the structure as encoding/json does.
func (o *Origins) walk(v reflect.Value, pointer string, into map[string]Source) {
	switch {
	case v.Type() == textType:
		if t := v.Interface().(step.Text); t.Origin != (step.Origin{}) {
			into[pointer] = Source{t.Origin.Line, t.Origin.Column, o.rule(t.Origin.Rule)}
		}
	case v.Kind() == reflect.Pointer && !v.IsNil():
		o.walk(v.Elem(), pointer, into)
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			o.walk(v.Index(i), pointer+"/"+strconv.Itoa(i), into)
		}
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			field := v.Type().Field(i)
			name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
			switch {
			case name == "-" || !field.IsExported():
			case field.Anonymous && name == "":
				o.walk(v.Field(i), pointer, into)
			default:
				o.walk(v.Field(i), pointer+"/"+name, into)
			}
		}
	}
}
