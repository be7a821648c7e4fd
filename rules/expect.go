package rules

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"cel.dev/cel-go/cel"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/document"
)

// Expectations are what must be true of plans once rules have turned them into
// steps. They change nothing; check holds them.

// expectation is one of them.
type expectation struct {
	name   string
	plan   string // id; "": every plan
	kind   string // of object
	when   *condition
	expect *condition
	rules  []setter // that may set what it asks for
	reads  []source // where the plan is looked at for it
}

// setter is a rule for a kind of object.
type setter struct {
	*rule
	kind string
}

// source is where the rules look for a field of a kind of object.
type source struct {
	kind   string
	field  *field
	places []diag.Position
}

// resultVariables are what expectations see, by the kind of object.
var resultVariables = map[string][]string{
	"plan":      {"plan", "items", "operations", "steps"},
	"item":      {"plan", "item"},
	"operation": {"plan", "operation"},
	"step":      {"plan", "operation", "step"},
	"part":      {"plan", "operation", "step", "part", "item"},
}

var expectationKinds = []string{"plan", "item", "operation", "step", "part"}

func (c *compiler) expectations(n *document.Node) {
	if n == nil || !c.faults.Is(document.List, n, "expectations") {
		return
	}
	on := &conditions{sees: resultVariables, model: c.conditions.shown(), envs: map[string]*cel.Env{}}
	for _, e := range n.Values {
		c.expectation(on, e)
	}
}

func (c *compiler) expectation(on *conditions, n *document.Node) {
	if !c.faults.Keys(n, "an expectation", expectationKeys.names()...) {
		return
	}
	x := &expectation{kind: "plan", name: c.faults.Text(c.faults.Need(n, "name", "an expectation"), "name"), plan: c.faults.Text(n.Get("plan"), "plan")}
	if f := n.Get("for"); f != nil {
		if x.kind = c.faults.OneOf(f, "for", expectationKinds...); x.kind == "" {
			return
		}
	}
	if w := n.Get("when"); w != nil {
		x.when = c.question(on, w, x.kind, x.name)
	}
	if e := c.faults.Need(n, "expect", "an expectation"); e != nil {
		x.expect = c.question(on, e, x.kind, x.name)
	}
	if x.expect == nil {
		return
	}
	c.set.expectations = append(c.set.expectations, x)
}

// linkExpectations finds the rules that may set what each expectation looks at, of
// the object that it is about and of what that stands in.
func (s *Set) linkExpectations() {
	for _, x := range s.expectations {
		_, fields := x.expect.looksAt()
		for _, of := range resultVariables[x.kind] {
			x.reads = append(x.reads, s.sourcesOf(of, fields)...)
			for _, kind := range setBy(of) {
				for _, r := range s.rules[kind] {
					if r.maySet(of, fields) {
						x.rules = append(x.rules, setter{r, kind})
					}
				}
			}
		}
	}
}

// sourcesOf are those of the fields of a kind of object, each place once.
func (s *Set) sourcesOf(kind string, fields map[fieldOf]bool) []source {
	var out []source
	for _, k := range kinds() {
		for _, f := range k.fields {
			if k.name != kind || !fields[fieldOf{kind, f.name}] || celType(f) == nil {
				continue
			}
			from := source{kind: kind, field: f}
			s.eachReading(func(r *reading) {
				if b := r.binding(f.name); b != nil && b.field == f && !slices.Contains(from.places, b.place) {
					from.places = append(from.places, b.place)
				}
			})
			out = append(out, from)
		}
	}
	return out
}

// setBy lists the kinds of rules that set something on a kind of object.
func setBy(kind string) []string {
	if kind == "step" {
		return []string{"operation", "step"}
	}
	return []string{kind}
}

// maySet reports whether a rule has an action on one of the fields of a kind of
// object: it is named as the field, or as one entry of it.
func (r *rule) maySet(kind string, fields map[fieldOf]bool) bool {
	for _, a := range r.actions {
		if fields[fieldOf{kind, a.Name}] || fields[fieldOf{kind, a.Name + "s"}] {
			return true
		}
	}
	return false
}

// wholePlan reports whether it asks for all operations or steps together.
func (x *expectation) wholePlan() bool {
	for _, c := range []*condition{x.when, x.expect} {
		if c == nil {
			continue
		}
		if seen, _ := c.looksAt(); seen["operations"] || seen["steps"] {
			return true
		}
	}
	return false
}

// expecting holds the expectations against one plan.
type expecting struct {
	set     *Set
	held    map[*expectation]int
	history map[thing][]Event // what rules did: of items and the plan, and of the operation at hand
	kept    []*step.Operation
	failed  diag.List
}

// thing is an object of one kind by its place in the plan.
type thing struct {
	kind         string
	line, column int
}

func thingAt(kind string, at step.Origin) thing { return thing{kind, at.Line, at.Column} }

// event keeps what a rule did that an expectation may ask after.
func (h *expecting) event(e Event) {
	if e.Kind != ValueSet && e.Kind != RuleFired && e.Kind != RuleNotFired {
		return
	}
	for _, x := range h.set.expectations {
		if slices.ContainsFunc(x.rules, func(r setter) bool { return r.name == e.Rule && r.place == e.Place }) {
			who := thingAt(e.Object.Kind, e.Record)
			h.history[who] = append(h.history[who], e)
			return
		}
	}
}

func (h *expecting) wants(p *step.Plan, x *expectation) bool {
	return x.plan == "" || x.plan == p.ID.Value
}

// operation holds the expectations for an operation, its steps and their parts.
// Steps that are left out are none of the result.
func (h *expecting) operation(p *step.Plan, o *step.Operation) {
	if len(h.set.expectations) == 0 {
		return
	}
	whole := *o
	whole.Steps = slices.DeleteFunc(slices.Clone(o.Steps), func(s *step.Step) bool { return s.Skip.Given() })
	defer h.forget()
	if len(o.Steps) > 0 && len(whole.Steps) == 0 {
		return
	}
	h.about(p, subject{"operation", "operation " + o.ID.Value, o.ID.Origin, ""}, h.sees(p, &whole, nil, nil))
	h.parts(p, &whole, nil, whole.Common.Parts, "operation "+o.ID.Value)
	for _, s := range whole.Steps {
		h.about(p, subject{"step", "step " + s.ID.Value, s.ID.Origin, s.ID.Value}, h.sees(p, &whole, s, nil))
		h.parts(p, &whole, s, s.Parts, "step "+s.ID.Value)
	}
	if slices.ContainsFunc(h.set.expectations, func(x *expectation) bool { return x.kind == "plan" && h.wants(p, x) && x.wholePlan() }) {
		h.kept = append(h.kept, &whole)
	}
}

// forget drops what rules did in the operation at hand.
func (h *expecting) forget() {
	for who := range h.history {
		if who.kind != "plan" && who.kind != "item" {
			delete(h.history, who)
		}
	}
}

func (h *expecting) parts(p *step.Plan, o *step.Operation, s *step.Step, parts []step.Part, of string) {
	id := ""
	if s != nil {
		id = s.ID.Value
	}
	for i := range parts {
		h.about(p, subject{"part", fmt.Sprintf("part %d of %s", i+1, of), parts[i].Origin, id}, h.sees(p, o, s, &parts[i]))
	}
}

// end holds the expectations for items and for the plan.
func (h *expecting) end(p *step.Plan) {
	if len(h.set.expectations) == 0 {
		return
	}
	for _, id := range slices.Sorted(maps.Keys(p.Items)) {
		i := p.Items[id]
		vars := h.sees(p, nil, nil, nil)
		vars["item"] = &object{"item", i, p}
		h.about(p, subject{"item", "item " + id, i.ID.Origin, ""}, vars)
	}
	vars := h.sees(p, nil, nil, nil)
	var items, operations, steps []any
	for _, id := range slices.Sorted(maps.Keys(p.Items)) {
		items = append(items, &object{"item", p.Items[id], p})
	}
	slices.SortFunc(h.kept, func(a, b *step.Operation) int { return a.Sequence - b.Sequence })
	for _, o := range h.kept {
		operations = append(operations, &object{"operation", o, p})
		for _, s := range o.Steps {
			steps = append(steps, &object{"step", s, p})
		}
	}
	vars["items"], vars["operations"], vars["steps"] = items, operations, steps
	h.about(p, subject{"plan", "plan", p.ID.Origin, ""}, vars)
}

func (h *expecting) sees(p *step.Plan, o *step.Operation, s *step.Step, part *step.Part) map[string]any {
	vars := map[string]any{"plan": &object{"plan", p, p}}
	for _, c := range constants {
		vars[c] = constantObjects[c]
	}
	if o != nil {
		vars["operation"] = &object{"operation", o, p}
	}
	if s == nil {
		s = &step.Step{}
	}
	vars["step"] = &object{"step", s, p}
	if part != nil {
		vars["part"], vars["item"] = &object{"part", part, p}, &object{"item", itemOf(p, part.Item), p}
	}
	return vars
}

// subject is what an expectation is about.
type subject struct {
	kind string
	name string
	at   step.Origin
	step string // its id
}

// about holds all expectations for one object.
func (h *expecting) about(p *step.Plan, of subject, vars map[string]any) {
	for _, x := range h.set.expectations {
		if x.kind != of.kind || !h.wants(p, x) {
			continue
		}
		if x.when != nil {
			applies, err := x.when.holds(vars)
			if err != nil {
				h.fail(p, x, of, x.when, vars, "whether it applies could not be answered: "+err.Error())
			}
			if !applies {
				continue
			}
		}
		h.held[x]++
		switch holds, err := x.expect.holds(vars); {
		case err != nil:
			h.fail(p, x, of, x.expect, vars, "it could not be answered: "+err.Error())
		case !holds:
			h.fail(p, x, of, x.expect, vars, strings.Join(x.expect.why(vars), "; "))
		}
	}
}

// fail reports an expectation that does not hold, with what it is about and what
// the rules did there.
func (h *expecting) fail(p *step.Plan, x *expectation, of subject, c *condition, vars map[string]any, why string) {
	d := diag.RuleExpectationFailed.At(c.node.Position(0), "%q does not hold for %s of plan %q: %s", x.name, of.name, p.ID.Value, why)
	if x.kind == "plan" {
		d.Message = fmt.Sprintf("%q does not hold for plan %q: %s", x.name, p.ID.Value, why)
	}
	d.Plan, d.Step = p.ID.Value, of.step
	if at := of.at; at.Line > 0 {
		d = d.Seeing(diag.Related{Position: at.At(p.Position.File), Message: of.name})
	}
	for _, s := range x.reads {
		if o, ok := vars[s.kind].(*object); ok && empty(shown(o, s.field)) {
			for _, at := range s.places {
				d = d.Seeing(diag.Related{Position: at, Message: fmt.Sprintf("%s.%s is looked for here, and not found", s.kind, s.field.name)})
			}
		}
	}
	for _, r := range x.rules {
		d = d.Seeing(diag.Related{Position: r.place, Message: fmt.Sprintf("rule %q %s", r.name, h.did(r, vars))})
	}
	h.failed.Add(d)
}

// did says what a rule did to the object, or to what the object stands in.
func (h *expecting) did(r setter, vars map[string]any) string {
	who := thing{}
	if o, ok := vars[r.kind].(*object); ok {
		who = thingAt(r.kind, recordAt(o.record))
	}
	out := "was not reached"
	for _, e := range h.history[who] {
		switch {
		case e.Rule != r.name:
		case e.Kind == ValueSet && out == "fired":
			out = fmt.Sprintf("set %s to %q", e.Field, e.Value)
		case e.Kind == ValueSet:
			out += fmt.Sprintf(", %s to %q", e.Field, e.Value)
		case e.Kind == RuleFired:
			out = "fired"
		case r.when != nil:
			out = "did not fire: " + strings.Join(r.when.why(withFacts(vars)), "; ")
		}
	}
	return out
}

// recordAt is where the plan names a record, as the trace says it.
func recordAt(record any) step.Origin {
	switch r := record.(type) {
	case *step.Plan:
		return r.ID.Origin
	case *step.Item:
		return r.ID.Origin
	case *step.Operation:
		return r.ID.Origin
	case *step.Step:
		return r.ID.Origin
	case *step.Part:
		return r.Origin
	}
	return step.Origin{}
}

// withFacts adds what nothing is known of here.
func withFacts(vars map[string]any) map[string]any {
	out := maps.Clone(vars)
	out["facts"] = &object{"facts", &fact{}, nil}
	return out
}

// unmet finds expectations that were held against nothing.
func (v *Survey) unmet() diag.List {
	var out diag.List
	for _, x := range v.set.expectations {
		switch at := x.expect.node.Position(0); {
		case x.plan != "" && !v.ids[x.plan]:
			out.Add(diag.RuleExpectationAbsent.At(at, "%q is for the plan %q, which is not given", x.name, x.plan))
		case v.counts.held[x] == 0:
			out.Add(diag.RuleExpectationIdle.At(at, "%q was held against no %s in %s", x.name, x.kind, v.given()))
		}
	}
	return out
}
