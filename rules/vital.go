package rules

import (
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// vital are the fields without which a record misleads: where rules name a path for
// them and no record has any of a group, the path is most likely misspelt.
var vital = []struct {
	of     *kind
	fields []string
}{
	{partKind, []string{"item", "operation", "occurrences"}},
	{partKind, []string{"quantity"}},
	{hazardKind, []string{"signalWord"}},
	{hazardKind, []string{"hazard"}},
	{characteristicKind, []string{"nominal", "lower", "upper"}},
}

// vitalUnread finds groups of vital fields that no record of any plan got, and the
// bindings that should have given them.
func (v *Survey) vitalUnread() (out diag.List, of map[*binding]bool) {
	of = map[*binding]bool{}
	for _, group := range vital {
		var tried []*binding
		found := false
		v.set.eachReading(func(r *reading) {
			if r.kind != group.of || v.counts.read[r.place] == 0 {
				return
			}
			for _, b := range r.bindings {
				if slices.Contains(group.fields, b.field.name) && len(b.values) > 0 {
					tried = append(tried, b)
					found = found || slices.ContainsFunc(b.values, func(x *value) bool { return v.counts.read[x.place] > 0 })
				}
			}
		})
		if found || len(tried) == 0 {
			continue
		}
		var names []string
		for _, b := range tried {
			of[b] = true
			if !slices.Contains(names, b.field.name) {
				names = append(names, b.field.name)
			}
		}
		out.Add(diag.RuleReadsNoVital.At(tried[0].values[0].place, "no %s of %s gets a value for %s", group.of.said(), v.given(), strings.Join(names, " or ")))
	}
	return out, of
}

// noteQuantity counts the parts of a plan, and those with a quantity.
func (m *mapping) noteQuantity(p *step.Part) {
	m.parts++
	if p.Quantity.Given() {
		m.quantities++
	}
}

// remarkNoQuantity tells of a plan none of whose parts has a quantity, though the rules
// look for it.
func (m *mapping) remarkNoQuantity(p *step.Plan) {
	if m.parts == 0 || m.quantities > 0 {
		return
	}
	asked := false
	m.eachReading(func(r *reading) {
		asked = asked || r.kind == partKind && r.binding("quantity") != nil
	})
	if asked {
		m.faults.Add(diag.MapQuantityNone.At(p.Position, "none of the parts of plan %q has a quantity (parts: %d)", p.ID.Value, m.parts))
	}
}
