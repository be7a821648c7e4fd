package document

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"planfold/convert/diag"
)

// Faults collects what is wrong with the rule files.
type Faults struct{ list diag.List }

// Add reports a fault of a whole node.
func (f *Faults) Add(c *diag.Code, n *Node, format string, args ...any) {
	f.list.Add(c.At(n.Position(-1), format, args...))
}

// AddAt reports a fault at a character of a scalar's text, counted from 0.
func (f *Faults) AddAt(c *diag.Code, n *Node, character int, format string, args ...any) {
	f.list.Add(c.At(n.Position(character), format, args...))
}

// Raise reports what was found in another file than a rule file.
func (f *Faults) Raise(d diag.Diagnostic) { f.list.Add(d) }

// Any reports whether there is a fault.
func (f *Faults) Any() bool { return len(f.list) > 0 }

// List is the faults in the order of their places, file by file as they were
// read.
func (f *Faults) List() diag.List {
	file := map[string]int{}
	for _, d := range f.list {
		if _, ok := file[d.Position.File]; !ok {
			file[d.Position.File] = len(file)
		}
	}
	slices.SortStableFunc(f.list, func(a, b diag.Diagnostic) int {
		return cmp.Or(cmp.Compare(file[a.Position.File], file[b.Position.File]),
			cmp.Compare(a.Position.Line, b.Position.Line), cmp.Compare(a.Position.Column, b.Position.Column))
	})
	return slices.CompactFunc(f.list, diag.Diagnostic.Same)
}

// Unknown reports a key that is not among the known ones.
func (f *Faults) Unknown(key *Node, known []string, where string) {
	if near := Nearest(key.Text, known); near != "" {
		f.Add(diag.RuleKeyUnknown, key, "%q is not known in %s; did you mean %q?", short(key.Text), where, near)
		return
	}
	f.Add(diag.RuleKeyUnknown, key, "%q is not known in %s, which takes %s", short(key.Text), where, strings.Join(known, ", "))
}

// Is checks what kind of node it is.
func (f *Faults) Is(k Kind, n *Node, where string) bool {
	if n.Kind != k {
		f.Add(diag.RuleValueInvalid, n, "%s is %s, not %s", where, k, saying(n))
	}
	return n.Kind == k
}

// Keys checks that the node is a mapping with known keys only.
func (f *Faults) Keys(n *Node, where string, known ...string) bool {
	if n.Kind != Mapping {
		f.Add(diag.RuleValueInvalid, n, "%s is a mapping of %s, not %s", where, strings.Join(known, ", "), saying(n))
		return false
	}
	for _, k := range n.Keys {
		if !slices.Contains(known, k.Text) {
			f.Unknown(k, known, where)
		}
	}
	return true
}

// Need is the value of a key that must be there.
func (f *Faults) Need(n *Node, key, where string) *Node {
	v := n.Get(key)
	if v == nil || v.null() {
		f.Add(diag.RuleKeyMissing, n, "%s needs %q", where, key)
		return nil
	}
	return v
}

// Text is the text of a scalar that is not blank. A nil node gives none, silently.
func (f *Faults) Text(n *Node, where string) string {
	switch {
	case n == nil:
		return ""
	case n.Kind != Scalar || n.null() || strings.TrimSpace(n.Text) == "":
		f.Add(diag.RuleValueInvalid, n, "%s is a text, not %s", where, saying(n))
		return ""
	}
	return n.Text
}

// OneOf is a text out of a few.
func (f *Faults) OneOf(n *Node, where string, allowed ...string) string {
	if n == nil {
		return ""
	}
	if n.Kind == Scalar && slices.Contains(allowed, n.Text) {
		return n.Text
	}
	hint := ""
	if near := Nearest(n.Text, allowed); n.Kind == Scalar && near != "" {
		hint = fmt.Sprintf("; did you mean %q?", near)
	}
	f.Add(diag.RuleValueInvalid, n, "%s is %s, not %s%s", where, strings.Join(allowed, " or "), saying(n), hint)
	return ""
}

// Whole is a whole number of at least the given one.
func (f *Faults) Whole(n *Node, where string, least int) int {
	if n == nil {
		return 0
	}
	v, err := strconv.Atoi(n.Text)
	if n.Kind != Scalar || n.Quoted || err != nil || v < least {
		f.Add(diag.RuleValueInvalid, n, "%s is a whole number of at least %d, not %s", where, least, saying(n))
		return 0
	}
	return v
}

// Number is a finite number; false when it is none. A nil node is 0, silently.
func (f *Faults) Number(n *Node, where string) (float64, bool) {
	if n == nil {
		return 0, true
	}
	v, err := strconv.ParseFloat(n.Text, 64)
	if n.Kind != Scalar || n.Quoted || err != nil || v-v != 0 {
		f.Add(diag.RuleValueInvalid, n, "%s is a number, not %s", where, saying(n))
		return 0, false
	}
	return v, true
}

// Bool is true or false.
func (f *Faults) Bool(n *Node, where string) bool {
	return f.OneOf(n, where, "true", "false") == "true"
}

func saying(n *Node) string {
	switch {
	case n.Kind != Scalar:
		return n.Kind.String()
	case n.null():
		return "nothing"
	}
	return strconv.Quote(short(n.Text))
}

// short is a text, cut where it is too long to show in a message.
func short(s string) string {
	const longest = 80
	if len(s) <= longest {
		return s
	}
	cut := longest
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "…"
}
