package rules

import (
	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/convert/step"
)

// told keeps what was read until it can be told by name: a record's id may come
// last, or from its place among others. It is nil when no one reads the trace, and
// then does nothing.
type told struct {
	records []*reported // in the order in which they were begun
	open    []*reported // those under way, innermost last
}

// reported is a record that is read, or was.
type reported struct {
	kind    *kind
	reading *reading // nil: made by planfold
	rec     any
	element *plan.Element
	place   step.Origin
	root    *plan.Element // of the mapping, when the record was read
	here    spot          // likewise
	within  *reported
	took    map[*binding]taking
	leftOut bool
	aside   bool // looked at beforehand, outside the record that it belongs to
	object  Object
	count   map[string]int // of the records in it, by kind
}

// taking is what a binding took, and by which of its values.
type taking struct {
	value *value
	found []found
}

func (t trace) told() *told {
	if !t.on() {
		return nil
	}
	return &told{}
}

// begin notes a record before its fields are read. Each needs its end.
func (m *mapping) begin(r *reading, rec any, e *plan.Element) {
	t := m.told
	if t == nil {
		return
	}
	n := &reported{kind: r.kind, reading: r, rec: rec, element: e, place: m.place(e), root: m.root, here: m.here, took: map[*binding]taking{}}
	switch {
	case len(t.open) > 0:
		n.within = t.open[len(t.open)-1]
		n.aside = n.within.aside
	case r.kind == stepKind: // is read when its operation has been
		n.within = t.records[0]
	default:
		n.aside = r.match == nil
	}
	t.open = append(t.open, n)
	if !n.aside {
		t.records = append(t.records, n)
	}
}

func (t *told) end(kept bool) {
	if t == nil {
		return
	}
	last := len(t.open) - 1
	t.open[last].leftOut = !kept
	t.open = t.open[:last]
}

// take notes what a field of the innermost record got.
func (t *told) take(b *binding, v *value, fs []found) {
	if t != nil {
		t.open[len(t.open)-1].took[b] = taking{v, fs}
	}
}

// leave marks a record that was read and is not kept.
func (t *told) leave(rec any) {
	if t == nil {
		return
	}
	for _, n := range t.records {
		n.leftOut = n.leftOut || n.rec == rec
	}
}

// add notes a record that no reading rule makes, in the one that is being read or
// else was last.
func (t *told) add(k *kind, rec any, e *plan.Element) {
	if t == nil {
		return
	}
	within := t.records[0]
	if len(t.open) > 0 {
		within = t.open[len(t.open)-1]
	}
	t.records = append(t.records, &reported{kind: k, rec: rec, element: e, place: at(e), within: within})
}

// followed tells that a path beside that of a value was followed.
func (m *mapping) followed(place diag.Position, found bool) {
	switch {
	case !m.trace.on():
	case found:
		m.trace.event(Event{Kind: PathFollowed, Place: place, Value: "true"})
	default:
		m.trace.event(Event{Kind: PathFollowed, Place: place})
	}
}

// unmatched says of a path that was followed that its pattern takes nothing of what
// it led to.
const unmatched = "unmatched"

// tried tells that a value was followed, where no value that is set will tell it: in
// vain, or where a default stands in for it.
func (m *mapping) tried(v *value, from *plan.Element, fs []found) {
	switch {
	case !m.trace.on() || len(fs) > 0 && v.standIn == "":
	case len(fs) == 0 && v.pattern != nil && m.untaken(v, from) != nil:
		m.trace.event(Event{Kind: PathFollowed, Place: v.place, Value: unmatched})
	default:
		m.followed(v.place, len(fs) > 0)
	}
}

// tell hands all that was noted to the readers.
func (m *mapping) tell() {
	t := m.told
	if t == nil {
		return
	}
	for _, n := range t.records {
		n.name()
		m.tellRecord(n)
	}
	t.records = t.records[:0]
}

// name gives the record's object, after that of the one around it.
func (n *reported) name() {
	o := Object{Kind: n.kind.name, ID: identity(n.kind, n.rec), LeftOut: n.leftOut}
	if w := n.within; w != nil {
		o.Operation, o.Step, o.Item, o.View = w.object.Operation, w.object.Step, w.object.Item, w.object.View
		o.LeftOut = o.LeftOut || w.leftOut
		if !o.LeftOut {
			if w.count == nil {
				w.count = map[string]int{}
			}
			w.count[o.Kind]++
			o.N = w.count[o.Kind]
		}
	}
	switch n.kind {
	case operationKind:
		o.Operation = o.ID
	case stepKind:
		o.Step = o.ID
	case itemKind:
		o.Item = o.ID
	case viewKind:
		o.View = o.ID
	case occurrenceKind:
		o.Item = n.rec.(*step.Occurrence).Within.Value
	}
	n.object = o
}

func (m *mapping) tellRecord(n *reported) {
	place := n.place
	read := Event{Kind: ElementRead, Object: n.object, Record: place, Origin: place}
	if n.reading != nil {
		read.Rule, read.Place, read.Origin.Rule = n.reading.rule, n.reading.place, n.reading.rule
	}
	m.trace.event(read)
	for _, f := range n.kind.fields {
		b := n.reading.binding(f.name)
		if f.typ == records {
			if b != nil && len(f.entries(n.rec)) == 0 {
				m.trace.event(Event{
					Kind: ValueMissing, Object: n.object, Record: place, Field: f.name, Rule: b.rule, Place: b.place,
					Why: func() []string { return m.soughtAll(n, b) },
				})
			}
			continue
		}
		values := n.values(f, b)
		for _, e := range values {
			e.Kind, e.Object, e.Record, e.Field, e.Rule, e.Place = ValueSet, n.object, place, f.name, e.Origin.Rule, n.ruleAt(e.Origin.Rule)
			m.trace.event(e)
		}
		if len(values) == 0 && b != nil {
			m.trace.event(Event{
				Kind: ValueMissing, Object: n.object, Record: place, Field: f.name, Rule: b.rule, Place: b.place,
				Why: func() []string { return m.triedAll(n, b) },
			})
		}
	}
	if s, ok := n.rec.(*step.Step); ok && s.Skip.Given() { // it is not effective
		m.trace.event(Event{Kind: ValueSet, Object: n.object, Record: place, Field: "skip", Value: s.Skip.Value, Origin: s.Skip.Origin, Rule: s.Skip.Origin.Rule, Place: n.ruleAt(s.Skip.Origin.Rule)})
	}
}

// ruleAt is where in the rule file a reading rule, which gave a value of the
// record, stands: of several values of a field, the one that gave it.
func (n *reported) ruleAt(rule string) diag.Position {
	if n.reading == nil {
		return n.within.ruleAt(rule)
	}
	for _, b := range n.reading.bindings {
		if b.rule != rule {
			continue
		}
		if v := n.took[b].value; v != nil {
			return v.place
		}
		return b.place
	}
	return diag.Position{}
}

// values are those of a field as they stand in the record at last. What keeps no
// origin has that of what was found.
func (n *reported) values(f *field, b *binding) []Event {
	switch v := f.at(n.rec).(type) {
	case *step.Text:
		if v.Given() {
			return []Event{{Value: v.Value, Origin: v.Origin}}
		}
	case *step.Texts:
		return eventsOf(*v, 0)
	case *[]step.Text:
		var out []Event
		for i, t := range *v {
			out = append(out, Event{N: i + 1, Value: t.Value, Origin: t.Origin})
		}
		return out
	case *[]step.Texts:
		var out []Event
		for i, t := range *v {
			out = append(out, eventsOf(t, i+1)...)
		}
		return out
	default:
		if fs := n.took[b].found; len(fs) > 0 {
			return []Event{{Value: oneLine(fs[0].text), Origin: fs[0].origin}}
		}
	}
	return nil
}

func eventsOf(texts step.Texts, n int) []Event {
	var out []Event
	for _, l := range texts {
		out = append(out, Event{N: n, Lang: l.Lang, Value: l.Text.Value, Origin: l.Text.Origin})
	}
	return out
}
