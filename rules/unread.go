package rules

import (
	"regexp"
	"strings"

	"planfold/convert/diag"
)

// A pattern that takes a quantity or a limit out of a text may leave another number
// there: a tolerance, a second limit. It must be read as well, or shown.

// read is what a field of a record took.
type read struct {
	found
	number string // what it is, if a pattern took it and what it leaves matters
	kept   bool   // what a pattern left is a note
}

// cutsNumbers reports whether a value takes a quantity or a limit out of a text.
func cutsNumbers(f *field, v *value) bool {
	return v.pattern != nil && f.typ == decimal && !f.aside && f.name != "order"
}

// noteRead notes what was read; of what is added to another number, without kind
// and field.
func (m *mapping) noteRead(k *kind, f *field, v *value, fs []found) {
	if !m.passes.cutsNumbers {
		return
	}
	for _, g := range fs {
		r := read{found: g, kept: v.rest != nil}
		if f != nil && cutsNumbers(f, v) {
			r.number = k.said() + "'s " + f.name
		}
		m.got = append(m.got, r)
	}
}

// forgetNumbers takes back that the last so many values that were noted are numbers: they
// were refused, and what is wrong with them is said.
func (m *mapping) forgetNumbers(last int) {
	for i := max(0, len(m.got)-last); i < len(m.got); i++ {
		m.got[i].number = ""
	}
}

// remarkUnread reports, of what a record has read, the numbers that a pattern left
// and nothing else of the record, or of those around it, has.
func (m *mapping) remarkUnread(own []read) {
	for i, r := range own {
		if r.number == "" || r.kept || sameCut(own[:i], r) {
			continue
		}
		if n := m.unreadIn(r.cut.whole); n != "" {
			m.fault(diag.MapNumberUnread, r.origin, "the %s is %q of %q, in which nothing reads %q", r.number, r.text, oneLine(r.cut.whole), n)
		}
	}
}

// sameCut reports whether what a text leaves has been looked at.
func sameCut(before []read, r read) bool {
	for _, b := range before {
		if b.number != "" && b.cut.whole == r.cut.whole {
			return true
		}
	}
	return false
}

// numeral is a number in a text, but for the power of a unit.
var numeral = regexp.MustCompile(`(?:[mnst][23]\b)|[0-9]+(?:[.,][0-9]+)*`)

// unreadIn is the first number of a text that nothing has read, or "".
func (m *mapping) unreadIn(text string) string {
	left := []byte(text)
	for _, r := range m.got {
		switch {
		case r.cut == nil && strings.Contains(r.text, text), r.cut != nil && r.kept && r.cut.whole == text:
			return ""
		case r.cut != nil && r.cut.whole == text:
			for i := r.cut.from; i < r.cut.to; i++ {
				left[i] = ' '
			}
		}
	}
	for _, n := range numeral.FindAllString(string(left), -1) {
		if '0' <= n[0] && n[0] <= '9' {
			return n
		}
	}
	return ""
}
