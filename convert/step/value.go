package step

import (
	"encoding/json"

	"planfold/convert/diag"
	"planfold/convert/mesh"
)

// Origin says where a value came from: a place in the plan, the rule that took
// or set it, or both. The file is the plan's own.
type Origin struct {
	Line, Column int    // of the plan; of a constant, of what it was set for; 0 where a rule assigned it
	Rule         string // the reading selector ("read.items.title") or the named rule
}

// At is the origin as a position in the given file.
func (o Origin) At(file string) diag.Position {
	return diag.Position{File: file, Line: o.Line, Column: o.Column}
}

// Text is a value as the plan has it, with its origin. The zero Text is "not
// given" and is left out of JSON. Quantities and limits are Text too, checked to
// be decimal numbers: they are never turned into floating point.
type Text struct {
	Value  string
	Origin Origin
}

// IsZero reports whether the value was not given.
func (t Text) IsZero() bool { return t == Text{} }

// Given reports whether there is a value that is not empty.
func (t Text) Given() bool { return t.Value != "" }

// MarshalJSON writes the value alone.
func (t Text) MarshalJSON() ([]byte, error) { return json.Marshal(t.Value) }

// UnmarshalJSON reads the value alone.
func (t *Text) UnmarshalJSON(b []byte) error { return json.Unmarshal(b, &t.Value) }

// Localized is one text in one language (a BCP 47 tag; empty if the plan does
// not say). Rich holds the same as sanitised HTML if the plan has markup.
type Localized struct {
	Lang string `json:"lang,omitempty"`
	Text Text   `json:"text"`
	Rich string `json:"rich,omitempty"`
}

// Texts is one text in each language that the plan has it in, in the plan's order.
type Texts []Localized

// First is the first language's text, or empty.
func (t Texts) First() string {
	if len(t) == 0 {
		return ""
	}
	return t[0].Text.Value
}

// Placement is a position and orientation in the frame of what it stands in, in
// metres and the plan's axes.
type Placement struct {
	Matrix mesh.Mat
	Origin Origin
}

// Count is a whole number that a rule set.
type Count struct {
	Value  int
	Origin Origin
}

// IsZero reports whether no rule set it.
func (c Count) IsZero() bool { return c == Count{} }
