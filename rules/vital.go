package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// vital are the fields without which a record misleads. Rules that read such records
// look for one of a group, and where no record gets any, or a path to one leads
// nowhere, it is most likely misspelt.
var vital = []struct {
	of     *kind
	fields []string
}{
	{partKind, []string{"item", "operation", "occurrences"}},
	{partKind, []string{"quantity"}},
	{hazardKind, []string{"signalWord"}},
	{hazardKind, []string{"hazard"}},
	{characteristicKind, []string{"nominal", "lower", "upper"}},
	{stepKind, []string{"text", "title"}},
}

// vitalKinds are the records that no one may miss.
var vitalKinds = []*kind{partKind, hazardKind, characteristicKind, signOffKind}

func isVital(k *kind, field string) bool {
	for _, group := range vital {
		if group.of == k && slices.Contains(group.fields, field) {
			return true
		}
	}
	return false
}

// unsought finds readings that do not even look for a vital field.
func (s *Set) unsought() diag.List {
	var out diag.List
	s.eachReading(func(r *reading) {
		for _, group := range vital {
			if group.of == r.kind && !slices.ContainsFunc(group.fields, func(f string) bool { return r.binding(f) != nil }) {
				out.Add(diag.RuleVitalUnsought.At(r.place, "%s does not look for %s", r.rule, strings.Join(group.fields, " or ")))
			}
		}
	})
	return out
}

// vitalUnread finds groups of vital fields that no record of any plan got, paths to
// one that lead nowhere, and records that no key leads to. The places are those that
// it speaks of.
func (v *Survey) vitalUnread() (out diag.List, told map[diag.Position]bool) {
	told = map[diag.Position]bool{}
	add := func(at diag.Position, format string, args ...any) {
		if !told[at] {
			told[at] = true
			out.Add(diag.RuleReadsNoVital.At(at, format, args...))
		}
	}
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
					found = found || slices.ContainsFunc(b.values, v.counts.finds)
				}
			}
		})
		if !found && len(tried) > 0 {
			add(tried[0].values[0].place, "no %s of %s gets a value for %s%s", group.of.said(), v.given(), fieldsOf(tried), v.mean(tried[0].values[0].looksFor()))
		}
		for _, b := range tried {
			for i, x := range b.values {
				switch {
				case !found:
					told[x.place] = true
				case len(b.values) > 1 && group.of != stepKind && !v.counts.finds(x) && v.counts.paths[x.place].seeksInVain() && v.counts.paths[b.place].vain > 0:
					add(x.place, "nothing is found in %s for %s, and some have no other%s", v.given(), strings.TrimPrefix(b.called(i), "read."), v.mean(x.looksFor()))
				}
			}
		}
	}
	v.set.eachReading(func(r *reading) {
		if at, why := v.notLed(r); why != "" {
			add(at, "%s", why)
			told[r.place] = true
		}
	})
	return out, told
}

// fieldsOf names the fields of bindings, each once.
func fieldsOf(list []*binding) string {
	var names []string
	for _, b := range list {
		if !slices.Contains(names, b.field.name) {
			names = append(names, b.field.name)
		}
	}
	return strings.Join(names, " or ")
}

// notLed says why no key leads to vital records through a join, though there are such
// records or keys, and where the rules say so; or "".
func (v *Survey) notLed(r *reading) (at diag.Position, why string) {
	if r.join == nil || v.counts.read[r.place] > 0 || !slices.Contains(vitalKinds, r.kind) {
		return at, ""
	}
	keys := v.counts.paths[r.byAt]
	at, why = v.unjoined(r.join)
	switch {
	case why != "" && keys.found == 0:
		return at, "" // these plans have nothing of the kind
	case why == "" && keys.seeksInVain():
		return r.byAt, fmt.Sprintf("no %s is read: by finds no key in %s for the join %q, which has records%s", r.kind.said(), v.given(), r.join.name, v.mean(r.by.String()))
	case why == "" && keys.found > 0 && r.where == nil:
		return r.byAt, fmt.Sprintf("no %s is read: no key that by finds in %s is one of the join %q", r.kind.said(), v.given(), r.join.name)
	}
	return at, why
}

// noteQuantity counts the parts whose quantity the rules look for, and those that have
// one. It tells what is missing, unless an error that was told of that field says why.
func (m *mapping) noteQuantity(r *reading, p *step.Part, refused []string) {
	if r.binding("quantity") == nil {
		return
	}
	m.parts++
	what := "this part"
	if name := cmp.Or(p.Item.Value, p.Operation.Value, p.Purpose.First()); name != "" {
		what = "the part " + strconv.Quote(name)
	}
	whole, _, _ := strings.Cut(p.Quantity.Value, ".")
	switch {
	case slices.Contains(refused, "quantity"):
	case !p.Quantity.Given():
		m.fault(diag.MapQuantityMissing, p.Origin, "%s has no quantity", what)
		return
	case !p.Unit.Given() && !slices.Contains(refused, "unit") && compareDecimals(p.Quantity.Value, whole) != 0:
		m.fault(diag.MapUnitNone, p.Quantity.Origin, "%s has the quantity %s, which counts no pieces, and no unit", what, p.Quantity.Value)
	}
	m.quantities++
}

// remarkNoQuantity tells of a plan none of whose parts has a quantity, though the rules
// look for it, once instead of at each part. The steps name theirs all the same.
func (m *mapping) remarkNoQuantity(p *step.Plan) {
	if m.parts == 0 || m.quantities > 0 {
		return
	}
	m.faults = slices.DeleteFunc(m.faults, func(d diag.Diagnostic) bool { return d.Code == diag.MapQuantityMissing.Name })
	d := diag.MapQuantityNone.At(p.Position, "none of the parts of plan %q has a quantity (parts: %d)", p.ID.Value, m.parts)
	d.Plan = p.ID.Value
	m.faults.Add(d)
}
