package main

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"planfold/rules"
)

// line is a line of an explanation: what, its value, its place in the plan, and the
// rule with its place in the rule file.
type line struct{ what, value, plan, place, rule string }

// longestValue is how much of a value is shown beside others.
const longestValue = 48

// print writes explanations for people, in columns that go through all of them.
func (q *question) print(out io.Writer, file string, list []*rules.Explanation) error {
	w := bufio.NewWriter(out)
	p := printed{w: w, file: file, full: q.value != ""}
	for _, e := range list {
		p.measure(p.lines(e))
	}
	for i, e := range list {
		if i > 0 && !p.full {
			fmt.Fprintln(w)
		}
		p.print(e)
	}
	if p.geometry {
		fmt.Fprintln(w, "\nGeometry is not read here: what rules ask of facts is not known.")
	}
	if q.value == "motion" && (q.overrules || slices.ContainsFunc(list, func(e *rules.Explanation) bool { return len(e.Values) == 0 })) {
		fmt.Fprintln(w, "\n"+q.elsewhere)
	}
	if q.step == "" && q.part == "" && q.value == "" {
		fmt.Fprintf(w, "\n%s, %s\n--step ID explains one of them.\n", many(q.operations, "operation"), some(q.steps, "step"))
	}
	return w.Flush()
}

// printed is a text in the making.
type printed struct {
	w                 io.Writer
	file              string
	full              bool // long values too
	what, value, plan int  // widths
	place             int
	geometry          bool // a condition asks for it
}

func (p *printed) print(e *rules.Explanation) {
	fmt.Fprintln(p.w, title(e)+p.at("  ", e.Line, e.Column))
	for _, l := range p.lines(e) {
		text := "  " + pad(l.what, p.what) + "  " + pad(l.value, p.value) + "  " + pad(l.plan, p.plan) + "  " + pad(l.place, p.place) + "  " + l.rule
		fmt.Fprintln(p.w, strings.TrimRight(text, " "))
	}
	p.missing(e.Missing)
	p.fired(e.Fired)
	p.notFired(e.NotFired)
}

// title names an object, and what it belongs to.
func title(e *rules.Explanation) string {
	s := e.Object.String()
	switch {
	case e.Kind == "plan":
		s += " " + e.ID
	case e.Kind == "step" && e.Operation != "":
		s += " of operation " + e.Operation
	case e.N > 0 && e.ID != "":
		s += ": " + short(e.ID)
	}
	if e.LeftOut {
		s += " (left out)"
	}
	return s
}

func (p *printed) at(before string, line, column int) string {
	if line == 0 {
		return ""
	}
	return fmt.Sprintf("%s%s:%d:%d", before, p.file, line, column)
}

func (p *printed) lines(e *rules.Explanation) []line {
	var out []line
	add := func(what string, s rules.Setting) {
		value := strings.Join(strings.Fields(s.Value), " ")
		if !p.full {
			value = short(value)
		}
		out = append(out, line{what, value, p.at("", s.Line, s.Column), s.Place, s.Rule})
	}
	for _, v := range e.Values {
		what := v.Field
		if v.N > 0 {
			what += fmt.Sprint(" ", v.N)
		}
		if v.Lang != "" {
			what += " (" + v.Lang + ")"
		}
		add(what, v.Setting)
		for _, s := range v.Overrides {
			add("  overrides", s)
		}
	}
	return out
}

func (p *printed) measure(lines []line) {
	for _, l := range lines {
		p.what = max(p.what, utf8.RuneCountInString(l.what))
		p.value = max(p.value, min(longestValue, utf8.RuneCountInString(l.value)))
		p.plan = max(p.plan, utf8.RuneCountInString(l.plan))
		p.place = max(p.place, utf8.RuneCountInString(l.place))
	}
}

// missing says what there is no value of; asked for one, what was tried.
func (p *printed) missing(list []rules.MissingValue) {
	if !p.full && len(list) > 0 {
		var names []string
		for _, m := range list {
			names = append(names, m.Field)
		}
		fmt.Fprintln(p.w, "  no value: "+strings.Join(names, ", "))
		return
	}
	for _, m := range list {
		if m.List {
			fmt.Fprintf(p.w, "  no %s:\n", m.Field)
		} else {
			fmt.Fprintf(p.w, "  no value of %s:\n", m.Field)
		}
		for _, t := range m.Tried {
			fmt.Fprintln(p.w, "    "+t)
		}
	}
}

func (p *printed) fired(list []rules.Firing) {
	var names []string
	for _, f := range list {
		names = append(names, f.Rule+" ("+f.Place+")")
	}
	if len(names) > 0 {
		fmt.Fprintln(p.w, "  fired: "+strings.Join(names, ", "))
	}
}

// notFired gives each rule that did not fire, with the reasons below each other.
func (p *printed) notFired(list []rules.Firing) {
	name, place := 0, 0
	for _, f := range list {
		name, place = max(name, utf8.RuneCountInString(f.Rule)), max(place, utf8.RuneCountInString(f.Place))
	}
	if len(list) > 0 {
		fmt.Fprintln(p.w, "  did not fire:")
	}
	for _, f := range list {
		before := "    " + pad(f.Rule, name) + "  " + pad(f.Place, place) + "  "
		for _, why := range f.Why {
			fmt.Fprintln(p.w, before+why)
			before = strings.Repeat(" ", utf8.RuneCountInString(before))
			p.geometry = p.geometry || strings.Contains(why, "facts.")
		}
	}
}

func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-utf8.RuneCountInString(s)))
}

// short is a value, cut where it is too long for its column.
func short(s string) string {
	r := []rune(s)
	if len(r) <= longestValue {
		return s
	}
	return string(r[:longestValue-1]) + "…"
}

// some counts names and gives the first few.
func some(names []string, word string) string {
	const few = 8
	s := many(len(names), word)
	if len(names) == 0 {
		return "no " + word
	}
	if len(names) <= few {
		return s + ": " + strings.Join(names, ", ")
	}
	return s + ": " + strings.Join(names[:few], ", ") + " …"
}
