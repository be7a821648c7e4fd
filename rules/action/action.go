// Package action holds what an assigning rule can do: a table of actions, a file
// each. An action checks its argument when the rules are compiled and then sets
// one thing on one object. It decides nothing: whether and in which order actions
// apply is up to package rules.
package action

import (
	"errors"
	"regexp"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/document"
	tables "planfold/rules/table"
)

// Object is what a rule is applied to, with what it belongs to: a part has its
// step (nil for a part of all steps of an operation), a step its operation.
type Object struct {
	Plan           *step.Plan
	Item           *step.Item
	Occurrence     *step.Occurrence
	Operation      *step.Operation
	Step           *step.Step
	Part           *step.Part
	Characteristic *step.Characteristic
	Attachment     *step.Attachment
	Variables      map[string]any // what templates see
}

// Kinds of object that rules are for, from the outside in.
var Kinds = []string{"plan", "item", "occurrence", "operation", "step", "part", "characteristic", "attachment"}

// Apply sets something on an object. An error is the fault of the rules or the
// plan; nothing is set then.
type Apply func(o Object, by step.Origin) (Done, error)

// Done is what an action did: the value set, in words, and where it replaced
// another, that one with its origin. The zero Done: what it adds was there.
type Done struct {
	Says, Was string
	Replaced  step.Origin
}

// Row is one action.
type Row struct {
	Name    string
	For     []string // kinds of object
	Takes   string   // its argument, for the reference and the JSON Schema; see takes in rules/schema_test.go
	Does    string   // for the reference
	adds    bool     // it adds to what is there, and replaces nothing
	safety  bool     // where it cannot be done the edition is held
	compile func(n *document.Node, c *Compiler) Action
}

var keysTaken = regexp.MustCompile(`(\w+)\??:`)

// Keys lists what the action's argument has, where that is a mapping.
func (r *Row) Keys() []string {
	var out []string
	for _, m := range keysTaken.FindAllStringSubmatch(r.Takes, -1) {
		out = append(out, m[1])
	}
	return out
}

// setting sets one text of an object, or the same of several: what it was is that
// of the first. A text at fault is nil.
func setting(value *Text, at func(Object) []*step.Text) Action {
	if value == nil {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		v, err := value.of(o)
		if err != nil {
			return Done{}, err
		}
		var was step.Text
		for i, t := range at(o) {
			if i == 0 {
				was = *t
			}
			*t = step.Text{Value: v, Origin: by}
		}
		return Done{v, was.Value, was.Origin}, nil
	}}
}

// ofSteps is a value of a step, or of each step of an operation.
func ofSteps[T any](kind string, at func(*step.Step) *T) func(Object) []*T {
	return func(o Object) []*T {
		if kind == "step" {
			return []*T{at(o.Step)}
		}
		var all []*T
		for _, s := range o.Operation.Steps {
			all = append(all, at(s))
		}
		return all
	}
}

// contentOf is the content of a step, or what all steps of an operation have. That
// of a part is where the part stands.
func contentOf(o Object) (*step.Content, error) {
	switch {
	case o.Step != nil:
		return &o.Step.Content, nil
	case len(o.Operation.Steps) == 0:
		return nil, errors.New("it has no step that could show it")
	}
	return &o.Operation.Common, nil
}

// add adds to the content where an object stands, unless one there says the same: that
// does nothing. One that the plan restricts to some serial numbers or dates must not
// count as such.
func add[T any](o Object, says string, list func(*step.Content) *[]T, e T, same func(T) bool) (Done, error) {
	content, err := contentOf(o)
	if err != nil {
		return Done{}, err
	}
	l := list(content)
	if slices.ContainsFunc(*l, same) {
		return Done{}, nil
	}
	*l = append(*l, e)
	return Done{Says: says}, nil
}

// without takes the entry that an earlier rule made out of a list.
func without[T any](list []T, same func(T) bool) (kept []T, was T) {
	for _, e := range list {
		if same(e) {
			was = e
			continue
		}
		kept = append(kept, e)
	}
	return kept, was
}

// Action is an action with its argument, ready to apply.
type Action struct {
	Name   string
	Sets   string // what it sets: of two actions that set the same the later one counts; "": it adds
	Safety bool   // where it cannot be done the edition is held
	Apply  Apply  // nil: the argument is at fault
}

var table = []*Row{
	budgetRow, roleRow, motionRow, registrationRow, lookRow, titleRow,
	hazardRow, characteristicRow, signOffRow, evidenceRow, attachmentRow,
	chooseRow, hideRow, skipRow, holdRow,
}

// Rows lists the table.
func Rows() []*Row { return slices.Clone(table) }

// Compiler is what actions are compiled with.
type Compiler struct {
	Kind     string                                         // of object that the rule is for
	Metres   float64                                        // of a unit of the dialect's distances
	Text     func(n *document.Node, where string) *Text     // a text that may be a template; nil when it is at fault
	Decimal  func(text string) (decimal string, valid bool) // a decimal number, as it is issued
	Tag      func(n *document.Node, text string) string     // checks a language tag
	Language string                                         // of texts that say none
	Tables   map[string]*tables.Table                       // nil: at fault
	Uses     func(table string)                             // told of each table that an action takes
	Faults   *document.Faults
}

// Compile compiles the actions of one rule, in the order of the table; an action
// at fault is left out.
func (c *Compiler) Compile(n *document.Node) []Action {
	faults := c.Faults
	if !faults.Is(document.Mapping, n, "set") {
		return nil
	}
	for _, k := range n.Keys {
		row := named(k.Text)
		switch {
		case row == nil:
			faults.Unknown(k, names(), "the table of actions")
		case !slices.Contains(row.For, c.Kind):
			faults.Add(diag.RuleActionUnsuited, k, "%q is done to %s, not to %s", k.Text, the(row.For), the([]string{c.Kind}))
		}
	}
	var out []Action
	for _, row := range table {
		arg := n.Get(row.Name)
		if arg == nil || !slices.Contains(row.For, c.Kind) {
			continue
		}
		if a := row.compile(arg, c); a.Apply != nil {
			a.Name, a.Sets, a.Safety = row.Name, row.sets(arg), row.safety
			out = append(out, a)
		}
	}
	return out
}

// sets says what an action sets: one thing, or one of each id, item or occurrence.
func (r *Row) sets(arg *document.Node) string {
	if r.adds {
		return ""
	}
	what := r.Name
	for _, key := range []string{"id", "item", "occurrence"} {
		if of := arg.Get(key); of != nil {
			what += " " + key + " " + of.Text
		}
	}
	return what
}

func named(name string) *Row {
	i := slices.IndexFunc(table, func(r *Row) bool { return r.Name == name })
	if i < 0 {
		return nil
	}
	return table[i]
}

func names() []string {
	var out []string
	for _, r := range table {
		out = append(out, r.Name)
	}
	return out
}

// the writes kinds with their article: "a step or an operation".
func the(kinds []string) string {
	var out []string
	for _, k := range kinds {
		article := "a "
		if strings.ContainsRune("aeiou", rune(k[0])) {
			article = "an "
		}
		out = append(out, article+k)
	}
	return strings.Join(out, " or ")
}
