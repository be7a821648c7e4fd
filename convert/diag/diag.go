// Package diag holds coded diagnostics: what is wrong with an input, where, how
// bad it is, and what was done about it.
//
// It is the channel for the input's faults. A fault of the machine (disk, lock,
// memory) is a Go error instead. Every code stands in one table, a file an area,
// and is raised from its row, so that a code, its severity and its explanation
// cannot drift apart:
//
//	list.Add(diag.PlanRefMissing.At(pos, "step %q consumes %q, which the plan does not define", step, item))
package diag

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
)

// Severity orders diagnostics from a remark to a refusal.
type Severity int

const (
	Info    Severity = iota // nothing was lost
	Warning                 // something was carried over, but not as given
	Error                   // something was left out, refused or held
)

func (s Severity) String() string {
	return [...]string{"info", "warning", "error"}[s]
}

// MarshalText writes the severity as its word.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word.
func (s *Severity) UnmarshalText(word []byte) error {
	for *s = Info; *s <= Error; *s++ {
		if s.String() == string(word) {
			return nil
		}
	}
	return fmt.Errorf("there is no severity %q", word)
}

// Position is a place in an input. Line and Column count from 1, Column in
// characters; Offset counts bytes from 0 in a binary file. Line 0 means that the
// whole file is meant, unless Binary is set.
type Position struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Offset int64  `json:"offset,omitempty"`
	Binary bool   `json:"-"`
}

// String writes file:line:column, file@offset or file.
func (p Position) String() string {
	switch {
	case p.Binary:
		return p.File + "@" + strconv.FormatInt(p.Offset, 10)
	case p.Line == 0:
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Code is one row of the table of codes.
type Code struct {
	Name     string   // AREA_WHAT_IS_WRONG, never reused
	Severity Severity // of every diagnostic with this code
	Meaning  string   // what is wrong
	Done     string   // what was done about it
	Mend     string   // what the reader can do
	Holds    bool     // an edition with this code is issued as held
}

var codes []*Code

func row(name string, s Severity, meaning, done, mend string) *Code {
	c := &Code{Name: name, Severity: s, Meaning: meaning, Done: done, Mend: mend}
	codes = append(codes, c)
	return c
}

// holding marks a row: what could not be read matters for safety or quality, so
// the edition must not become current.
func (c *Code) holding() *Code {
	c.Holds = true
	return c
}

// Codes lists the table, by name.
func Codes() []*Code {
	return slices.SortedFunc(slices.Values(codes), func(a, b *Code) int { return cmp.Compare(a.Name, b.Name) })
}

// At raises the code at a position.
func (c *Code) At(p Position, format string, args ...any) Diagnostic {
	return Diagnostic{Code: c.Name, Severity: c.Severity, Holds: c.Holds, Position: p, Message: fmt.Sprintf(format, args...)}
}

// MarshalText writes the code's name.
func (c *Code) MarshalText() ([]byte, error) { return []byte(c.Name), nil }

// Diagnostic is one finding. Plan and Step are filled in by whoever knows them.
type Diagnostic struct {
	Code     string    `json:"code"`
	Severity Severity  `json:"severity"`
	Holds    bool      `json:"holds,omitempty"`
	Position Position  `json:"position,omitzero"`
	Plan     string    `json:"plan,omitempty"`
	Step     string    `json:"step,omitempty"`
	Message  string    `json:"message"`
	Related  []Related `json:"related,omitempty"` // places that a reader wants to see as well
}

// Related is another place that a finding has to do with, and how.
type Related struct {
	Position Position `json:"position,omitzero"`
	Message  string   `json:"message"`
}

// Seeing adds related places.
func (d Diagnostic) Seeing(more ...Related) Diagnostic {
	d.Related = append(slices.Clone(d.Related), more...)
	return d
}

// Same reports whether two findings say one thing of one place.
func (d Diagnostic) Same(e Diagnostic) bool {
	return d.Code == e.Code && d.Position == e.Position && d.Message == e.Message
}

// String writes one line: position, severity, code, message.
func (d Diagnostic) String() string {
	s := fmt.Sprintf("%s %s: %s", d.Severity, d.Code, d.Message)
	if p := d.Position.String(); p != "" {
		return p + ": " + s
	}
	return s
}

// List collects diagnostics in the order they were found.
type List []Diagnostic

// Add appends diagnostics.
func (l *List) Add(d ...Diagnostic) { *l = append(*l, d...) }

// HasError reports whether something was left out, refused or held.
func (l List) HasError() bool {
	return slices.ContainsFunc(l, func(d Diagnostic) bool { return d.Severity == Error })
}
