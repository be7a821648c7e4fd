package rules

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/convert/step"
)

// Hazard statements are never guessed. But a text of an operation that begins with a
// signal word is most likely one, and must not be lost, or shown as any other text,
// without a word.

// warned is such a text.
type warned struct {
	text      string
	at        step.Origin // of the attribute or the text itself
	element   *plan.Element
	attribute bool
}

// warnings are those in an element, but for what is a record of its own, or no hazard by
// the rules. Behind the element stands a text, or none.
func (s *Set) warnings(to []warned, e *plan.Element, behind string) []warned {
	warns := func(text string) bool {
		return step.BeginsWithSignalWord(text) && (s.noHazards == nil || !s.noHazards.Matches(e))
	}
	for i := range e.Attributes {
		if a := &e.Attributes[i]; warns(a.Value) {
			to = append(to, warned{a.Value, step.Origin{Line: a.Line, Column: a.Column}, e, true})
		}
	}
	first := true
	for i := range e.Content {
		n, next := &e.Content[i], behind
		if i+1 < len(e.Content) {
			next = e.Content[i+1].Text
		}
		switch {
		case n.Element == nil:
			if text := n.Text + next; first && warns(text) {
				to = append(to, warned{text, step.Origin{Line: n.Line, Column: n.Column}, e, false})
			}
			first = first && strings.TrimSpace(n.Text) == ""
		case !n.Element.Cut:
			to = s.warnings(to, n.Element, next)
			first = false
		}
	}
	return to
}

// elements are that of an operation, and those of its steps that stand elsewhere.
func (o *operations) elements(e *plan.Element) []*plan.Element {
	list := []*plan.Element{e}
	for _, s := range o.stepAt {
		top := s
		for top != nil && top != e {
			top = top.Parent
		}
		if top == nil {
			list = append(list, s)
		}
	}
	return list
}

// warnings are those of an operation, also of its steps that stand elsewhere.
func (o *operations) warnings(e *plan.Element) []warned {
	var list []warned
	for _, x := range o.elements(e) {
		list = o.m.warnings(list, x, "")
	}
	return list
}

// alone reports a signal word with nothing behind it.
func (w warned) alone() bool {
	other := func(r rune) bool { return !unicode.IsLetter(r) }
	return !strings.ContainsFunc(strings.TrimFunc(w.text, func(r rune) bool { return other(r) && !unicode.IsDigit(r) }), other)
}

// about is what a signal word alone may be about: the first other text of its element, or
// of the one around it.
func (w warned) about(root *plan.Element) string {
	for e := w.element; e != nil; e = e.Parent {
		for _, t := range textsIn(nil, e) {
			if strings.TrimSpace(t.text) != "" && !(t.alone() && step.BeginsWithSignalWord(t.text)) {
				return t.text
			}
		}
		if e == root || e != w.element {
			break
		}
	}
	return ""
}

// tells is how a warning is shown, each text as it stands, and what it is if no rule reads it.
func (w warned) tells(root *plan.Element) (code *diag.Code, shown string) {
	code, shown = diag.MapHazardUnread, quoted(w.text)
	if !w.alone() {
		return code, shown
	}
	switch about := w.about(root); {
	case about != "":
		shown += " beside " + quoted(about)
	case w.attribute:
		code = diag.MapSignalWordAlone
	}
	return code, shown
}

// lineColumn is a line and a column.
type lineColumn struct{ line, column int }

// saying is what texts of an operation say, and where they stand.
type saying struct {
	at    map[lineColumn]bool
	texts []string
}

func (s *saying) add(text string, at step.Origin) {
	s.at[lineColumn{at.Line, at.Column}] = true
	s.texts = append(s.texts, text)
}

// saying collects the texts of a record and of all in it: those of hazard statements, and
// the others, unless either is not asked for.
func (k *kind) saying(rec any, hazards, others *saying) {
	to := others
	if h, is := rec.(*step.Hazard); is {
		if to = hazards; to != nil {
			to.add("", h.Origin)
		}
	}
	for _, f := range k.fields {
		if f.typ == records {
			for _, r := range f.entries(rec) {
				f.of.saying(r, hazards, others)
			}
			continue
		}
		if to == nil {
			continue
		}
		switch v := f.at(rec).(type) {
		case *step.Text:
			to.add(v.Value, v.Origin)
		case *step.Texts:
			to.addTexts(*v)
		case *[]step.Text:
			for _, t := range *v {
				to.add(t.Value, t.Origin)
			}
		case *[]step.Texts:
			for _, t := range *v {
				to.addTexts(t)
			}
		}
	}
}

func (s *saying) addTexts(texts step.Texts) {
	for _, l := range texts {
		s.add(l.Text.Value, l.Text.Origin)
	}
}

// has reports whether a warning is among what is said: at its place or at that of an
// element around it, or, of several texts that became one, in its words.
func (s *saying) has(w warned, around []lineColumn) bool {
	words := strings.Fields(w.text)
	return slices.ContainsFunc(around, func(p lineColumn) bool { return s.at[p] }) || len(words) > 1 &&
		slices.ContainsFunc(s.texts, func(t string) bool { return strings.Contains(oneLine(t), strings.Join(words, " ")) })
}

// standsIn reports whether anything of it stands in an element.
func (s *saying) standsIn(e *plan.Element) bool {
	return slices.ContainsFunc(e.Attributes, func(a plan.Attribute) bool { return s.at[lineColumn{a.Line, a.Column}] }) ||
		slices.ContainsFunc(e.Content, func(n plan.Node) bool {
			if n.Element == nil {
				return s.at[lineColumn{n.Line, n.Column}]
			}
			return s.at[lineColumn{n.Element.Line, n.Element.Column}] || s.standsIn(n.Element)
		})
}

// remarkWarnings reports the warnings of an operation that became no hazard statement.
// What no rule reads is missing from its step, or from all of the operation.
func (o *operations) remarkWarnings(op *step.Operation, list []warned, from int) {
	m := o.m
	hazards := saying{at: map[lineColumn]bool{}}
	operationKind.saying(op, &hazards, nil)
	var others *saying // most plans need none
	told := saying{at: map[lineColumn]bool{}}
	for _, d := range m.faults[from:] {
		told.at[lineColumn{d.Position.Line, d.Position.Column}] = true
	}
	for _, a := range m.absent {
		if told.add("", a.place); a.kind == hazardKind {
			hazards.add("", a.place)
		}
	}
	for _, w := range list {
		around, n := o.around(w)
		if n >= 0 && op.Steps[n].Skip.Given() || hazards.has(w, around) || told.has(w, around) || w.attribute && w.alone() && hazards.standsIn(w.element) {
			continue
		}
		code, shown := w.tells(m.root)
		d := code.At(w.at.At(m.file), "%s begins with a signal word, and no rule reads it", shown)
		if others == nil {
			others = &saying{at: map[lineColumn]bool{}}
			operationKind.saying(op, nil, others)
		}
		read := others.has(w, around)
		if read {
			d = diag.MapHazardAsText.At(w.at.At(m.file), "%s begins with a signal word, and is no hazard statement by the rules", shown)
		}
		d.Plan = o.plan.ID.Value
		steps := op.Steps
		if n >= 0 {
			steps = op.Steps[n : n+1]
			d.Step = steps[0].ID.Value
		}
		m.faults.Add(d)
		for _, s := range steps {
			if d.Step = s.ID.Value; !read {
				s.Diagnostics.Add(d)
			}
		}
	}
}

// remarkUnsaid reports the texts in the element of a hazard statement, those of attributes
// too, that it does not say, as long as it lacks what they may be: the consequence, or how to
// avoid it.
func (m *mapping) remarkUnsaid(h *step.Hazard, e *plan.Element) {
	lacks := "avoidance"
	switch {
	case len(h.Consequence) == 0:
		lacks = "consequence"
	case len(h.Avoidance) > 0:
		return
	}
	said := saying{at: map[lineColumn]bool{}}
	said.add(h.ID.Value, h.ID.Origin)
	for _, t := range []step.Texts{h.SignalWord, h.Hazard, h.Consequence, h.Avoidance} {
		said.addTexts(t)
	}
	for _, w := range textsIn(nil, e) {
		places := []lineColumn{{w.at.Line, w.at.Column}}
		if w.element != nil {
			places = append(places, lineColumn{w.element.Line, w.element.Column})
		}
		if len(strings.Fields(w.text)) > 1 && !said.has(w, places) {
			m.fault(diag.MapHazardUnsaid, w.at, "the hazard statement %q has no %s, and does not say %s, which stands in it", cmp.Or(h.ID.Value, h.Hazard.First(), h.SignalWord.First()), lacks, quoted(w.text))
		}
	}
}

// textsIn are the texts in an element, but for what is a record of its own. Those of
// attributes, without an element around, say more than a name, a number or a kind.
func textsIn(to []warned, e *plan.Element) []warned {
	for i := range e.Attributes {
		if a := &e.Attributes[i]; plainWords(a.Value) > 1 {
			to = append(to, warned{text: a.Value, at: step.Origin{Line: a.Line, Column: a.Column}})
		}
	}
	for i := range e.Content {
		if n := &e.Content[i]; n.Element != nil {
			to = textsIn(to, n.Element)
		} else {
			to = append(to, warned{text: n.Text, at: step.Origin{Line: n.Line, Column: n.Column}, element: e})
		}
	}
	return to
}

// around are the places of a warning and of what is around it in its step, or else in
// its operation; and which step that is, or -1.
func (o *operations) around(w warned) (places []lineColumn, step int) {
	places = []lineColumn{{w.at.Line, w.at.Column}}
	for e := w.element; e != nil && e != o.m.root; e = e.Parent {
		if n := slices.Index(o.stepAt, e); n >= 0 {
			// The text of a step may be its own.
			if e == w.element {
				places = append(places, lineColumn{e.Line, e.Column})
			}
			return places, n
		}
		places = append(places, lineColumn{e.Line, e.Column})
	}
	return places, -1
}

// plainWords counts words that no number, date, path or sign of a standard has.
func plainWords(text string) (n int) {
	for _, w := range strings.Fields(text) {
		w = strings.TrimRight(w, ".,:;!?")
		other := strings.ContainsFunc(w, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) })
		if !other && len(w) > 1 {
			n++
		}
	}
	return n
}

// quoted is the beginning of a text, for a message.
func quoted(text string) string {
	const most = 60
	r := []rune(strings.Join(strings.Fields(text), " "))
	if len(r) > most {
		r = append(r[:most], '…')
	}
	return `"` + string(r) + `"`
}
