package rules

import (
	"cmp"
	"path"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/convert/step"
	"planfold/rules/selector"
)

// mapping is the reading of one plan: what is known of it so far, and what was
// found wrong.
type mapping struct {
	*Set
	file              string        // as diagnostics name it
	base              string        // the file's name without folders
	root              *plan.Element // the streamed record that is being read
	faults            diag.List
	began             int    // how many faults there were before the record that is read
	links             []link // of texts that are read, until a record takes them
	got               []read // by the record that is read and those around it, where patterns take numbers
	kept              map[*join]*kept
	here              spot // what refers to the record of a join that is read
	joined            map[*join]*joined
	left              map[string]bool // ids of occurrences that do not hold for what is asked for
	absent            []absent        // of the operation that is read
	parts, quantities int             // parts of the plan, and those with a quantity
	told              *told           // nil without readers of the trace
	counts            *counts         // nil where nothing is counted over plans
	taken             []found         // by the last take; the next one has its memory, unless the trace is read
}

func (s *Set) mapping(file string) *mapping {
	return &mapping{Set: s, file: file, base: path.Base(strings.ReplaceAll(file, `\`, "/")), joined: map[*join]*joined{}, left: map[string]bool{}, kept: map[*join]*kept{}, told: s.trace.told(), counts: s.counts()}
}

func (m *mapping) fault(c *diag.Code, at step.Origin, format string, args ...any) {
	m.faults.Add(c.At(at.At(m.file), format, args...))
}

func (m *mapping) markupDropped(at step.Origin) {
	m.fault(diag.MapMarkupDropped, at, "some markup of the text is not kept; its words are")
}

func at(e *plan.Element) step.Origin { return step.Origin{Line: e.Line, Column: e.Column} }

// record reads an element, which fits the reading, as a record. It is nil when the
// record says nothing.
func (m *mapping) record(r *reading, e *plan.Element) any {
	from := m.place(e)
	from.Rule = r.rule
	rec := r.kind.make()
	m.begin(r, rec, e)
	m.counts.reads(r)
	links, got, around := len(m.links), len(m.got), m.began
	m.began = len(m.faults)
	complete := true
	var refused []string // fields of which an error was told
	for _, b := range r.bindings {
		reported := len(m.faults)
		switch {
		case b.field == stepsField: // read on their own, each with its diagnostics
		case b.field.typ == records:
			m.inside(rec, b, e)
		case !m.set(rec, r.kind, b, e) && r.kind.missing != nil && slices.Contains(r.kind.needed, b.field.name):
			complete = false
			if len(m.faults) == reported {
				m.fault(r.kind.missing, from, "this %s has no %s", r.kind.said(), b.field.name)
			}
		}
		if m.faults[reported:].HasError() {
			refused = append(refused, b.field.name)
		}
	}
	kept := complete && (r.kind.check == nil || r.kind.check(m, rec, from)) && !m.leaveOut(r.kind, rec, e)
	if kept {
		m.attachLinks(r.kind, rec, e, links)
		m.remarkUnread(m.got[got:])
		if p, is := rec.(*step.Part); is {
			m.noteQuantity(r, p, refused)
		}
	}
	m.got, m.began = m.got[:got], around
	m.told.end(kept)
	if !kept || e == m.root {
		m.links = m.links[:links]
	}
	if !kept {
		return nil
	}
	return rec
}

// inside reads the records of a field in document order.
func (m *mapping) inside(rec any, b *binding, e *plan.Element) {
	list := m.entries(b.inside, e)
	for i, n := range list {
		if v := m.entryRecord(n); v != nil {
			b.field.extend(rec, v, len(list)-i)
			if h, is := v.(*step.Hazard); is && n.element != e {
				m.remarkUnsaid(h, n.element)
			}
		}
	}
}

// entry is an element that becomes a record inside another.
type entry struct {
	reading *reading
	element *plan.Element
	from    *plan.Element // itself, or what refers to it
}

// entries finds the elements that become records inside an element, in document
// order. Each makes one record at most: the first reading that takes it counts, and
// one that is cut out is a record already.
func (m *mapping) entries(readings []*reading, e *plan.Element) []entry {
	var out []entry
	var few [16]selector.Found
	seen := map[*plan.Element]bool{}
	for _, r := range readings {
		for _, f := range r.each.AppendTo(few[:0], e) {
			c := f.Element
			if c == nil {
				c = leaf(f.Value(), f.Line, f.Column, e)
			}
			switch {
			case c.Cut || seen[c]:
			case r.join != nil:
				led, missing := m.through(r, c)
				out, seen[c] = append(out, led...), len(led) > 0 || missing
			case r.where == nil || r.where.Bool(c):
				out, seen[c] = append(out, entry{r, c, c}), true
			}
		}
	}
	if len(readings) > 1 {
		slices.SortStableFunc(out, func(a, b entry) int {
			return cmp.Or(cmp.Compare(a.from.Line, b.from.Line), cmp.Compare(a.from.Column, b.from.Column))
		})
	}
	return out
}

// leaf stands in for an attribute or a computed value that is taken as a record.
func leaf(text string, line, column int, parent *plan.Element) *plan.Element {
	return &plan.Element{
		Content: []plan.Node{{Text: text, Line: line, Column: column}},
		Parent:  parent, Line: line, Column: column,
	}
}
