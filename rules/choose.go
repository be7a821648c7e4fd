package rules

import (
	"fmt"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// alternative is a step or part that is one of a group.
type alternative struct {
	group, chosen step.Text
	skip          *step.Text
	who           Object
	place         step.Origin
	told          func(diag.Diagnostic) // a diagnostic about it
}

// choose leaves out, of each group, what another is chosen instead of. Where the
// rules do not settle a group all of it is kept, and said.
func (a *assignment) choose(all []alternative) {
	groups := map[string][]int{}
	for i, x := range all {
		if !x.skip.Given() {
			groups[x.group.Value] = append(groups[x.group.Value], i)
		}
	}
	for _, x := range all {
		in := groups[x.group.Value]
		delete(groups, x.group.Value) // in the order of the plan, each group once
		if len(in) > 1 {
			a.settle(all, in)
		}
	}
}

// settle decides one group of several.
func (a *assignment) settle(all []alternative, group []int) {
	var chosen []int
	for _, i := range group {
		if all[i].chosen.Given() {
			chosen = append(chosen, i)
		}
	}
	first := all[group[0]]
	switch len(chosen) {
	case 0:
		a.fault(diag.MapAlternativeOpen, first.place, "no rule chooses between the %d alternatives %q, of which %s is the first", len(group), first.group.Value, first.who)
	case 1:
		by := all[chosen[0]]
		for _, i := range group {
			if i != chosen[0] {
				a.leave(all[i], by)
			}
		}
		return
	default:
		one, other := all[chosen[0]], all[chosen[1]]
		a.fault(diag.MapAlternativeTwice, other.place, "of the alternatives %q the rule %q chooses %s and the rule %q chooses %s",
			first.group.Value, one.chosen.Origin.Rule, one.who, other.chosen.Origin.Rule, other.who)
	}
	for _, i := range group {
		all[i].told(a.faults[len(a.faults)-1])
	}
}

// leave skips an alternative that another is chosen instead of.
func (a *assignment) leave(x, chosen alternative) {
	*x.skip = step.Text{Value: fmt.Sprintf("of the alternatives %q, %s is chosen", x.group.Value, chosen.who), Origin: chosen.chosen.Origin}
	if a.trace.on() {
		a.trace.event(Event{Kind: ValueSet, Object: x.who, Record: step.Origin{Line: x.place.Line, Column: x.place.Column}, Field: "skip", Value: x.skip.Value, Rule: x.skip.Origin.Rule, Origin: x.skip.Origin})
	}
}

func (a *assignment) chooseSteps() {
	var all []alternative
	for i, s := range a.operation.Steps {
		if !s.Alternative.Given() {
			continue
		}
		who := Object{Kind: "step", ID: s.ID.Value, N: i + 1, Operation: a.operation.ID.Value, Step: s.ID.Value}
		all = append(all, alternative{s.Alternative, s.Chosen, &s.Skip, who, s.ID.Origin, func(d diag.Diagnostic) {
			d.Step = s.ID.Value
			s.Diagnostics.Add(d)
		}})
	}
	a.choose(all)
}

// chooseParts leaves it to the step to take up what is said about its parts.
func (a *assignment) chooseParts(parts []step.Part, who func(int) Object) {
	var all []alternative
	for i := range parts {
		if p := &parts[i]; p.Alternative.Given() {
			all = append(all, alternative{p.Alternative, p.Chosen, &p.Skip, who(i), p.Origin, func(diag.Diagnostic) {}})
		}
	}
	a.choose(all)
}
