package convert

import (
	"io"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// Mapper gives meaning to a plan. It is handed in (package rules has the one in
// use), so that the run can be tested with a few lines.
type Mapper interface {
	// Read reads one plan from its file, opened anew for each pass, and emits its
	// operations as they are found, when the head is complete. It returns the head.
	// An error of emit ends the reading and is returned.
	Read(open func() (io.ReadCloser, error), name string, emit func(*step.Plan, *step.Operation) error) (*step.Plan, diag.List, error)

	// AssignItems applies the assigning rules to the plan's items, in place. It comes
	// before any operation's Assign, which reads them.
	AssignItems(p *step.Plan, facts step.Facts) diag.List

	// Assign applies the assigning rules to an operation and its steps, in place.
	Assign(p *step.Plan, o *step.Operation, facts step.Facts) diag.List

	// LeavesOut reports whether Assign may leave out a step or a part.
	LeavesOut() bool

	// Unread tells what the rules looked for in vain in all plans that were read, and no
	// one may miss.
	Unread() diag.List

	// Digest identifies the rules, hexadecimal SHA-256 over their files.
	Digest() string
}
