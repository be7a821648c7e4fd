package rules

import (
	"fmt"
	"strconv"

	"planfold/convert/plan"
	"planfold/convert/step"
	"planfold/rules/selector"
)

// triedAll says of a field without a value what each of its reading values found, in
// the order in which they were tried: a line a value, each with its place in the
// rule file. It looks again, from where the record was read, and reports nothing.
func (m *mapping) triedAll(n *reported, b *binding) []string {
	defer m.again(n)()
	var out []string
	for _, v := range b.values {
		line := v.place.String() + " " + m.tryAgain(v, n.element)
		if v == n.took[b].value { // what it found was not good enough
			return append(out, line+", which was refused")
		}
		out = append(out, line)
	}
	return out
}

// again goes back to where a record was read, until what it returns is called.
func (m *mapping) again(n *reported) (done func()) {
	reported, root, here, links := len(m.faults), m.root, m.here, len(m.links)
	m.root, m.here = n.root, n.here
	return func() { m.faults, m.root, m.here, m.links = m.faults[:reported], root, here, m.links[:links] }
}

// soughtAll says the same of a field that has no records.
func (m *mapping) soughtAll(n *reported, b *binding) []string {
	defer m.again(n)()
	var out []string
	for _, r := range b.inside {
		found := r.each.Select(n.element)
		kept := m.entries([]*reading{r}, n.element)
		said := "found nothing"
		switch {
		case len(found) == 0:
		case len(kept) > 0:
			said = fmt.Sprintf("found %d, the first%s, and each was left out", len(kept), placed(m.place(kept[0].element)))
		case r.join != nil:
			said = fmt.Sprintf("found %d, which lead to no record of the join %q", len(found), r.join.name)
		case r.where != nil:
			said = fmt.Sprintf("found %d, and where %s is not true of any", len(found), r.where)
		default:
			said = fmt.Sprintf("found %d that are other records already", len(found))
		}
		out = append(out, fmt.Sprintf("%s %s: %s", r.place, r.each, said))
	}
	return out
}

// tryAgain says what became of one value.
func (m *mapping) tryAgain(v *value, e *plan.Element) string {
	from := m.begins(v, e)
	switch {
	case from == nil:
		return fmt.Sprintf("%s: %d up is beyond the record", v, v.up)
	case v.where != nil && !v.where.Bool(from):
		return fmt.Sprintf("%s: where %s is not true", v, v.where)
	case v.file != nil:
		return fmt.Sprintf("%s: does not match the file's name, %q", v, m.base)
	case v.join != nil:
		return fmt.Sprintf("%s: %s", v, m.joinedTo(v, from))
	}
	var all []selector.Found
	for _, p := range v.reads() {
		all = append(all, p.Select(from)...)
	}
	if len(all) == 0 {
		return fmt.Sprintf("%s: found nothing", v)
	}
	text := m.read(all[0], v).text
	switch {
	case text == "":
		return fmt.Sprintf("%s: is empty%s", v, placeOf(all[0]))
	case v.pattern != nil:
		return fmt.Sprintf("%s: %q%s does not match %s", v, oneLine(text), placeOf(all[0]), v.pattern)
	}
	return fmt.Sprintf("%s: found %q%s", v, oneLine(text), placeOf(all[0]))
}

// joinedTo says how far a join led.
func (m *mapping) joinedTo(v *value, from *plan.Element) string {
	keys := m.keys(v, from)
	switch {
	case len(keys) == 0 && v.through != nil:
		return m.joinedTo(v.through, from)
	case len(keys) == 0:
		return fmt.Sprintf("by %s: found nothing", v.by)
	}
	key := oneLine(keys[0].text)
	records := m.joined[v.join]
	if !records.has(key) {
		by := v.by
		if v.through != nil {
			by = v.through.path
		}
		return fmt.Sprintf("by %s: the join %q has no record %q", by, v.join.name, key)
	}
	for r := range records.records(key) {
		fs := records.of(r, v.slot)
		switch {
		case len(fs) == 0:
		case fs[0].text == "":
			return fmt.Sprintf("%q%s does not match %s", oneLine(fs[0].rest()), placed(fs[0].origin), v.pattern)
		default:
			return fmt.Sprintf("found %q%s", oneLine(fs[0].text), placed(fs[0].origin))
		}
	}
	return fmt.Sprintf("found nothing in the record %q of the join %q", key, v.join.name)
}

func placeOf(f selector.Found) string { return placed(step.Origin{Line: f.Line, Column: f.Column}) }

func placed(o step.Origin) string {
	if o.Line == 0 {
		return ""
	}
	return " at " + strconv.Itoa(o.Line) + ":" + strconv.Itoa(o.Column)
}

// String is what a value looks for, as the rule file has it.
func (v *value) String() string {
	switch {
	case v.path != nil:
		return v.path.String()
	case v.file != nil:
		return v.file.String()
	}
	return strconv.Quote(v.constant)
}
