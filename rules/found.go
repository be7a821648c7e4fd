package rules

import (
	"regexp"
	"slices"
	"strings"

	"planfold/convert/plan"
	"planfold/convert/step"
	"planfold/rules/selector"
)

// found is one text that a value gave, free of the plan's elements, so that it can
// be kept when they are gone.
type found struct {
	text    string // with its line breaks; trimmed at the ends
	rich    string // sanitised HTML, if the element has markup
	lang    string // as the plan says it, or the rules do
	links   []link
	cut     *cut // by a pattern; nil: it is the whole text
	given   bool // by the rules themselves, or the file's name
	lacking bool // what should be added to it was refused, and that is told
	origin  step.Origin
}

// cut is where in a text a pattern's group stands.
type cut struct {
	whole    string
	from, to int
}

// rest is what the group left of the text.
func (f found) rest() string {
	if f.cut == nil {
		return ""
	}
	c := f.cut
	return strings.TrimSpace(strings.TrimSpace(c.whole[:c.from]) + " " + strings.TrimSpace(c.whole[c.to:]))
}

// take finds what a binding's values give for an element: the first value that
// gives something counts. The second result is the value that gave it.
func (m *mapping) take(b *binding, e *plan.Element) ([]found, *value) {
	for _, v := range b.values {
		from := m.begins(v, e)
		if from == nil || !m.holds(v, from) {
			continue
		}
		fs := m.give(v, from)
		m.tried(v, from, fs)
		if len(fs) == 0 && v.standIn != "" {
			fs = []found{{text: v.standIn, given: true}}
		}
		if len(fs) == 0 {
			continue
		}
		if v.plus != nil {
			fs = slices.Clone(fs) // their memory is used again to find what is added
			if m.add(v.plus, fs, from) {
				fs[0].lacking = true
			}
		}
		for i := range fs {
			if fs[i].given {
				fs[i].origin = m.place(e)
			}
			fs[i].origin.Rule = b.rule
			if v.markup && fs[i].lang == "" {
				fs[i].lang = m.language
			}
		}
		return fs, v
	}
	if len(b.values) > 1 {
		m.followed(b.place, false) // of the values together
	}
	return nil, nil
}

// holds is the truth of a value's where, which may be absent.
func (m *mapping) holds(v *value, e *plan.Element) bool {
	if v.where == nil {
		return true
	}
	is := v.where.Bool(e)
	m.followed(v.whereAt, is)
	return is
}

// above is the element some levels up, or nil if that leaves the streamed record.
func (m *mapping) above(e *plan.Element, levels int) *plan.Element {
	for ; levels > 0; levels-- {
		if e == m.root || e.Parent == nil {
			return nil
		}
		e = e.Parent
	}
	return e
}

func (m *mapping) give(v *value, e *plan.Element) []found {
	switch {
	case v.constant != "":
		return []found{{text: v.constant, given: true}}
	case v.file != nil:
		if f := picked(found{text: m.base, given: true}, v.file, v.group); f.text != "" {
			return []found{f}
		}
		return nil
	case v.join != nil:
		return m.across(v, e)
	}
	return m.along(v, e)
}

// across follows a join to other records.
func (m *mapping) across(v *value, e *plan.Element) []found {
	var out []found
	for _, key := range m.keys(v, e) {
		for r := range m.joined[v.join].records(key.text) {
			for _, f := range m.joined[v.join].of(r, v.slot) {
				if f.text != "" {
					out = append(out, f)
				}
			}
			if v.first && len(out) > 0 {
				return out
			}
		}
	}
	return out
}

// untaken is a text that stands where a value looks, though its pattern takes nothing
// of it; nil: there is none.
func (m *mapping) untaken(v *value, e *plan.Element) *found {
	if v.join == nil {
		for _, f := range m.reached(nil, v, e) {
			if f.text != "" {
				return &f
			}
		}
		return nil
	}
	for _, key := range m.keys(v, e) {
		for r := range m.joined[v.join].records(key.text) {
			if fs := m.joined[v.join].of(r, v.slot); len(fs) > 0 { // none is taken, or it were not missed
				return &found{text: fs[0].rest(), origin: fs[0].origin}
			}
		}
	}
	return nil
}

// keys are those by which a join finds its records.
func (m *mapping) keys(v *value, e *plan.Element) []found {
	var out []found
	has := m.joined[v.join].has
	if v.through != nil {
		for _, f := range m.across(v.through, e) {
			out = appendKeys(out, f, has)
		}
		return out
	}
	for _, k := range v.by.Select(e) {
		out = appendKeys(out, found{text: strings.TrimSpace(k.Value()), origin: step.Origin{Line: k.Line, Column: k.Column}}, has)
	}
	m.followed(v.byAt, len(out) > 0)
	return out
}

// appendKeys appends a key; or those that its text lists with white space between, where
// the whole finds no record and one of those does.
func appendKeys(to []found, f found, has func(string) bool) []found {
	if !strings.ContainsAny(f.text, " \t\n") || has(f.text) {
		return append(to, f)
	}
	listed := strings.Fields(f.text)
	if !slices.ContainsFunc(listed, has) {
		return append(to, f)
	}
	for _, f.text = range listed {
		to = append(to, f)
	}
	return to
}

// dangling is a key that a join, or one before it, finds no record by.
func (m *mapping) dangling(v *value, e *plan.Element) (found, *join) {
	if v.through != nil {
		if key, j := m.dangling(v.through, e); j != nil {
			return key, j
		}
	}
	for _, key := range m.keys(v, e) {
		if key.text != "" && !m.joined[v.join].has(key.text) {
			return key, v.join
		}
	}
	return found{}, nil
}

// along follows the path of a value within an element.
func (m *mapping) along(v *value, e *plan.Element) []found {
	all := m.reached(m.taken[:0], v, e)
	out := all[:0]
	if v.pattern != nil && v.every {
		return pickedEvery(all, v)
	}
	for _, g := range all {
		stands := g.text
		if v.pattern != nil {
			g = picked(g, v.pattern, v.group)
		}
		switch {
		case g.text != "":
			out = append(out, g)
		case v.join != nil && stands != "":
			out = append(out, found{cut: &cut{whole: stands}, origin: g.origin}) // for untaken, when the record is gone
		}
	}
	if m.told == nil && cap(all) <= 1<<10 {
		m.taken = all
	}
	return out
}

// read takes over what a path found.
func (m *mapping) read(f selector.Found, v *value) found {
	g := found{origin: step.Origin{Line: f.Line, Column: f.Column}}
	if v.markup {
		g.lang = f.Lang()
	}
	e := f.Element
	if v.html {
		e = written(f.Value(), f.Line, f.Column)
	}
	switch {
	case e == nil || !v.html && !hasMarkup(e):
		g.text = paragraphs(f.Value())
		return g
	case !hasMarkup(e):
		g.text = paragraphs(plainText(e))
		return g
	}
	g.text = plainText(e)
	if v.markup {
		g.links = linksOf(e, g.lang)
	}
	if v.markup && v.pattern == nil {
		var dropped bool
		g.rich, dropped = richText(e)
		if dropped {
			m.markupDropped(g.origin)
		}
	}
	return g
}

// picked takes a group of a pattern's first match, which may be empty or none.
func picked(f found, re *regexp.Regexp, group int) found {
	at := re.FindStringSubmatchIndex(f.text)
	if at == nil || at[2*group] < 0 {
		return found{origin: f.origin}
	}
	from, to := at[2*group], at[2*group+1]
	f.cut = &cut{f.text, from, to}
	f.text, f.rich = strings.TrimSpace(f.text[from:to]), ""
	return f
}

// pickedEvery takes the group of each match. What all of them leave of a text is the
// rest of the first.
func pickedEvery(all []found, v *value) []found {
	var out []found
	for _, f := range all {
		first, left, rest := len(out), 0, ""
		for _, at := range v.pattern.FindAllStringSubmatchIndex(f.text, -1) {
			from, to := at[2*v.group], at[2*v.group+1]
			if from < 0 || strings.TrimSpace(f.text[from:to]) == "" {
				continue
			}
			g := f
			g.text, g.rich = strings.TrimSpace(f.text[from:to]), ""
			rest, left = rest+" "+strings.TrimSpace(f.text[left:from]), to
			out = append(out, g)
		}
		if len(out) > first {
			out[first].cut = &cut{whole: rest + " " + strings.TrimSpace(f.text[left:])}
		}
	}
	return out
}
