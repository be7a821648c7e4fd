package compare

import (
	"reflect"
	"slices"

	"planfold/convert"
	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
)

// Mappings compares what two sets of rules make of one plan. Where they make the same,
// it finds that out without building a document.
func Mappings(old, new *convert.Mapped) *Result {
	r := &Result{}
	for _, m := range []*convert.Mapped{new, old} {
		if m.Plan != nil {
			r.Plan = m.Plan.ID.Value
		}
	}
	switch {
	case old.Plan == nil && new.Plan == nil:
		r.Diagnostics = new.Diagnostics
		return r
	case sameMapping(old, new):
		return r
	case old.Plan == nil || new.Plan == nil:
		return refused(r, old, new)
	}
	return compareEditions(editionOf(old), editionOf(new))
}

func sameMapping(a, b *convert.Mapped) bool {
	if a.Plan == nil || b.Plan == nil || len(a.Operations) != len(b.Operations) || !sameFindings(a.Diagnostics, b.Diagnostics) {
		return false
	}
	table := types()
	if !table[reflect.TypeFor[step.Plan]()].same(reflect.ValueOf(a.Plan).Elem(), reflect.ValueOf(b.Plan).Elem()) {
		return false
	}
	k := table[reflect.TypeFor[step.Operation]()]
	for i := range a.Operations {
		if !k.same(reflect.ValueOf(a.Operations[i]).Elem(), reflect.ValueOf(b.Operations[i]).Elem()) {
			return false
		}
	}
	return true
}

func sameFindings(a, b diag.List) bool {
	return slices.EqualFunc(a, b, func(x, y diag.Diagnostic) bool { return x.Code == y.Code && x.Message == y.Message })
}

// refused is a plan of which one side makes nothing.
func refused(r *Result, old, new *convert.Mapped) *Result {
	a, b := &edition{list: old.Diagnostics}, &edition{list: new.Diagnostics}
	c := &comparison{matcher: newMatcher(a, b), told: map[string]bool{}, gaps: map[string]bool{}, out: r}
	w := c.walker("", "")
	at := place{path: "plan", field: field{class: Safety}}
	if new.Plan == nil {
		w.tell(at, Removed, r.Plan, nil, old.Plan.ID.Origin, origin{})
	} else {
		w.tell(at, Added, nil, r.Plan, origin{}, new.Plan.ID.Origin)
	}
	c.once(w.out)
	c.diagnostics()
	return r
}

func editionOf(m *convert.Mapped) *edition {
	m.Order()
	e := &edition{list: m.Diagnostics}
	p := m.Plan
	e.head = head{
		Plan:     bundle.PlanHead{ID: p.ID, Title: p.Title, Status: p.Status, Approver: p.Approver},
		Revision: p.Revision.Value, Model: p, // what holds it is among the diagnostics
	}
	type at struct{ operation, step int }
	var places []at
	for o, op := range m.Operations {
		for s, t := range op.Steps {
			if t.Skip.Given() {
				e.skipped = append(e.skipped, bundle.Skipped{Operation: op.ID.Value, Step: t.ID.Value, Reason: t.Skip.Value, Rule: t.Skip.Origin.Rule})
				continue
			}
			places = append(places, at{o, s})
			e.steps = append(e.steps, entry{operation: op.ID.Value, id: t.ID.Value, sequence: m.Sequence(o, s)})
		}
	}
	e.side = Side{Revision: e.head.Revision, Steps: len(e.steps)}
	e.open = func(i int) (*document, *diag.Diagnostic) {
		t := m.Operations[places[i].operation].Steps[places[i].step]
		return &document{m.Document(places[i].operation, places[i].step), drawing{t.View, t.Budget, t.Roles, t.Motions}}, nil
	}
	e.leftOut = func(i int) []step.Part {
		op := m.Operations[places[i].operation]
		return slices.Concat(op.Steps[places[i].step].LeftOut, op.Common.LeftOut)
	}
	return e
}
