package rules

import (
	"cmp"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/action"
)

// Explanation is all that the trace tells of one object.
type Explanation struct {
	Object
	Line     int              `json:"line,omitempty"` // of the plan, 0 where it is not in it
	Column   int              `json:"column,omitempty"`
	Values   []ExplainedValue `json:"values"`             // those that stand, in the order of the tables
	Missing  []MissingValue   `json:"missing,omitempty"`  // that reading rules look for
	Fired    []Firing         `json:"fired,omitempty"`    // in the order of the rules
	NotFired []Firing         `json:"notFired,omitempty"` // likewise
}

// ExplainedValue is a value that stands, with those that it took the place of, the
// latest first.
type ExplainedValue struct {
	Field string `json:"field"`
	Lang  string `json:"lang,omitempty"`
	N     int    `json:"n,omitempty"`
	Setting
	Overrides []Setting `json:"overrides,omitempty"`
}

// Setting is a value, its place in the plan (line 0: it is not in it), and what set it.
type Setting struct {
	Value  string `json:"value"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Rule   string `json:"rule,omitempty"`
	Place  string `json:"place,omitempty"` // of the rule
}

// MissingValue is a field that got nothing, with a line for each value, or path to
// records, that was tried.
type MissingValue struct {
	Field string   `json:"field"`
	List  bool     `json:"list,omitempty"` // of records: there is none
	Tried []string `json:"tried"`
}

// Firing is a rule that had its turn, with the reasons where it did not fire.
type Firing struct {
	Rule  string   `json:"rule"`
	Place string   `json:"place"`
	Why   []string `json:"why,omitempty"`
}

// Explainer is a reader of the trace that keeps what it tells of the objects that
// are wanted. It serves one goroutine.
type Explainer struct {
	wanted func(Object) bool
	fields []string // the one asked for, the actions that set it and the lists that could have it, or none: all
	kind   string   // of the records, where a list of them is asked for
	list   []*Explanation
	of     map[Object]*Explanation
	read   map[Object]step.Origin
	lost   []Setting         // overridden, until it is told by what
	places map[string]string // of rules
}

// NewExplainer keeps the objects that wanted holds for; where a field is named, only
// that one, and of the rules those that could set it.
func NewExplainer(wanted func(Object) bool, field string) *Explainer {
	var fields []string
	var kind string
	if field != "" {
		fields = append(append(actionsWith(field), listsWith(field)...), field)
		kind = recordsIn(field)
	}
	return &Explainer{wanted: wanted, fields: fields, kind: kind, of: map[Object]*Explanation{}, read: map[Object]step.Origin{}, places: map[string]string{}}
}

// Read takes an event.
func (x *Explainer) Read(e Event) {
	if !x.wanted(e.Object) {
		return
	}
	if e.Kind == ElementRead {
		x.read[e.Object] = e.Record
	}
	asked := func(name string) bool { return slices.Contains(x.fields, name) }
	if x.fields != nil && !asked(e.Field) && !slices.ContainsFunc(e.Sets, asked) && (e.Object.Kind != x.kind || e.Field == "") {
		return
	}
	o := x.of[e.Object]
	if o == nil {
		record := e.Record
		if read, ok := x.read[e.Object]; ok {
			record = read // a rule knows only where the plan names it
		}
		o = &Explanation{Object: e.Object, Line: record.Line, Column: record.Column, Values: []ExplainedValue{}}
		x.of[e.Object], x.list = o, append(x.list, o)
	}
	if e.Place != (diag.Position{}) {
		x.places[e.Rule] = e.Place.String()
	}
	switch e.Kind {
	case ValueSet:
		o.Values = append(o.Values, ExplainedValue{
			Field: e.Field, Lang: e.Lang, N: e.N, Overrides: x.lost,
			Setting: Setting{e.Value, e.Origin.Line, e.Origin.Column, e.Rule, e.Place.String()},
		})
		x.lost = nil
	case ValueOverridden:
		x.lost = append(x.lost, x.override(o, e)...)
	case ValueMissing:
		o.Missing = append(o.Missing, MissingValue{e.Field, recordsIn(e.Field) != "", e.Why()})
	case RuleFired:
		o.Fired = append(o.Fired, Firing{Rule: e.Rule, Place: e.Place.String()})
	case RuleNotFired:
		o.NotFired = append(o.NotFired, Firing{Rule: e.Rule, Place: e.Place.String(), Why: e.Why()})
	}
}

// override takes what lost out of the values that stand: of a text all languages.
func (x *Explainer) override(o *Explanation, e Event) []Setting {
	at := slices.IndexFunc(o.Values, func(v ExplainedValue) bool {
		return v.Field == e.Field && step.Origin{Line: v.Line, Column: v.Column, Rule: v.Rule} == e.Origin
	})
	if at < 0 { // it was set for all steps of the operation
		return []Setting{{e.Value, e.Origin.Line, e.Origin.Column, e.Origin.Rule, x.places[e.Origin.Rule]}}
	}
	var lost []Setting
	of := o.Values[at]
	o.Values = slices.DeleteFunc(o.Values, func(v ExplainedValue) bool {
		loses := v.Field == of.Field && v.Setting == of.Setting || of.Lang != "" && v.Field == of.Field && v.Lang != ""
		if loses {
			lost = append(append(lost, v.Setting), v.Overrides...)
		}
		return loses
	})
	return lost
}

// Explanations are what was kept, in the order in which it was read, the values in
// the order of the tables of fields and actions.
func (x *Explainer) Explanations() []*Explanation {
	if x.fields != nil {
		x.dropFound()
	}
	for _, o := range x.list {
		names := valueNames(o.Kind)
		slices.SortStableFunc(o.Values, func(a, b ExplainedValue) int {
			return cmp.Compare(slices.Index(names, a.Field), slices.Index(names, b.Field))
		})
	}
	return x.list
}

// dropFound leaves out that a list is empty where another has what was asked for: that of
// the operation holds for the step too.
func (x *Explainer) dropFound() {
	found := func(m MissingValue) bool {
		return m.List && slices.ContainsFunc(x.list, func(e *Explanation) bool { return e.Kind == recordsIn(m.Field) && !e.LeftOut })
	}
	x.list = slices.DeleteFunc(x.list, func(e *Explanation) bool {
		told := len(e.Missing)
		e.Missing = slices.DeleteFunc(e.Missing, found)
		return told > len(e.Missing) && len(e.Values)+len(e.Missing)+len(e.Fired)+len(e.NotFired) == 0
	})
}

// ValueNames lists what a value of a plan can be called: each field, those that hold
// records too, and each action and what it takes.
func ValueNames() []string {
	var out []string
	for _, k := range kinds() {
		out = append(out, k.names()...)
	}
	for _, r := range action.Rows() {
		out = append(append(out, r.Name), r.Keys()...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// recordsIn is the kind of the records that a field of a name holds, if it holds any.
func recordsIn(name string) string {
	for _, k := range kinds() {
		if f := k.field(name); f != nil && f.typ == records {
			return f.of.name
		}
	}
	return ""
}

// listsWith names the lists of a step that can have a value of a name, unless the step
// can have one itself: without hazard statements there is no signal word.
func listsWith(field string) []string {
	var out []string
	for _, f := range stepKind.fields {
		if f.typ == records && stepKind.field(field) == nil && operationKind.field(field) == nil && f.of.field(field) != nil {
			out = append(out, f.name)
		}
	}
	return out
}

// actionsWith lists the actions that set a value of a name among others: a
// characteristic has its nominal.
func actionsWith(field string) []string {
	var out []string
	for _, r := range action.Rows() {
		adds := slices.ContainsFunc(kinds(), func(k *kind) bool { return k.name == r.Name && k.field(field) != nil })
		if adds || slices.Contains(r.Keys(), field) {
			out = append(out, r.Name)
		}
	}
	return out
}

func valueNames(kind string) []string {
	var out []string
	for _, k := range kinds() {
		for _, f := range k.fields {
			if k.name == kind && f.typ != records {
				out = append(out, f.name)
			}
		}
	}
	for _, r := range action.Rows() {
		if slices.Contains(r.For, kind) {
			out = append(out, r.Name)
		}
	}
	return out
}
