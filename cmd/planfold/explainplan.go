package main

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"github.com/spf13/cobra"

	"planfold/convert"
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules"
	"planfold/schema"
)

// question is what is asked of a plan. The trace is never kept whole: for a step a
// first look finds what belongs to it, and then only what is told of that is kept.
type question struct {
	explainOptions
	steps      []string        // ids of all steps, as far as the plan was read
	operations int             // likewise
	at         map[string]bool // operations that have the step
	parts      map[partLine]bool
	items      map[string]bool
	elsewhere  string // how parts come in that no rule moves
	overrules  bool   // that what rules move comes in so, too
}

// partLine is a part of a step, or, where step is empty, of all steps of an operation.
type partLine struct {
	operation, step string
	n               int
}

func explainPlan(c *cobra.Command, o explainOptions, name string) error {
	set, err := compileRules(o.rules)
	if err != nil {
		return err
	}
	files, err := planFiles(name)
	if err != nil {
		return err
	}
	if len(files) != 1 {
		return usage("explain takes one plan, and %q holds %d", name, len(files))
	}
	s, err := source(files[0], c.InOrStdin())
	if err != nil {
		return err
	}
	q := question{explainOptions: o, elsewhere: motionElsewhere}
	list, faults, err := q.explain(set.For(o.effective), s)
	messages := printing{w: c.ErrOrStderr(), files: planTexts([]convert.Source{s})}
	messages.list(slices.DeleteFunc(faults, func(d diag.Diagnostic) bool { return err == nil && (o.step == "" || d.Step != o.step) }))
	switch {
	case err != nil:
		return err
	case o.format == "json":
		text, err := schema.Encode(explained{"planfold/explain/1", s.Base, list})
		if err != nil {
			return err
		}
		_, err = c.OutOrStdout().Write(text)
		return err
	}
	return q.print(c.OutOrStdout(), s.Base, list)
}

// explained is what explain writes as JSON.
type explained struct {
	Format  string               `json:"format"`
	File    string               `json:"file"`
	Objects []*rules.Explanation `json:"objects"`
}

// errRefusedPlan ends the explaining of what is no plan; the diagnostics say why.
var errRefusedPlan = &statusError{statusLeftOut, errors.New("the plan is refused")}

// look finds the step that is asked for, and refuses what is not in the plan.
func (q *question) look(set *rules.Set, s convert.Source) (diag.List, error) {
	q.at, q.parts, q.items = map[string]bool{}, map[partLine]bool{}, map[string]bool{}
	var names []string // that the part could be called
	var view step.Text
	p, faults, err := set.Read(s.Open, s.Base, func(_ *step.Plan, o *step.Operation) error {
		q.count(o)
		for _, t := range o.Steps {
			if t.ID.Value == q.step {
				q.at[o.ID.Value], view = true, t.View
				names = append(names, q.take(o.ID.Value, q.step, t.Parts)...)
				names = append(names, q.take(o.ID.Value, "", o.Common.Parts)...)
			}
		}
		return nil
	})
	switch {
	case err != nil:
		return nil, fmt.Errorf("read the plan: %w", err)
	case p == nil:
		return faults, errRefusedPlan
	case len(q.at) == 0:
		return nil, usage("%s has no step %q%s", s.Base, q.step, orElse(q.step, q.steps, "; it has "+some(q.steps, "step")))
	case q.part != "" && len(q.parts) == 0:
		return nil, usage("step %q consumes no part %q%s", q.step, q.part, orElse(q.part, names, "; it consumes "+some(names, "part")))
	}
	q.elsewhere, q.overrules = drawnMotion(p, view, s.Base)
	return nil, nil
}

func (q *question) count(o *step.Operation) {
	q.operations++
	for _, t := range o.Steps {
		q.steps = append(q.steps, t.ID.Value)
	}
}

// take notes those of a step's parts that are asked for, and returns what each is
// called.
func (q *question) take(operation, step string, parts []step.Part) []string {
	var names []string
	for i, p := range parts {
		names = append(names, p.Item.Value)
		if q.part == "" || q.part == p.Item.Value || q.part == p.Find.Value {
			q.parts[partLine{operation, step, i + 1}] = true
			q.items[p.Item.Value] = true
		}
	}
	return names
}

// wanted reports whether something is asked of an object.
func (q *question) wanted(o rules.Object) bool {
	switch {
	case q.step == "" && q.part == "":
		return q.value != "" || o.Kind == "plan"
	case o.Kind == "occurrence":
		return false
	case q.step == "":
		return o.Item == q.part || o.Kind == "part" && o.ID == q.part
	case o.Item != "":
		return q.items[o.Item]
	case !q.at[o.Operation] || o.Step != "" && o.Step != q.step:
		return false
	}
	return q.part == "" || o.Kind == "part" && q.parts[partLine{o.Operation, o.Step, o.N}]
}

// explain gives what is told of what is asked for. The list is what is wrong with
// the plan.
func (q *question) explain(set *rules.Set, s convert.Source) ([]*rules.Explanation, diag.List, error) {
	if q.step != "" {
		if faults, err := q.look(set, s); err != nil {
			return nil, faults, err
		}
	}
	x := rules.NewExplainer(q.wanted, q.value)
	p, faults, err := convert.Map(set.Traced(q.reader(x)), s, q.until())
	switch {
	case errors.Is(err, errEnough):
	case err != nil:
		return nil, nil, fmt.Errorf("read the plan: %w", err)
	case p == nil:
		return nil, faults, errRefusedPlan
	case q.step == "" && q.part != "" && p.Items[q.part] == nil:
		items := slices.Sorted(maps.Keys(p.Items))
		return nil, nil, usage("%s has no item %q%s", s.Base, q.part, orElse(q.part, items, "; it has "+some(items, "item")))
	}
	list := x.Explanations()
	switch {
	case len(list) == 0 && q.value == "motion":
		return nil, nil, usage("no rule sets the motion of what was asked for\n%s", q.elsewhere)
	case len(list) == 0:
		return nil, nil, usage("nothing that was asked for has a value %q: no rule sets it, and none looks for it in what is there", q.value)
	}
	if q.step != "" {
		list = arranged(list)
	}
	return list, faults, nil
}

// reader hands the trace on. Of a value that is asked for all over the plan, what
// has none is of no interest; nor where each record of a large plan stands.
func (q *question) reader(x *rules.Explainer) rules.TraceReader {
	if q.step != "" || q.part != "" || q.value == "" {
		return x.Read
	}
	return func(e rules.Event) {
		if e.Kind == rules.ValueSet || e.Kind == rules.ValueOverridden || e.Kind == rules.ElementRead && e.Object.Kind == "item" {
			x.Read(e)
		}
	}
}

// errEnough ends the reading of a plan when all that is asked for has been read.
var errEnough = errors.New("enough")

func (q *question) until() func(*step.Plan, *step.Operation) error {
	if q.step == "" {
		return func(_ *step.Plan, o *step.Operation) error {
			q.count(o)
			return nil
		}
	}
	left := len(q.at)
	return func(_ *step.Plan, o *step.Operation) error {
		if q.at[o.ID.Value] {
			left--
		}
		if left == 0 {
			return errEnough
		}
		return nil
	}
}

// arranged puts each step before its operation, and each item behind the first part
// that consumes it.
func arranged(list []*rules.Explanation) []*rules.Explanation {
	items := map[string][]*rules.Explanation{}
	var steps, operations, out []*rules.Explanation
	for _, e := range list {
		switch {
		case e.Item != "":
			items[e.Item] = append(items[e.Item], e)
		case e.Step != "":
			steps = append(steps, e)
		default:
			operations = append(operations, e)
		}
	}
	for _, e := range append(steps, operations...) {
		out = append(out, e)
		if e.Kind == "part" {
			out = append(out, items[e.ID]...)
			delete(items, e.ID)
		}
	}
	// Those are left whose part is not explained: it has nothing of the value asked for.
	for _, id := range slices.Sorted(maps.Keys(items)) {
		out = append(out, items[id]...)
	}
	return out
}
