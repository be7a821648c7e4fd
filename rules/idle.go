package rules

import (
	"fmt"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/rules/action"
)

// idle finds rules that did nothing in the plans that were surveyed.
func (v *Survey) idle() diag.List {
	var out diag.List
	absent := v.names.absent(v.set.mentions)
	explained := map[string]bool{}
	for _, n := range v.set.mentions {
		if !v.names.has(n) && !n.listed {
			explained[n.rule] = true
		}
	}
	for _, kind := range action.Kinds {
		dead := unreachable(v.set.rules[kind])
		undone := replaced(v.set.rules[kind], dead)
		for _, r := range v.set.rules[kind] {
			if _, never := dead[r]; never || r.asksGeometry() {
				continue
			}
			t := v.counts.rule(r.name)
			switch {
			case t.fired == 0 && !explained[r.name]:
				out.Add(diag.RuleIdle.At(r.place, "rule %q did not fire in %s", r.name, v.given()))
			case slices.ContainsFunc(undone, func(d diag.Diagnostic) bool { return d.Position == r.place }):
				// said already, whatever the plans
			case t.set > 0 && t.lost >= t.set && kind != "operation":
				out.Add(diag.RuleOverridden.At(r.place, "rule %q fired %s, and other rules replaced all that it set", r.name, times(t.fired)))
			}
		}
	}
	return append(out, absent...)
}

// asksGeometry reports a rule whose condition looks at what only convert knows.
func (r *rule) asksGeometry() bool {
	if r.when == nil {
		return false
	}
	variables, _ := r.when.looksAt()
	return variables["facts"]
}

// unread finds reading rules that found nothing, one finding a kind of record.
func (v *Survey) unread() diag.List {
	out, told := v.vitalUnread()
	for _, top := range v.set.readings() {
		var missing []*binding
		for _, r := range top {
			missing = v.nothing(r, missing)
		}
		missing = slices.DeleteFunc(missing, func(b *binding) bool { return told[b] })
		out.Add(v.foundNothing(missing)...)
	}
	for _, j := range v.set.joins {
		if v.counts.read[j.matchAt] == 0 && len(j.values) > 0 {
			out.Add(diag.RuleReadsNothing.At(j.matchAt, "the join %q finds no record in %s", j.name, v.given()))
		} else if v.counts.read[j.keyAt] == 0 && len(j.values) > 0 {
			out.Add(diag.RuleReadsNothing.At(j.keyAt, "no record of the join %q has its key in %s", j.name, v.given()))
		}
	}
	return out
}

func (v *Survey) nothing(r *reading, missing []*binding) []*binding {
	if v.counts.read[r.place] == 0 {
		return append(missing, &binding{rule: r.rule, values: []*value{{place: r.place}}})
	}
	for _, b := range r.bindings {
		for _, inner := range b.inside {
			missing = v.nothing(inner, missing)
		}
		if len(b.values) > 0 && !slices.ContainsFunc(b.values, func(x *value) bool { return v.counts.read[x.place] > 0 }) {
			missing = append(missing, b)
			continue
		}
		for _, x := range b.values {
			missing = append(missing, v.vain(b.rule, x)...)
		}
	}
	return missing
}

// vain lists the paths beside that of a value which were followed and never found
// anything, or were never true.
func (v *Survey) vain(rule string, x *value) []*binding {
	places := []struct {
		key string
		at  diag.Position
	}{{"where", x.whereAt}, {"lang", x.langAt}}
	for t := x; t != nil; t = t.through {
		places = append(places, struct {
			key string
			at  diag.Position
		}{"by", t.byAt})
	}
	var out []*binding
	for _, p := range places {
		if v.counts.vain[p.at] > 0 && v.counts.read[p.at] == 0 {
			out = append(out, &binding{rule: rule + "." + p.key, values: []*value{{place: p.at}}})
		}
	}
	return out
}

// foundNothing names what found nothing, each place of the rule files once.
func (v *Survey) foundNothing(missing []*binding) diag.List {
	const most = 12
	var names []string
	seen := map[diag.Position]bool{}
	for _, b := range missing {
		if at := b.values[0].place; !seen[at] {
			seen[at] = true
			names = append(names, fmt.Sprintf("%s (line %d)", strings.TrimPrefix(b.rule, "read."), at.Line))
		}
	}
	if len(names) == 0 {
		return nil
	}
	more := ""
	if len(names) > most {
		more = fmt.Sprintf(" and %d more", len(names)-most)
		names = names[:most]
	}
	return diag.List{diag.RuleReadsNothing.At(missing[0].values[0].place, "nothing was found in %s for %s%s", v.given(), strings.Join(names, ", "), more)}
}

func (v *Survey) given() string {
	if v.plans == 1 {
		return "the plan given"
	}
	return fmt.Sprintf("the %d plans given", v.plans)
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}
