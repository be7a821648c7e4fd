package convert

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// place is an occurrence in the frame of what is built.
type place struct{ frame, path string }

// twice tells of occurrences that are consumed twice: to the later step too. What may hold
// instead of another is not looked at, nor what an operation consumes for its own steps; and
// an operation that builds apart what another one builds too makes a second one.
func (a *documents) twice(file string) diag.List {
	var list diag.List
	takenBy := map[place]step.Ref{}
	for i := range a.outline.Operations {
		o := &a.outline.Operations[i]
		if o.Alternative != "" {
			continue
		}
		frame := a.frame(o.Builds)
		take := func(r step.Ref, takes []string) {
			again := map[step.Ref][]string{}
			var firsts []step.Ref
			for _, p := range takes {
				first, is := takenBy[place{frame, p}]
				if !is || frame != "" && first.Operation != i {
					takenBy[place{frame, p}] = r
				} else if first == r || first.Operation != i || first.Step >= 0 {
					if again[first] == nil {
						firsts = append(firsts, first)
					}
					again[first] = append(again[first], p)
				}
			}
			for _, first := range firsts {
				d := a.consumedTwice(file, r, first, again[first])
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

func (a *documents) consumedTwice(file string, r, first step.Ref, paths []string) diag.Diagnostic {
	by, before := a.named(r), a.named(first)
	if r == first {
		return diag.OrderConsumedTwice.At(by.at.At(file), "%s consumes %s twice", by.name, some(paths))
	}
	return diag.OrderConsumedTwice.At(by.at.At(file), "%s consumes %s, which %s (%d:%d) consumes too", by.name, some(paths), before.name, before.at.Line, before.at.Column)
}

// consumption is what all steps consume, those that rules leave out too: they are known of.
type consumption struct {
	plan   *step.Plan
	at     map[place]bool
	around map[place]bool  // what stands around those
	hidden map[string]bool // by item: rules hide all that it consists of, which is something
}

func (a *documents) consumption() (c consumption, frames []string) {
	c = consumption{a.plan, map[place]bool{}, map[place]bool{}, map[string]bool{}}
	note := func(frame string, paths []string) {
		for _, p := range paths {
			c.at[place{frame, p}] = true
			for p = path.Dir(p); p != "."; p = path.Dir(p) {
				c.around[place{frame, p}] = true
			}
		}
		if len(paths) > 0 && !slices.Contains(frames, frame) {
			frames = append(frames, frame)
		}
	}
	for i := range a.outline.Operations {
		o := &a.outline.Operations[i]
		note(a.frame(o.Builds), o.Consumes)
		for j := range o.Steps {
			note(a.frame(o.Builds), o.Steps[j].Consumes)
		}
	}
	return c, frames
}

// unconsumed tells of occurrences that no step consumes, of each thing that is built of
// occurrences which steps name. What is put into something built apart only where that
// stands is consumed by a longer path.
func (a *documents) unconsumed() diag.List {
	c, frames := a.consumption()
	later := map[place]bool{} // by the item it stands in
	for at := range c.at {
		if in, last := path.Split(at.path); in != "" {
			later[place{a.itemAt(at.frame, path.Clean(in)), last}] = true
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
			at := place{frame, o.ID.Value}
			if c.hides(o) || later[place{item, o.ID.Value}] || c.covers(at, o) {
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

// itemAt is the item of the occurrence at a path; "" where there is none.
func (a *documents) itemAt(frame, at string) string {
	item := frame
	if item == "" {
		item = a.product
	}
	for id := range strings.SplitSeq(at, "/") {
		list := a.plan.Within(item)
		i := slices.IndexFunc(list, func(o *step.Occurrence) bool { return o.ID.Value == id })
		if i < 0 {
			return ""
		}
		item = list[i].Item.Value
	}
	return item
}

// covers reports whether an occurrence, or all that it consists of and is shown, is consumed.
func (c *consumption) covers(at place, o *step.Occurrence) bool {
	inside := c.plan.Within(o.Item.Value)
	switch {
	case c.at[at]:
		return true
	case !c.around[at]:
		return c.hidesAll(o.Item.Value)
	}
	return len(inside) > 0 && !slices.ContainsFunc(inside, func(in *step.Occurrence) bool {
		return !c.hides(in) && !c.covers(place{at.frame, at.path + "/" + in.ID.Value}, in)
	})
}

func (c *consumption) hides(o *step.Occurrence) bool {
	item := c.plan.Items[o.Item.Value]
	return o.Hide.Given() || item != nil && item.Hide.Given()
}

// hidesAll reports whether rules hide all that an item consists of.
func (c *consumption) hidesAll(item string) bool {
	all, known := c.hidden[item]
	if !known {
		c.hidden[item] = false // an item that stands in itself is not hidden
		inside := c.plan.Within(item)
		all = len(inside) > 0 && !slices.ContainsFunc(inside, func(in *step.Occurrence) bool { return !c.hides(in) && !c.hidesAll(in.Item.Value) })
		c.hidden[item] = all
	}
	return all
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
