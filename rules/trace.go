package rules

import (
	"planfold/convert/diag"
	"planfold/convert/step"
)

// EventKind says what an event of the trace is about.
type EventKind int

const (
	ElementRead     EventKind = iota // an element of the plan became a record
	ValueSet                         // a field got a value, from the plan or from a rule
	ValueOverridden                  // a later rule replaced what an earlier rule had set
	RuleFired                        // a rule's condition held
	RuleNotFired                     // it did not
)

// Event is one thing that mapping did. Object names what it was done to: "plan",
// "item P-1010", "operation OP-10", "step S-10-1", "part 2 of step S-10-1". While a
// record is being read it may have no id yet: then Object is its kind, and Record
// tells it from others.
type Event struct {
	Kind   EventKind
	Object string
	Record step.Origin // place of the element that became the object, while reading
	Field  string      // of ValueSet and ValueOverridden
	Value  string
	Rule   string        // that fired, did not, or set the value
	Place  diag.Position // of that rule in the rule files; of a record its match or each, of a value its own
	Origin step.Origin   // of the value or element; of ValueOverridden, the one that lost
}

// TraceReader is handed every event, in the order in which things happened. Read
// calls it from one goroutine; Assign from each goroutine that calls Assign.
type TraceReader func(Event)

// Traced is the same rules with readers of the trace attached. Without readers
// the trace costs nothing: no event is made.
func (s *Set) Traced(readers ...TraceReader) *Set {
	t := *s
	t.trace = append(t.trace[:len(t.trace):len(t.trace)], readers...)
	return &t
}

type trace []TraceReader

func (t trace) on() bool { return len(t) > 0 }

func (t trace) event(e Event) {
	for _, r := range t {
		r(e)
	}
}
