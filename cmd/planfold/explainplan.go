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

// question is what is asked of a plan, and what a first look at it found. The trace
// is never kept whole: a second look keeps what is told of the objects asked for.
type question struct {
	explainOptions
	plan       *step.Plan
	operations int
	steps      []string // ids of all steps
	at         map[string]bool
	parts      map[partLine]bool
	items      map[string]bool
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
	q := question{explainOptions: o, at: map[string]bool{}, parts: map[partLine]bool{}, items: map[string]bool{}}
	if err := q.look(c, set, s); err != nil {
		return err
	}
	list, faults, err := q.explain(set, s)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		return usage("nothing that was asked for has a value %q: no rule sets it, and none looks for it in what is there", o.value)
	}
	messages := printing{w: c.ErrOrStderr(), files: planTexts([]convert.Source{s})}
	messages.list(slices.DeleteFunc(faults, func(d diag.Diagnostic) bool { return o.step == "" || d.Step != o.step }))
	if o.format == "json" {
		text, err := schema.Encode(explained{"planfold/explain/1", s.Base, q.plan.ID.Value, list})
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
	Plan    string               `json:"plan"`
	Objects []*rules.Explanation `json:"objects"`
}

// look reads the plan for what is asked for, and refuses what is not in it.
func (q *question) look(c *cobra.Command, set *rules.Set, s convert.Source) error {
	var near []string // what else the part could be called
	p, faults, err := set.Read(s.Open, s.Base, func(_ *step.Plan, o *step.Operation) error {
		q.operations++
		for _, t := range o.Steps {
			q.steps = append(q.steps, t.ID.Value)
			if t.ID.Value == q.step && q.step != "" {
				q.at[o.ID.Value] = true
				near = append(near, q.take(o.ID.Value, q.step, t.Parts)...)
				near = append(near, q.take(o.ID.Value, "", o.Common.Parts)...)
			}
		}
		return nil
	})
	switch {
	case err != nil:
		return fmt.Errorf("read the plan: %w", err)
	case p == nil:
		printing{w: c.ErrOrStderr(), files: planTexts([]convert.Source{s})}.list(faults)
		return &statusError{statusLeftOut, errors.New("the plan is refused")}
	case q.step != "" && len(q.at) == 0:
		return usage("%s has no step %q%s", s.Base, q.step, orElse(q.step, q.steps, "; it has "+some(q.steps, "step")))
	case q.step != "" && q.part != "" && len(q.parts) == 0:
		return usage("step %q consumes no part %q%s", q.step, q.part, orElse(q.part, near, "; it consumes "+some(near, "part")))
	case q.step == "" && q.part != "" && p.Items[q.part] == nil:
		items := slices.Sorted(maps.Keys(p.Items))
		return usage("%s has no item %q%s", s.Base, q.part, orElse(q.part, items, "; it has "+some(items, "item")))
	}
	q.plan = p
	return nil
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
	case q.step == "":
		return o.Item == q.part || o.Kind == "part" && o.ID == q.part
	case o.Item != "":
		return q.items[o.Item]
	case !q.at[o.Operation] || o.Step != "" && o.Step != q.step:
		return false
	}
	return q.part == "" || o.Kind == "part" && q.parts[partLine{o.Operation, o.Step, o.N}]
}

func (q *question) explain(set *rules.Set, s convert.Source) ([]*rules.Explanation, diag.List, error) {
	x := rules.NewExplainer(q.wanted, q.value)
	read := x.Read
	if q.step == "" && q.part == "" && q.value != "" {
		// Of a whole plan, what there is no value of is of no interest.
		read = func(e rules.Event) {
			if e.Kind == rules.ValueSet || e.Kind == rules.ValueOverridden {
				x.Read(e)
			}
		}
	}
	_, faults, err := convert.Map(set.Traced(read), s, func(*step.Plan, *step.Operation) error { return nil })
	if err != nil {
		return nil, nil, fmt.Errorf("read the plan: %w", err)
	}
	list := x.Explanations()
	if q.step != "" {
		list = arranged(list)
	}
	return list, faults, nil
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
