package rules

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/convert/step"
)

// head collects what operations refer to, on the first pass over a plan.
type head struct {
	m           *mapping
	document    *plan.Element // the root of the file
	plan        *step.Plan    // nil until it is found
	items       map[string]*step.Item
	occurrences []*step.Occurrence
	itemAt      map[int]step.Text        // ids by the sequence of the item's element
	inside      map[*step.Occurrence]int // sequence of the item's element around it
	views       map[string]*step.View
	operations  map[int]*outline       // by the sequence of the operation's element
	known       map[string]step.Origin // ids of operations, when the head is complete
	open        int                    // sequence of the plan's element, where most of its content is not read
}

// outlineFields are the fields of an operation that its outline needs.
var outlineFields = []string{"id", "parent", "order"}

// outline of an operation, known before any operation is mapped.
type outline struct {
	id      step.Text
	ordinal int       // among the operations of the plan, from 0
	skip    step.Text // why it does not hold for what is asked for
	order   string    // decimal, or ""
	within  string    // id of the parent that it names, or ""
	around  []int     // sequences of the elements around it that may be operations, the nearest first
	parent  *outline  // when the head is complete
}

func newHead(m *mapping) *head {
	return &head{m: m, items: map[string]*step.Item{}, itemAt: map[int]step.Text{}, inside: map[*step.Occurrence]int{}, views: map[string]*step.View{}, operations: map[int]*outline{}, open: -1}
}

// take is handed each record of the first pass. An element may be a record of
// several kinds.
func (h *head) take(e *plan.Element) error {
	h.m.root = e
	if h.m.refuses(e) {
		return plan.ErrNoRecord
	}
	if rec := h.m.first(h.m.plan, e); rec != nil {
		h.takePlan(rec.(*step.Plan), e)
	}
	if rec := h.m.first(h.m.items, e); rec != nil {
		h.takeItem(rec.(*step.Item), e)
	}
	if rec := h.m.first(h.m.occurrences, e); rec != nil {
		h.takeOccurrence(rec.(*step.Occurrence), e)
	}
	if rec := h.m.first(h.m.views, e); rec != nil {
		h.takeView(rec.(*view), e)
	}
	h.takeOutline(e)
	h.m.tell()
	return nil
}

// first is the record that the first fitting reading makes of an element, or nil.
func (m *mapping) first(readings []*reading, e *plan.Element) any {
	if r := m.fitting(readings, e); r != nil {
		return m.record(r, e)
	}
	return nil
}

// refuses reports whether an element that matches is no record all the same, as
// its content says.
func (m *mapping) refuses(e *plan.Element) bool {
	for _, readings := range m.readings() {
		if m.fitting(readings, e) != nil {
			return false
		}
	}
	return true
}

// fitting is the first reading that takes an element, or nil.
func (m *mapping) fitting(readings []*reading, e *plan.Element) *reading {
	for _, r := range readings {
		if r.match.Matches(e) && (r.where == nil || r.where.Bool(e)) {
			return r
		}
	}
	return nil
}

func (h *head) takePlan(p *step.Plan, e *plan.Element) {
	if h.plan != nil {
		h.m.fault(diag.MapPlanTwice, at(e), "this is a plan as well; the one in line %d counts", h.plan.Position.Line)
		h.m.told.leave(p)
		return
	}
	h.plan = p
	p.Position = at(e).At(h.m.file)
}

// takeOccurrence keeps an occurrence. Unless the rules say what it stands within,
// that is the item around it.
func (h *head) takeOccurrence(o *step.Occurrence, e *plan.Element) {
	h.occurrences = append(h.occurrences, o)
	if o.Within.Given() {
		return
	}
	for p := e.Parent; p != nil; p = p.Parent {
		if slices.ContainsFunc(h.m.items, func(r *reading) bool { return r.match.Matches(p) }) {
			h.inside[o] = p.Sequence
			return
		}
	}
}

func (h *head) takeItem(i *step.Item, e *plan.Element) {
	h.itemAt[e.Sequence] = i.ID
	if f := h.items[i.ID.Value]; f != nil {
		h.m.told.leave(i)
		if !bytes.Equal(content(f), content(i)) {
			h.m.fault(diag.MapItemTwice, at(e), "item %q stands in line %d already, and is not the same there", i.ID.Value, f.ID.Origin.Line)
		}
		return
	}
	h.items[i.ID.Value] = i
}

// content is what an item says, without the places where it says it.
func content(i *step.Item) []byte {
	type geometry struct {
		File, Node, Use step.Text
		Matrix          any
	}
	var gs []geometry
	for _, g := range i.Geometry {
		c := geometry{File: g.File, Node: g.Node, Use: g.Use}
		if g.Placement != nil {
			c.Matrix = g.Placement.Matrix
		}
		gs = append(gs, c)
	}
	b, err := json.Marshal([]any{i, gs})
	if err != nil {
		panic("rules: internal error: " + err.Error())
	}
	return b
}

func (h *head) takeView(v *view, e *plan.Element) {
	if f := h.views[v.ID.Value]; f != nil {
		h.m.fault(diag.MapViewTwice, at(e), "view %q stands in line %d already", v.ID.Value, f.ID.Origin.Line)
		h.m.told.leave(v)
		return
	}
	h.views[v.ID.Value] = &v.View
}

// takeOutline keeps an operation's id. All else of it is read on the second pass,
// which is also the one to report what is wrong with it.
func (h *head) takeOutline(e *plan.Element) {
	r := h.m.fitting(h.m.operations, e)
	if r == nil {
		return
	}
	o := &outline{}
	reported := len(h.m.faults)
	o.id, o.within = h.m.firstOf(r, "id", e), h.m.firstOf(r, "parent", e).Value
	h.m.faults = h.m.faults[:reported]
	o.skip = h.m.outlineEffectiveness(r, e)
	o.order, o.around = h.m.orderOf(r, e), h.around(e)
	if !o.id.Given() {
		o.id.Origin = at(e)
	}
	h.operations[e.Sequence] = o
}

// firstOf is the text that a field of a record would have.
func (m *mapping) firstOf(r *reading, field string, e *plan.Element) step.Text {
	b := r.binding(field)
	if b == nil {
		return step.Text{}
	}
	fs, _ := m.take(b, e)
	if len(fs) == 0 {
		return step.Text{}
	}
	return step.Text{Value: oneLine(fs[0].text), Origin: fs[0].origin}
}

// complete puts the head together. It is nil if the export is no plan.
func (h *head) complete() *step.Plan {
	p := h.plan
	switch {
	case p == nil:
		h.m.faults.Add(h.noPlan())
		return nil
	case !p.ID.Given():
		h.m.faults.Add(diag.MapPlanMissing.At(p.Position, "the plan has no id"))
		return nil
	}
	p.Items, p.Views, p.Frame = h.items, h.views, step.Frame{Up: h.m.frame.up, Units: h.m.frame.geometry}
	p.RevisionOrder = h.m.revisionOrder
	p.Structure = h.structure(p.Product.Value)
	h.checkProduct()
	h.itemAt, h.inside = nil, nil // as large as the plan has items
	h.nameOperations()
	h.narrowViews()
	return p
}

// noPlan says what the rules look for, and what the export is instead.
func (h *head) noPlan() diag.Diagnostic {
	var tried []string
	for _, r := range h.m.plan {
		tried = append(tried, fmt.Sprintf("%s (%s)", r.match, r.place))
	}
	space := "no namespace"
	if h.document.Name.Space != "" {
		space = fmt.Sprintf("the namespace %q", h.document.Name.Space)
	}
	return diag.MapPlanMissing.At(at(h.document).At(h.m.file), "no element is a plan by %s; the root is <%s> in %s", strings.Join(tried, " or "), h.document.Name.Local, space)
}

// structure orders the occurrences by what they stand in.
func (h *head) structure(product string) map[string][]*step.Occurrence {
	type key struct{ within, id string }
	first := map[key]*step.Occurrence{}
	out := map[string][]*step.Occurrence{}
	for _, o := range h.occurrences {
		if sequence, ok := h.inside[o]; ok {
			o.Within = h.itemAt[sequence]
		}
		k := key{o.Within.Value, o.ID.Value}
		if k.within == product {
			k.within = ""
		}
		if f := first[k]; f != nil {
			h.m.fault(diag.MapOccurrenceTwice, o.ID.Origin, "occurrence %q within %q stands in line %d already", k.id, k.within, f.ID.Origin.Line)
			continue
		}
		if h.items[o.Item.Value] == nil && len(h.m.items) > 0 {
			h.m.fault(diag.MapRefMissing, o.Item.Origin, "occurrence %q is of the item %q, which the plan does not define", k.id, o.Item.Value)
		}
		first[k] = o
		out[k.within] = append(out[k.within], o)
	}
	return out
}

// checkProduct misses a product that is neither an item nor what any occurrence stands
// in: by a wrong name the whole is empty. Of a plan without a structure nothing is lost,
// and many do not list among their items what they build.
func (h *head) checkProduct() {
	p := h.plan
	if p.Product.Given() && h.items[p.Product.Value] == nil && len(p.Structure) > 0 && p.Structure[""] == nil {
		h.m.fault(diag.MapRefMissing, p.Product.Origin, "the plan's product is %q, which is no item of the plan, and no occurrence stands in it", p.Product.Value)
	}
}

// nameOperations gives each operation its place and makes ids unique.
func (h *head) nameOperations() {
	all := h.inOrder()
	taken := map[string]step.Origin{}
	for _, o := range all {
		if o.id.Given() {
			if _, twice := taken[o.id.Value]; !twice {
				taken[o.id.Value] = o.id.Origin
			}
		}
	}
	h.known = taken
	for i, o := range all {
		o.ordinal = i
		given, from := o.id.Value, o.id.Origin
		if given != "" && taken[given] == from {
			continue
		}
		name := "operation"
		if given != "" {
			name = given
		}
		o.id.Value = free(taken, name, i+1)
		taken[o.id.Value] = from
		if given == "" {
			o.id.Origin.Rule = byOrder
			h.m.fault(diag.MapOperationUnnamed, from, "this operation has no id; it is named %q", o.id.Value)
			continue
		}
		h.m.fault(diag.MapOperationTwice, from, "operation %q stands in line %d already; this one is named %q", given, taken[given].Line, o.id.Value)
	}
}

// free is name.n, or with the next higher number that no one has.
func free(taken map[string]step.Origin, name string, n int) string {
	for ; ; n++ {
		s := fmt.Sprintf("%s.%d", name, n)
		if _, twice := taken[s]; !twice {
			return s
		}
	}
}

// byOrder is the origin of an id that the plan does not give: the place in it.
const byOrder = "order of the plan"
