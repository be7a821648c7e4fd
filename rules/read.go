package rules

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/convert/step"
)

// Read reads a plan: the head on a first pass, its operations on a second, each
// handed to emit when its element ends (so those inside come before the one
// around them; Operation.Sequence has their place). Where the rules have joins,
// a pass of their own comes before, since a record of a join may stand inside
// another record that must stay whole, unless their records' start tags tell all.
//
// The head is nil, and nothing is emitted, if the export cannot be read to its end
// or is no plan. The list holds every diagnostic; those about a step that say that
// something is not as given stand on the step as well.
func (s *Set) Read(open func() (io.ReadCloser, error), name string, emit func(*step.Plan, *step.Operation) error) (*step.Plan, diag.List, error) {
	m := s.mapping(name)
	passBeside := func(pick func(*plan.Element) plan.Take, take func(*plan.Element) error, beside func(*plan.Element, string, int, int)) (diag.List, error) {
		f, err := open()
		if err != nil {
			return nil, err
		}
		defer f.Close()
		return plan.PickBeside(f, name, pick, take, beside)
	}
	pass := func(pick func(*plan.Element) plan.Take, take func(*plan.Element) error) (diag.List, error) {
		return passBeside(pick, take, nil)
	}
	if len(s.joins) > 0 && !s.passes.joinsWithHead() {
		if faults, err := pass(s.pickJoined, m.takeJoined); err != nil || faults.HasError() {
			return nil, faults, err
		}
	}
	h := newHead(m)
	faults, err := pass(h.pick, h.take)
	if err != nil || faults.HasError() {
		return nil, faults, err
	}
	m.faults = append(faults, m.faults...)
	p := h.complete()
	if p == nil {
		return nil, m.faults, nil
	}
	m.stamp(0, p.ID.Value, "")
	m.planRules(p)
	o := operations{m: m, head: h, plan: p, emit: emit, vital: s.vitalJoins(), placed: map[string]map[string]*step.Occurrence{}}
	again, err := passBeside(s.pickOperation, o.take, o.beside)
	if err == nil && again.HasError() {
		err = fmt.Errorf("%s changed while it was read: %s", name, again[0])
	}
	if err != nil {
		return nil, m.faults, err
	}
	m.countPlan()
	m.remarkNoQuantity(p) // before others are added: it takes some away
	reported := len(m.faults)
	m.remarkUnused(o.vital)
	m.stamp(reported, p.ID.Value, "")
	slices.SortStableFunc(m.faults, func(a, b diag.Diagnostic) int {
		return cmp.Or(cmp.Compare(a.Position.Line, b.Position.Line), cmp.Compare(a.Position.Column, b.Position.Column))
	})
	return p, m.faults, nil
}

func (s *Set) isJoined(e *plan.Element) bool {
	return slices.ContainsFunc(s.joins, func(j *join) bool { return j.match.Matches(e) })
}

// takeJoined keeps the values that fields take from a join's record.
func (m *mapping) takeJoined(e *plan.Element) error {
	for _, j := range m.joins {
		if !j.match.Matches(e) {
			continue
		}
		m.tellJoined(j, j.matchAt)
		var keys []string
		for _, k := range j.key.Select(e) {
			if key := strings.TrimSpace(k.Value()); key != "" {
				m.tellJoined(j, j.keyAt)
				keys = append(keys, key)
				if j.whole {
					m.keep(j, key, e)
				}
			}
		}
		if m.joined[j] == nil {
			m.joined[j] = &joined{byKey: map[string]keyed{}, slots: len(j.values)}
		}
		m.joined[j].add(func(slot int) []found { return m.along(j.values[slot], e) }, keys)
	}
	return nil
}

func (m *mapping) tellJoined(j *join, place diag.Position) {
	if m.trace.on() {
		m.trace.event(Event{Kind: ElementJoined, Rule: "joins." + j.name, Place: place})
	}
}

// operations maps the operations of the second pass.
type operations struct {
	m    *mapping
	head *head
	plan *step.Plan
	emit func(*step.Plan, *step.Operation) error

	vital  map[*join]*reading                     // see vitalJoins
	stepAt []*plan.Element                        // of the steps of the operation that is read
	placed map[string]map[string]*step.Occurrence // by what they are within, as it is asked for, and by id
}

func (o *operations) take(e *plan.Element) error {
	o.m.root = e
	if o.m.refuses(e) {
		return plan.ErrNoRecord
	}
	line := o.head.operations[e.Sequence]
	if line == nil {
		return nil
	}
	r := o.m.fitting(o.m.operations, e)
	if r == nil {
		return nil
	}
	op := o.operation(r, e, line)
	o.m.noteNames(e)
	o.m.tell()
	return o.emit(o.plan, op)
}

// operation reads an operation and its steps.
func (o *operations) operation(r *reading, e *plan.Element, line *outline) *step.Operation {
	m := o.m
	from := len(m.faults)
	m.absent = m.absent[:0]
	op := m.record(r, e).(*step.Operation)
	op.ID, op.Sequence = line.id, line.ordinal
	if !op.Parent.Given() {
		op.Parent = o.parent(e)
	}
	for i := range op.Common.Parts {
		op.Common.Parts[i].PartsOf = "operation"
	}
	o.checkOperation(op)
	m.stamp(from, o.plan.ID.Value, "")
	common := notCarried(m.faults[from:])
	o.stepAt = o.stepAt[:0]
	if b := r.binding("steps"); b != nil {
		o.steps(op, b, e, common)
	}
	o.noteNamed(op, e)
	o.showContent(op, r, e)
	leaveOutSteps(op, line.leftOut())
	if list := o.warnings(e); len(list) > 0 && !line.leftOut().Given() {
		o.remarkWarnings(op, list, from)
	}
	return op
}

// showContent gives an operation that has hazards, parts or the like for its steps,
// and no step, one of its own, so that they are shown.
func (o *operations) showContent(op *step.Operation, r *reading, e *plan.Element) {
	if len(op.Steps) > 0 {
		return
	}
	var names []string
	for _, b := range r.bindings {
		if b.field.typ == records && b.field.of != effectivityKind && len(b.field.entries(op)) > 0 {
			names = append(names, b.field.name)
		}
	}
	if len(names) == 0 {
		return
	}
	from, place := len(o.m.faults), at(e)
	o.m.fault(diag.MapOperationEmpty, place, "operation %q has %s for its steps, and no step", op.ID.Value, strings.Join(names, ", "))
	o.m.stamp(from, o.plan.ID.Value, "")
	id := step.Text{Value: op.ID.Value + ".1", Origin: step.Origin{Line: place.Line, Column: place.Column, Rule: byOrder}}
	s := &step.Step{ID: id, IDFrom: "order", Title: op.Title}
	op.Steps = append(op.Steps, s)
	o.m.told.add(stepKind, s, e)
}

// parent is the id of the nearest operation around an element.
func (o *operations) parent(e *plan.Element) step.Text {
	for p := e.Parent; p != nil; p = p.Parent {
		if line := o.head.operations[p.Sequence]; line != nil {
			return line.id
		}
	}
	return step.Text{}
}

// steps reads the steps of an operation. What could not be carried over of the
// operation is missing from each of them.
func (o *operations) steps(op *step.Operation, b *binding, e *plan.Element, common diag.List) {
	m := o.m
	taken := map[string]step.Origin{}
	n := 0
	entries := m.entries(b.inside, e)
	if slices.ContainsFunc(b.inside, func(r *reading) bool { return r.binding("order") != nil }) {
		sortByOrder(entries, func(x entry) string { return m.entryOrder(x) })
	}
	for _, x := range entries {
		from := len(m.faults)
		rec := m.entryRecord(x)
		if rec == nil {
			continue
		}
		n++
		s := rec.(*step.Step)
		o.nameStep(op, s, n, at(x.place()), taken)
		m.remarkRepeated(s)
		o.checkStep(op, s)
		m.stamp(from, o.plan.ID.Value, s.ID.Value)
		s.Diagnostics = append(slices.Clone(common), notCarried(m.faults[from:])...)
		for i := range s.Diagnostics {
			s.Diagnostics[i].Step = s.ID.Value
		}
		op.Steps, o.stepAt = append(op.Steps, s), append(o.stepAt, x.element)
	}
}

// nameStep gives a step without an id, or with one that is taken, its name by
// order.
func (o *operations) nameStep(op *step.Operation, s *step.Step, n int, place step.Origin, taken map[string]step.Origin) {
	first, twice := taken[s.ID.Value]
	if twice {
		o.m.fault(diag.MapStepTwice, s.ID.Origin, "step %q of operation %q stands in line %d already; this one is named %q, by its place",
			s.ID.Value, op.ID.Value, first.Line, free(taken, op.ID.Value, n))
	}
	if twice || !s.ID.Given() {
		if !s.ID.Given() {
			s.ID.Origin = step.Origin{Line: place.Line, Column: place.Column, Rule: byOrder}
		}
		s.ID.Value = free(taken, op.ID.Value, n)
		s.IDFrom = "order"
	}
	taken[s.ID.Value] = s.ID.Origin
}

// stamp says of the faults from an index on which plan and step they are about.
func (m *mapping) stamp(from int, plan, step string) {
	for i := from; i < len(m.faults); i++ {
		m.faults[i].Plan, m.faults[i].Step = plan, step
	}
}

// notCarried are the faults that leave something out or change it.
func notCarried(faults diag.List) diag.List {
	var out diag.List
	for _, d := range faults {
		if d.Severity > diag.Info {
			out.Add(d)
		}
	}
	return out
}

func (o *operations) checkOperation(op *step.Operation) {
	// Without occurrences a dialect has no structure that what is built could be part of.
	if b := op.Builds; b.Given() && b.Value != o.plan.Product.Value && len(o.m.occurrences) > 0 &&
		o.plan.Items[b.Value] == nil && o.plan.Structure[b.Value] == nil {
		o.m.fault(diag.MapRefMissing, b.Origin, "operation %q builds %q, which the plan does not define", op.ID.Value, b.Value)
	}
	who := "operation " + strconv.Quote(op.ID.Value)
	o.m.checkLimits(op.Common.Characteristics, who)
	o.checkParts(op, op.Common.Parts, who)
}

func (o *operations) checkStep(op *step.Operation, s *step.Step) {
	who := "step " + strconv.Quote(s.ID.Value)
	if s.View.Given() && o.plan.Views[s.View.Value] == nil {
		o.m.fault(diag.MapRefMissing, s.View.Origin, "%s is shown in the view %q, which the plan does not define", who, s.View.Value)
	}
	s.Tightening = slices.DeleteFunc(s.Tightening, func(t step.Tightening) bool {
		_, kept := o.checkPath(op, t.Occurrence, who+" tightens")
		return !kept
	})
	o.m.checkLimits(s.Characteristics, who)
	o.checkParts(op, s.Parts, who)
	o.m.checkTightening(s, who)
}

func (o *operations) checkParts(op *step.Operation, parts []step.Part, who string) {
	for i := range parts {
		p := &parts[i]
		if p.Item.Given() && o.plan.Items[p.Item.Value] == nil && len(o.m.items) > 0 {
			o.m.fault(diag.MapRefMissing, p.Item.Origin, "%s consumes %q, which the plan does not define", who, p.Item.Value)
		}
		if _, known := o.head.known[p.Operation.Value]; p.Operation.Given() && !known {
			o.m.fault(diag.MapRefMissing, p.Operation.Origin, "%s consumes what operation %q builds, which the plan does not have", who, p.Operation.Value)
		}
		p.Occurrences = slices.DeleteFunc(p.Occurrences, func(path step.Text) bool {
			at, kept := o.checkPath(op, path, who+" consumes")
			o.m.checkOccurrence(p, path, at, who)
			return !kept
		})
		o.m.checkQuantity(p, who)
	}
}

// checkPath follows an occurrence path down from what the operation builds, to the
// occurrence, if there is one. It is not kept if that was left out: what refers to it
// goes too.
func (o *operations) checkPath(op *step.Operation, path step.Text, who string) (at *step.Occurrence, kept bool) {
	if len(o.m.occurrences) == 0 {
		return nil, true
	}
	within := op.Builds.Value
	if within == o.plan.Product.Value {
		within = ""
	}
	for _, id := range strings.Split(path.Value, "/") {
		c := o.occurrence(within, id)
		if c == nil && o.m.refersToLeftOut(path) {
			o.m.fault(diag.MapNotEffective, path.Origin, "%s the occurrence %q, which is left out", who, path.Value)
			return nil, false
		}
		if c == nil {
			o.m.fault(diag.MapRefMissing, path.Origin, "%s the occurrence %q, which is not in what operation %q builds", who, path.Value, op.ID.Value)
			return nil, true
		}
		at, within = c, c.Item.Value
	}
	return at, true
}

// occurrence is the one of an id within an item, or nil.
func (o *operations) occurrence(within, id string) *step.Occurrence {
	if byID, ok := o.placed[within]; ok {
		return byID[id]
	}
	all := o.plan.Structure[within]
	byID := make(map[string]*step.Occurrence, len(all))
	for _, c := range all {
		if byID[c.ID.Value] == nil {
			byID[c.ID.Value] = c
		}
	}
	o.placed[within] = byID
	return byID[id]
}
