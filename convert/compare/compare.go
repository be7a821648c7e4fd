// Package compare says how two editions, or two mappings of one plan, differ, by
// meaning: a step, a part or a hazard statement is found again by what identifies
// it, not by where it stands, and each difference is classed by what it touches.
//
// Documents are walked along the structures of package bundle, so that a new member
// is compared by itself; its class stands in the table in field.go. What merely
// follows from content (sizes, URIs, edition ids) is no difference. Nothing is
// judged here and nothing is written; documents are read one at a time, of those with
// equal digests the digest alone, and equal values are passed over without allocating.
//
// Changes come in the order of the new edition: the plan's own, then by operation
// and step, in a step by the order of step.json.
package compare

import (
	"slices"

	"planfold/convert/diag"
)

// Class says what a change touches.
type Class string

// The classes, the gravest first.
const (
	Safety       Class = "safety"       // safety and quality: what can hurt, spoil or let pass
	Content      Class = "content"      // what the instruction says
	Geometry     Class = "geometry"     // shapes and places
	Presentation Class = "presentation" // how it is shown
)

var classes = []Class{Safety, Content, Geometry, Presentation}

// Kinds of change.
const (
	Added   = "added"
	Removed = "removed"
	Changed = "changed"
	Moved   = "moved" // another place in the order, another operation, or another id for the same content
)

// Change is one difference. A change of the plan has no operation, one of the
// operation no step. What is a path by identity: "hazards[H-3].avoidance[en]".
type Change struct {
	Class     Class  `json:"class"`
	Plan      string `json:"plan"`
	Operation string `json:"operation,omitempty"`
	Step      string `json:"step,omitempty"`
	What      string `json:"what"`
	Kind      string `json:"kind"`
	Old       any    `json:"old,omitempty"` // string, number, list or object as in step.json
	New       any    `json:"new,omitempty"`
	OldOrigin Origin `json:"oldOrigin,omitzero"`
	NewOrigin Origin `json:"newOrigin,omitzero"`
	TakenBy   string `json:"takenBy,omitempty"` // the rule that took it away, or that took it away before
}

// Origin is the place of a value in the plan and the rule that took or set it.
type Origin struct {
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Rule   string `json:"rule,omitempty"`
}

// Totals counts changes by class.
type Totals struct {
	Safety       int `json:"safety"`
	Content      int `json:"content"`
	Geometry     int `json:"geometry"`
	Presentation int `json:"presentation"`
}

// add counts changes.
func (t *Totals) add(changes []Change) {
	for _, c := range changes {
		switch c.Class {
		case Safety:
			t.Safety++
		case Content:
			t.Content++
		case Geometry:
			t.Geometry++
		default:
			t.Presentation++
		}
	}
}

// Result is how one plan differs.
type Result struct {
	Plan        string
	Old, New    Side
	Changes     []Change
	Diagnostics diag.List // what could not be compared; remarks
}

// Side says which edition stood on one side; empty if the plan is on the other only.
type Side struct {
	Revision string `json:"revision,omitempty"`
	Edition  string `json:"edition,omitempty"`
	Steps    int    `json:"steps"`
}

// Same reports whether nothing differs.
func (r *Result) Same() bool {
	return len(r.Changes) == 0 && !slices.ContainsFunc(r.Diagnostics, func(d diag.Diagnostic) bool { return d.Severity > diag.Info })
}
