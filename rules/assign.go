package rules

import (
	"fmt"
	"maps"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/action"
	"planfold/rules/document"
)

// rule is an assigning rule.
type rule struct {
	name    string
	when    *condition // nil: always
	actions []action.Action
	stop    bool
	place   diag.Position
}

func (c *compiler) assigning(n *document.Node) {
	if n == nil || !c.faults.Is(document.List, n, "rules") {
		return
	}
	for _, e := range n.Values {
		c.assigningRule(e)
	}
}

func (c *compiler) assigningRule(n *document.Node) {
	if !c.faults.Keys(n, "a rule", ruleKeys.names()...) {
		return
	}
	r := &rule{name: c.faults.Text(c.faults.Need(n, "name", "a rule"), "name"), place: n.Position(-1)}
	forKind := c.faults.Need(n, "for", "a rule")
	kind := c.faults.OneOf(forKind, "for", action.Kinds...)
	if kind == "" && forKind != nil {
		// The rest of the rule is checked as for the kind that is most likely meant.
		kind = document.Nearest(forKind.Text, action.Kinds)
	}
	r.stop = c.faults.Bool(n.Get("stop"), "stop")
	set := c.faults.Need(n, "set", "a rule")
	if kind == "" {
		return
	}
	if w := n.Get("when"); w != nil {
		r.when = c.condition(w, kind, r.name)
	}
	if set != nil {
		r.actions = c.actions(set, kind)
		if set.Kind == document.Mapping && len(set.Keys) == 0 && !r.stop {
			c.faults.Add(diag.RuleValueInvalid, set, "the rule sets nothing; write what it sets, or \"stop: true\"")
		}
	}
	c.set.rules[kind] = append(c.set.rules[kind], r)
}

func (c *compiler) actions(n *document.Node, kind string) []action.Action {
	a := action.Compiler{
		Kind: kind, Metres: c.set.frame.metres, Text: c.text(kind), Tables: c.set.tables, Faults: c.faults,
		Uses: func(table string) { c.conditions.shown().asked[fieldOf{"tables", table}] = true },
		Tag:  c.tag, Language: c.set.language,
		Decimal: func(text string) (string, bool) { return decimalText(text, false) },
	}
	return a.Compile(n)
}

// AssignItems applies the assigning rules to the plan's items and occurrences, in
// place.
func (s *Set) AssignItems(p *step.Plan, facts step.Facts) diag.List {
	if len(s.rules["item"])+len(s.rules["occurrence"]) == 0 {
		return nil
	}
	a := assignment{Set: s, plan: p, facts: facts}
	// The order shows in diagnostics and the trace.
	for _, id := range slices.Sorted(maps.Keys(p.Items)) {
		i, who := p.Items[id], Object{Kind: "item", ID: id, Item: id}
		a.apply(who, action.Object{Plan: p, Item: i}, map[string]any{
			"item": a.object("item", i), "facts": a.factOf(i),
		})
		a.hidden(who, i.Hide, i.ID.Origin)
	}
	for _, within := range slices.Sorted(maps.Keys(p.Structure)) {
		for _, o := range p.Structure[within] {
			a.occurrence(o)
		}
	}
	return a.faults
}

// LeavesOut reports whether a rule may leave out a step or a part.
func (s *Set) LeavesOut() bool {
	return slices.ContainsFunc(slices.Concat(s.rules["operation"], s.rules["step"], s.rules["part"]), func(r *rule) bool {
		return slices.ContainsFunc(r.sets(), func(name string) bool { return name == "skip" || name == "choose" })
	})
}

func (a *assignment) occurrence(o *step.Occurrence) {
	i := itemOf(a.plan, o.Item)
	who := Object{Kind: "occurrence", ID: o.ID.Value, Item: o.Within.Value}
	a.apply(who, action.Object{Plan: a.plan, Occurrence: o, Item: i}, map[string]any{
		"occurrence": a.object("occurrence", o), "item": a.object("item", i), "facts": a.factOf(i),
	})
	a.hidden(who, o.Hide, o.ID.Origin)
}

func (a *assignment) hidden(who Object, h step.Text, at step.Origin) {
	if h.Given() {
		a.fault(diag.MapHidden, at, "%s is never drawn, by the rule %q: %s", who, h.Origin.Rule, h.Value)
	}
}

// Assign applies the assigning rules to an operation, its steps and what these
// have, in place. Operations of one plan may be assigned at the same time.
//
// Rules apply in their order, so that a later one overrides an earlier one, thing
// by thing, until a rule that fires says stop. Rules for an operation come before
// those for its steps, and these before those for their parts, characteristics and
// attachments.
func (s *Set) Assign(p *step.Plan, o *step.Operation, facts step.Facts) diag.List {
	a := assignment{Set: s, plan: p, facts: facts, operation: o}
	whole := Object{Kind: "operation", ID: o.ID.Value, Operation: o.ID.Value}
	a.apply(whole, action.Object{Plan: p, Operation: o}, nil)
	a.content(nil, &o.Common, whole)
	common := notCarried(a.faults)
	for i, t := range o.Steps {
		from := len(a.faults)
		who := Object{Kind: "step", ID: t.ID.Value, N: i + 1, Operation: o.ID.Value, Step: t.ID.Value}
		a.apply(who, action.Object{Plan: p, Operation: o, Step: t}, a.stepVariables(t))
		a.content(t, &t.Content, who)
		for i := from; i < len(a.faults); i++ {
			a.faults[i].Step = t.ID.Value
		}
		for _, d := range append(slices.Clone(common), notCarried(a.faults[from:])...) {
			d.Step = t.ID.Value
			t.Diagnostics.Add(d)
		}
	}
	a.chooseSteps()
	return a.faults
}

// planRules applies the rules for the plan, as soon as its head is complete.
func (m *mapping) planRules(p *step.Plan) {
	a := assignment{Set: m.Set, plan: p}
	a.apply(Object{Kind: "plan", ID: p.ID.Value}, action.Object{Plan: p}, nil)
	if h := p.Hold; h.Given() {
		a.fault(diag.MapPlanHeld, p.ID.Origin, "held by the rule %q: %s", h.Origin.Rule, h.Value)
	}
	m.faults = append(m.faults, a.faults...)
}

// assignment applies rules to the objects of one operation.
type assignment struct {
	*Set
	plan      *step.Plan
	operation *step.Operation
	facts     step.Facts
	faults    diag.List
}

func (a *assignment) stepVariables(s *step.Step) map[string]any {
	if s == nil {
		s = &step.Step{}
	}
	return map[string]any{"step": a.object("step", s)}
}

// content applies the rules for what a step has, or an operation for all its steps,
// and takes out what they leave out.
func (a *assignment) content(s *step.Step, c *step.Content, of Object) {
	a.parts(s, c, of)
	at := action.Object{Plan: a.plan, Operation: a.operation, Step: s}
	if len(a.rules["characteristic"]) > 0 {
		c.Characteristics = remaining(c.Characteristics, func(i int, x *step.Characteristic) bool {
			who, vars, at := inside(characteristicKind, x, i, of), a.stepVariables(s), at
			at.Characteristic, vars["characteristic"] = x, a.object("characteristic", x)
			a.apply(who, at, vars)
			return a.keep(diag.MapCharacteristicLeftOut, who, x.ID, x.ID.Origin, x.Skip)
		})
	}
	a.complete(s, c)
	if len(a.rules["attachment"]) > 0 {
		c.Attachments = remaining(c.Attachments, func(i int, x *step.Attachment) bool {
			who, vars, at := inside(attachmentKind, x, i, of), a.stepVariables(s), at
			at.Attachment, vars["attachment"] = x, a.object("attachment", x)
			a.apply(who, at, vars)
			return a.keep(diag.MapAttachmentLeftOut, who, x.File, x.File.Origin, x.Skip)
		})
	}
}

// remaining is a list without those that are not to be kept, in the same memory.
func remaining[T any](list []T, keep func(i int, e *T) bool) []T {
	out := list[:0]
	for i := range list {
		if keep(i, &list[i]) {
			out = append(out, list[i])
		}
	}
	clear(list[len(out):])
	return out
}

// keep reports what a rule leaves out.
func (a *assignment) keep(c *diag.Code, who Object, name step.Text, at step.Origin, skip step.Text) bool {
	if skip.Given() {
		a.fault(c, at, "%s (%q) is left out by the rule %q: %s", who, name.Value, skip.Origin.Rule, skip.Value)
	}
	return !skip.Given()
}

// parts applies the rules for parts and takes out those that are left out.
func (a *assignment) parts(s *step.Step, c *step.Content, of Object) {
	parts := c.Parts
	if len(a.rules["part"]) == 0 && !slices.ContainsFunc(parts, func(p step.Part) bool { return p.Alternative.Given() }) {
		return
	}
	who := func(i int) Object { return inside(partKind, &parts[i], i, of) }
	for i := range parts {
		p := &parts[i]
		item := itemOf(a.plan, p.Item)
		vars := a.stepVariables(s)
		vars["part"], vars["item"], vars["facts"] = a.object("part", p), a.object("item", item), a.factOf(item)
		a.apply(who(i), action.Object{Plan: a.plan, Operation: a.operation, Step: s, Part: p, Item: item}, vars)
	}
	a.chooseParts(parts, who)
	c.Parts = remaining(parts, func(i int, p *step.Part) bool {
		keep := a.keep(diag.MapPartLeftOut, who(i), p.Item, p.Origin, p.Skip)
		if !keep {
			c.LeftOut = append(c.LeftOut, *p)
		}
		return keep
	})
}

// inside names an object by its place among its like in what it belongs to.
func inside(k *kind, rec any, i int, of Object) Object {
	return Object{Kind: k.name, ID: identity(k, rec), N: i + 1, Operation: of.Operation, Step: of.Step}
}

func (a *assignment) fault(c *diag.Code, at step.Origin, format string, args ...any) {
	d := c.At(at.At(a.plan.Position.File), format, args...)
	d.Plan = a.plan.ID.Value
	a.faults.Add(d)
}

func (a *assignment) object(kind string, record any) *object { return &object{kind, record, a.plan} }

func (a *assignment) factOf(i *step.Item) *object {
	f, known := a.facts[i.ID.Value]
	return a.object("facts", &fact{f, known})
}

// apply runs the rules for one object.
func (a *assignment) apply(who Object, o action.Object, variables map[string]any) {
	rules := a.rules[who.Kind]
	if len(rules) == 0 {
		return
	}
	if variables == nil {
		variables = map[string]any{}
	}
	o.Variables = variables
	variables["plan"] = a.object("plan", a.plan)
	for _, c := range a.constants {
		variables[c] = constantObjects[c]
	}
	if a.operation != nil {
		variables["operation"] = a.object("operation", a.operation)
	}
	for i, r := range rules {
		fired := a.fires(r, who, variables)
		if a.trace.on() {
			a.tellFiring(r, who, o, fired, variables)
		}
		if !fired {
			continue
		}
		for _, act := range r.actions {
			a.do(act, r, who, o)
		}
		if r.stop {
			a.tellStopped(r, rules[i+1:], who, o)
			return
		}
	}
}

func (a *assignment) fires(r *rule, who Object, variables map[string]any) bool {
	if r.when == nil {
		return true
	}
	yes, err := r.when.holds(variables)
	if err != nil {
		a.fault(diag.MapConditionFailed, step.Origin{}, "the condition of rule %q (%s) could not be answered for %s: %v",
			r.name, r.place, who, err)
	}
	return yes
}

// do applies one action and tells the trace.
func (a *assignment) do(act action.Action, r *rule, who Object, o action.Object) {
	done, err := act.Apply(o, step.Origin{Rule: r.name})
	if err != nil {
		code := diag.MapActionFailed
		if act.Safety {
			code = diag.MapSafetyNotSet
		}
		a.fault(code, recordOf(o), "%s: the rule %q (%s) cannot set its %s: %v", who, r.name, r.place, act.Name, err)
	}
	if err != nil || done == (action.Done{}) || !a.trace.on() {
		return
	}
	e := Event{Kind: ValueOverridden, Object: who, Record: recordOf(o), Field: act.Name, Value: done.Was, Rule: r.name, Place: r.place, Origin: done.Replaced}
	if done.Replaced != (step.Origin{}) {
		a.trace.event(e)
	}
	e.Kind, e.Value, e.Origin = ValueSet, done.Says, step.Origin{Rule: r.name}
	a.trace.event(e)
}

// tellFiring tells whether a rule fired.
func (a *assignment) tellFiring(r *rule, who Object, o action.Object, fired bool, variables map[string]any) {
	e := Event{Kind: RuleFired, Object: who, Record: recordOf(o), Rule: r.name, Place: r.place, Sets: r.sets()}
	if !fired {
		e.Kind, e.Why = RuleNotFired, func() []string { return r.when.why(variables) }
	}
	a.trace.event(e)
}

// tellStopped tells of the rules that one which stops keeps from their turn.
func (a *assignment) tellStopped(by *rule, after []*rule, who Object, o action.Object) {
	if !a.trace.on() {
		return
	}
	why := func() []string { return []string{fmt.Sprintf("not reached: %q fired and stops", by.name)} }
	for _, r := range after {
		a.trace.event(Event{Kind: RuleNotFired, Object: who, Record: recordOf(o), Rule: r.name, Place: r.place, Sets: r.sets(), Why: why})
	}
}

// sets are the names of the rule's actions.
func (r *rule) sets() []string {
	var out []string
	for _, a := range r.actions {
		out = append(out, a.Name)
	}
	return out
}

// recordOf is where the plan names an object.
func recordOf(o action.Object) step.Origin {
	at := o.Plan.ID.Origin
	switch {
	case o.Attachment != nil:
		at = o.Attachment.File.Origin
	case o.Characteristic != nil:
		at = o.Characteristic.ID.Origin
	case o.Part != nil:
		at = o.Part.Origin
	case o.Step != nil:
		at = o.Step.ID.Origin
	case o.Operation != nil:
		at = o.Operation.ID.Origin
	case o.Occurrence != nil:
		at = o.Occurrence.ID.Origin
	case o.Item != nil:
		at = o.Item.ID.Origin
	}
	at.Rule = ""
	return at
}
