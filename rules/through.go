package rules

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/convert/step"
	"planfold/rules/document"
)

// Records through a join: what stands elsewhere in the plan is read as if it stood in
// the record that refers to it. Unlike the values of a join, its records are kept as
// elements until the plan is read.

// throughJoin compiles the keys of a record that is read through a join.
func (c *compiler) throughJoin(r *reading, n *document.Node, rule string) {
	join, by := n.Get("join"), n.Get("by")
	switch {
	case join == nil && by == nil:
		return
	case join == nil:
		c.faults.Add(diag.RuleKeyMissing, by, "%s has \"by\" without \"join\"", rule)
		return
	}
	r.by = c.path(c.faults.Need(n, "by", rule), rule+".by")
	if by != nil {
		r.byAt = by.Position(-1)
	}
	if r.join = c.join(join, rule+".join"); r.join != nil {
		r.join.whole = true
	}
}

// markOwnID marks the readings inside that look a record up by its own id.
func (r *reading) markOwnID() {
	id := r.binding("id")
	if id == nil {
		return
	}
	for _, b := range r.bindings {
		for _, in := range b.inside {
			in.byOwnID = in.by != nil && in.each != nil && in.each.String() == "." && slices.ContainsFunc(id.values, func(v *value) bool {
				return v.path != nil && v.join == nil && v.path.String() == in.by.String()
			})
		}
	}
}

// kept are the records of a join.
type kept struct {
	byKey map[string][]*plan.Element
	all   []*plan.Element
	used  map[*plan.Element]bool
	named bool // something refers, or seems to refer, to one
}

func (m *mapping) keep(j *join, key string, e *plan.Element) {
	k := m.kept[j]
	if k == nil {
		k = &kept{byKey: map[string][]*plan.Element{}, used: map[*plan.Element]bool{}}
		m.kept[j] = k
	}
	// Of one record with several keys there is one copy.
	if n := len(k.all); n == 0 || k.all[n-1].Sequence != e.Sequence {
		k.all = append(k.all, copiedWhole(e, copied(e.Parent)))
	}
	k.byKey[key] = append(k.byKey[key], k.all[len(k.all)-1])
}

// copied is an element around a record for good: the reader uses its memory again.
func copied(e *plan.Element) *plan.Element {
	if e == nil {
		return nil
	}
	around := *e
	around.Content = nil
	around.Attributes = slices.Clone(e.Attributes)
	around.Parent = copied(e.Parent)
	return &around
}

// copiedWhole is copied with content.
func copiedWhole(e, parent *plan.Element) *plan.Element {
	c := *e
	c.Parent, c.Attributes, c.Content = parent, slices.Clone(e.Attributes), slices.Clone(e.Content)
	for i, n := range c.Content {
		if n.Element != nil {
			c.Content[i].Element = copiedWhole(n.Element, &c)
		}
	}
	return &c
}

// through lists the records that an element refers to. Where a record is looked up by
// its own id, by those that name it, there may be none.
func (m *mapping) through(r *reading, from *plan.Element) (out []entry, missing bool) {
	k := m.kept[r.join]
	if k == nil {
		k = &kept{}
	}
	for _, key := range m.keysOf(r, from, k) {
		text, found := oneLine(key.text), k.byKey[key.text]
		if len(found) == 0 && text != "" && !r.byOwnID {
			missing, k.named = true, true
			m.fault(diag.MapRecordMissing, step.Origin{Line: key.origin.Line, Column: key.origin.Column, Rule: r.rule}, "the %s is %q by the join %q, which finds no such record", r.kind.said(), text, r.join.name)
		}
		for _, x := range found {
			k.used[x] = true
			if r.where == nil || r.where.Bool(x) {
				out = append(out, entry{r, x, from})
			}
		}
	}
	return out, missing
}

// keysOf are the keys by which an element refers to records.
func (m *mapping) keysOf(r *reading, e *plan.Element, k *kept) []found {
	var out []found
	for _, f := range r.by.Select(e) {
		key := found{text: strings.TrimSpace(f.Value()), origin: step.Origin{Line: f.Line, Column: f.Column}}
		out = appendKeys(out, key, func(s string) bool { return k.byKey[s] != nil })
	}
	m.followed(r.byAt, len(out) > 0)
	return out
}

// entryRecord reads an entry as a record.
func (m *mapping) entryRecord(n entry) any {
	if n.reading.join == nil {
		return m.record(n.reading, n.element)
	}
	defer m.into(n)()
	return m.record(n.reading, n.element)
}

// into goes to the record of a join, and gives the way back.
func (m *mapping) into(n entry) (back func()) {
	root, here := m.root, m.here
	m.here, m.root = spot{n.from, root, n.place()}, n.element
	return func() { m.root, m.here = root, here }
}

// spot is an element in a streamed record that leads to the record of a join.
type spot struct {
	element, root *plan.Element
	place         *plan.Element // where people look for that record
}

// place is where people look for a record: where it is referred to, or where it names
// what it belongs to.
func (n entry) place() *plan.Element {
	if n.reading.byOwnID {
		return n.element
	}
	return n.from
}

// place is that of the record that an element becomes.
func (m *mapping) place(e *plan.Element) step.Origin {
	if e == m.root && m.here.place != nil {
		e = m.here.place
	}
	return at(e)
}

// begins is the element from which a value looks, or nil if that leaves the streamed
// record.
func (m *mapping) begins(v *value, e *plan.Element) *plan.Element {
	if !v.here {
		return m.above(e, v.up)
	}
	root := m.root
	m.root = m.here.root
	defer func() { m.root = root }()
	return m.above(m.here.element, v.up)
}

// noteNamed notes the joins that something in an operation seems to name a record of, where
// none is referred to so far: then a path to it is most likely wrong. A plan may as well
// carry a library and use nothing of it.
func (o *operations) noteNamed(op *step.Operation, e *plan.Element) {
	var read *saying
	for _, j := range o.m.joins {
		k := o.m.kept[j]
		if o.vital[j] == nil || k == nil || k.named || len(k.used) > 0 {
			continue
		}
		if read == nil {
			read = &saying{at: map[lineColumn]bool{}}
			operationKind.saying(op, read, read)
			for _, s := range op.Steps { // a record may name its step
				delete(read.at, lineColumn{s.ID.Origin.Line, s.ID.Origin.Column})
			}
			delete(read.at, lineColumn{op.ID.Origin.Line, op.ID.Origin.Column})
		}
		k.named = slices.ContainsFunc(o.elements(e), func(x *plan.Element) bool { return k.namedIn(x, j, read) })
	}
}

// namedIn reports a value in an element that is a key, and that the rules do not read as
// anything else.
func (k *kept) namedIn(e *plan.Element, j *join, read *saying) bool {
	if j.match.Matches(e) {
		return false
	}
	return slices.ContainsFunc(e.Attributes, func(a plan.Attribute) bool {
		return k.isKey(a.Value) && !read.at[lineColumn{a.Line, a.Column}]
	}) || slices.ContainsFunc(e.Content, func(n plan.Node) bool {
		if n.Element != nil {
			return k.namedIn(n.Element, j, read)
		}
		return k.isKey(n.Text) && !read.at[lineColumn{n.Line, n.Column}] && !read.at[lineColumn{e.Line, e.Column}]
	})
}

// isKey reports a key, or several. What has no letter may be any number.
func (k *kept) isKey(text string) bool {
	is := func(s string) bool { return k.byKey[s] != nil }
	return strings.ContainsFunc(text, unicode.IsLetter) &&
		(is(strings.TrimSpace(text)) || !slices.ContainsFunc(strings.Fields(text), func(s string) bool { return !is(s) }))
}

// vitalJoins are those that references lead through to records that no one may miss, each
// with a reading of such.
func (s *Set) vitalJoins() map[*join]*reading {
	vital, referred := map[*join]*reading{}, map[*join]bool{}
	s.eachReading(func(r *reading) {
		if mustReadOrStep(r.kind) {
			vital[r.join] = r
		}
		referred[r.join] = referred[r.join] || !r.byOwnID
	})
	maps.DeleteFunc(vital, func(j *join, _ *reading) bool { return !referred[j] })
	return vital
}

// remarkUnused reports the records of joins that no record refers to. One that is not
// referred to but names what it belongs to is lost, if no one may miss it. So are all of a
// join, if not one is found and something names one.
func (m *mapping) remarkUnused(vital map[*join]*reading) {
	owned := map[*join]*kind{}
	m.eachReading(func(r *reading) {
		if mustReadOrStep(r.kind) && r.byOwnID {
			owned[r.join] = r.kind
		}
	})
	for _, j := range m.joins {
		k := m.kept[j]
		if !j.whole || k == nil {
			continue
		}
		if r := vital[j]; r != nil && len(k.used) == 0 {
			code := diag.MapRecordUnused
			if k.named {
				code = diag.MapVitalUnused
			}
			m.fault(code, at(k.all[0]), "nothing refers to this record of the join %q, nor to any other (records: %d): %s.by (line %d) finds no key that leads to a %s", j.name, len(k.all), r.rule, r.byAt.Line, r.kind.said())
			continue
		}
		for _, e := range k.all {
			switch of := owned[j]; {
			case k.used[e]:
			case of != nil && vital[j] == nil:
				m.fault(diag.MapOwnerMissing, at(e), "this %s of the join %q belongs to no step and no operation that is read", of.said(), j.name)
			default:
				m.fault(diag.MapRecordUnused, at(e), "nothing refers to this record of the join %q", j.name)
			}
		}
	}
}
