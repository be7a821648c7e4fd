package convert

import (
	"slices"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// present tells, in the frame of what an operation builds, which occurrences are already
// there when its step begins, and which are to come: those consumed by steps that lead to
// this one, and by the others. What is built apart counts in its own frame, until what it
// builds is consumed as one.
func (a *assembly) present(past step.Past, at, j int) (there, toCome []string) {
	here := &a.job.outline.Operations[at]
	take := func(r step.Ref, consumes []string) {
		if past.Has(r) {
			there = append(there, consumes...)
		} else {
			toCome = append(toCome, consumes...)
		}
	}
	for i := range a.job.outline.Operations {
		o := &a.job.outline.Operations[i]
		if a.frame(o.Builds) != a.frame(here.Builds) || i != at && sameGroup(o.Alternative, here.Alternative) {
			continue
		}
		for k, s := range o.Steps {
			same := i == at && (k == j || sameGroup(s.Alternative, here.Steps[j].Alternative))
			another := s.Skipped && (o.Alternative != "" || s.Alternative != "") // was chosen instead
			if !same && !another {
				take(step.Ref{Operation: i, Step: k}, s.Consumes)
			}
		}
		if i != at { // each of its own steps has them
			take(step.Ref{Operation: i, Step: -1}, o.Consumes)
		}
	}
	return there, toCome
}

// frame names what is built; the product has no name, or its own.
func (a *documents) frame(builds string) string {
	if builds == a.product {
		return ""
	}
	return builds
}

// builders lists the operations that build an item, where any of them is issued.
func (a *assembly) builders() map[string][]int {
	out := map[string][]int{}
	for i := range a.job.outline.Operations {
		if o := &a.job.outline.Operations[i]; o.Builds != "" && !o.LeftOut() {
			out[o.Builds] = append(out[o.Builds], i)
		}
	}
	return out
}

// unbuilt tells of parts that an operation builds for which the step does not wait. An
// operation may take the item that it builds, as it came to it: to rework it, or to go on.
func (a *assembly) unbuilt(past step.Past, at, j int, o *step.Operation, s *step.Step) (list diag.List) {
	all := a.job.outline.Operations
	for k, p := range s.AllParts(o) {
		what, from, by := p.Item.Value, p.Item.Origin, a.builtBy[p.Item.Value]
		if p.Operation.Given() {
			what, from, by = p.Operation.Value, p.Operation.Origin, nil
			if i := slices.IndexFunc(all, func(o step.OutlineOperation) bool { return o.ID == what && !o.LeftOut() }); i >= 0 {
				by = []int{i}
			}
		} else if a.frame(what) == a.frame(o.Builds.Value) {
			continue
		}
		if len(by) == 0 || slices.ContainsFunc(by, func(i int) bool { return past.Has(step.Ref{Operation: i, Step: -1}) }) {
			continue
		}
		consumer := step.Ref{Operation: at, Step: j}
		if k >= len(s.Parts) {
			consumer.Step = -1
		}
		list.Add(diag.OrderUnbuilt.At(from.At(a.job.source.Base), "%s consumes %q and does not wait for operation %q, which builds it",
			a.named(consumer).name, what, all[by[0]].ID))
	}
	return list
}

func sameGroup(a, b string) bool { return a != "" && a == b }
