package rules

import (
	"fmt"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// EventKind says what an event of the trace is about.
type EventKind int

const (
	ElementRead     EventKind = iota // an element of the plan became an object
	ValueSet                         // a field got a value, from the plan or from a rule
	ValueMissing                     // reading rules look for a field and give nothing
	ValueOverridden                  // a later rule replaced what stood there
	RuleFired                        // a rule's condition held
	RuleNotFired                     // it did not, or a rule before it stopped
	PathFollowed                     // a value or its where, lang or by was followed, or the by of a record; its Value is empty if that was in vain; of no object
	ElementJoined                    // an element became a record of a join, or its key was found; no object has it yet
)

// Object names what an event is about. It is comparable, and the same in all
// events about one thing of a plan.
type Object struct {
	Kind string `json:"kind"`         // as in the tables of fields: "plan", "item", "step", "part" …
	ID   string `json:"id,omitempty"` // its id; of what has none, what tells it best: a part's item, a file
	N    int    `json:"n,omitempty"`  // of a step and of what belongs to another: its place among its like, from 1

	// Ids of what it belongs to or is. What an operation has for all its steps has no
	// Step; an occurrence has the item that it stands in.
	Operation string `json:"operation,omitempty"`
	Step      string `json:"step,omitempty"`
	Item      string `json:"item,omitempty"`
	View      string `json:"view,omitempty"`

	LeftOut bool `json:"leftOut,omitempty"` // the element was refused, or stands twice: nothing of it is in the plan
}

// String names the object as messages do: "item P-1010", "part 2 of step S-10-1".
func (o Object) String() string {
	switch o.Kind {
	case "plan":
		return o.Kind
	case "operation", "step", "item", "view", "occurrence":
		return o.Kind + " " + o.ID
	}
	if o.N == 0 {
		return said(o.Kind) + " of " + o.owner()
	}
	return fmt.Sprintf("%s %d of %s", said(o.Kind), o.N, o.owner())
}

func (o Object) owner() string {
	switch {
	case o.Step != "":
		return "step " + o.Step
	case o.Operation != "":
		return "operation " + o.Operation
	case o.View != "":
		return "view " + o.View
	}
	return "item " + o.Item
}

// Event is one thing that mapping did.
type Event struct {
	Kind   EventKind
	Object Object
	Record step.Origin // place of the object in the plan; no rule

	// Of values. N counts, from 1, those of a field that takes several.
	Field, Lang string
	N           int
	Value       string
	Origin      step.Origin // place and rule of the value or element; of ValueOverridden, of the one that lost

	Rule  string        // that fired, did not, or set the value
	Place diag.Position // of that rule in the rule files; of a record its match or each, of a value its own

	Sets []string // of RuleFired and RuleNotFired: the actions of the rule

	// Why is given for what did not come about, ValueMissing and RuleNotFired: it says,
	// a line a reason, what was tried or which operand was false. It costs more than
	// all else of an event, and answers only until the reader returns.
	Why func() []string
}

// TraceReader is handed every event, in the order in which things happened; what
// was read of a record comes when the whole record has been read. Read calls it
// from one goroutine; Assign from each goroutine that calls Assign.
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

// identity is what tells a record best from others of its kind: the first of its
// fields that has one text.
func identity(k *kind, rec any) string {
	for _, f := range k.fields {
		if f.at == nil {
			continue
		}
		switch v := f.at(rec).(type) {
		case *step.Text:
			if v.Given() {
				return v.Value
			}
		case *step.Texts:
			if len(*v) > 0 {
				return v.First()
			}
		}
		if f.name == "id" && len(k.needed) > 0 {
			return ""
		}
	}
	return ""
}
