package convert

import (
	"fmt"
	"path"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// place is an occurrence in the frame of what is built.
type place struct{ frame, path string }

// twice tells of occurrences that two steps consume: to the later one too. What may hold
// instead of another is not looked at, nor what an operation consumes for its own steps.
func (a *documents) twice(file string) diag.List {
	var list diag.List
	takenBy := map[place]step.Ref{}
	for i := range a.outline.Operations {
		o := &a.outline.Operations[i]
		if o.Alternative != "" {
			continue
		}
		take := func(r step.Ref, takes []string) {
			again := map[step.Ref][]string{}
			var firsts []step.Ref
			for _, p := range takes {
				at := place{a.frame(o.Builds), p}
				first, is := takenBy[at]
				switch {
				case !is:
					takenBy[at] = r
				case first == r || first.Operation == r.Operation && first.Step < 0:
				default:
					if again[first] == nil {
						firsts = append(firsts, first)
					}
					again[first] = append(again[first], p)
				}
			}
			for _, first := range firsts {
				by, before := a.named(r), a.named(first)
				d := diag.OrderConsumedTwice.At(by.at.At(file), "%s consumes %s, which %s (%d:%d) consumes too", by.name, some(again[first]), before.name, before.at.Line, before.at.Column)
				list.Add(d)
				a.disorder[r] = append(a.disorder[r], d)
			}
		}
		if !o.LeftOut() {
			take(step.Ref{Operation: i, Step: -1}, o.Takes)
		}
		for j := range o.Steps {
			if s := &o.Steps[j]; !s.Skipped && s.Alternative == "" {
				take(step.Ref{Operation: i, Step: j}, s.Takes)
			}
		}
	}
	return list
}

// unconsumed tells of occurrences that no step consumes, of each thing that is built of
// occurrences which steps name. A rule that leaves out a step knows of its parts; what is
// put into something built apart only where that stands is consumed by a longer path.
func (a *documents) unconsumed() diag.List {
	consumed, later, frames := map[place]bool{}, map[string]bool{}, []string{}
	for i := range a.outline.Operations {
		o := &a.outline.Operations[i]
		frame := a.frame(o.Builds)
		note := func(paths []string) {
			for _, p := range paths {
				consumed[place{frame, p}] = true
				later[path.Base(p)] = later[path.Base(p)] || path.Base(p) != p
			}
			if len(paths) > 0 && !slices.Contains(frames, frame) {
				frames = append(frames, frame)
			}
		}
		note(o.Consumes)
		for j := range o.Steps {
			note(o.Steps[j].Consumes)
		}
	}
	var list diag.List
	for _, frame := range frames {
		item := frame
		if item == "" {
			item = a.product
		}
		var first step.Origin
		var left []string
		for _, o := range a.plan.Within(item) {
			if o.Hide.Given() || later[o.ID.Value] || a.covered(consumed, place{frame, o.ID.Value}, o, nil) {
				continue
			}
			if left = append(left, o.ID.Value); len(left) == 1 {
				first = o.ID.Origin
			}
		}
		if len(left) > 0 {
			list.Add(diag.OccurrenceUnconsumed.At(first.At(a.plan.Position.File), "no step consumes %s of %q", some(left), item))
		}
	}
	return list
}

// covered reports whether an occurrence, or all that it consists of, is consumed; around
// are the items that it stands in.
func (a *documents) covered(consumed map[place]bool, at place, o *step.Occurrence, around []string) bool {
	if consumed[at] {
		return true
	}
	inside := a.plan.Within(o.Item.Value)
	if len(inside) == 0 || slices.Contains(around, o.Item.Value) {
		return false
	}
	around = append(around, o.Item.Value)
	return !slices.ContainsFunc(inside, func(in *step.Occurrence) bool {
		return !in.Hide.Given() && !a.covered(consumed, place{at.frame, at.path + "/" + in.ID.Value}, in, around)
	})
}

// some names a few occurrences of many.
func some(paths []string) string {
	const most = 6
	text := "occurrence "
	if len(paths) > 1 {
		text = "occurrences "
	}
	for i, p := range paths[:min(most, len(paths))] {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%q", p)
	}
	if more := len(paths) - most; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}
