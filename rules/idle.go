package rules

import (
	"fmt"
	"slices"

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
