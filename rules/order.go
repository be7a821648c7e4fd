package rules

import (
	"maps"
	"slices"

	"planfold/convert/plan"
	"planfold/convert/step"
)

// Records that give their order as a number are sorted by it among their siblings.
// Those that give none keep their places, and so do those whose number is none.

// orderOf is the number that an element gives for its order as a record, or "". What
// is wrong with it is reported when the record is read.
func (m *mapping) orderOf(r *reading, e *plan.Element) string {
	b := r.binding("order")
	if b == nil {
		return ""
	}
	reported, got := len(m.faults), len(m.got)
	defer func() { m.faults, m.got = m.faults[:reported], m.got[:got] }()
	var order step.Text
	if fs, v := m.take(b, e); len(fs) > 0 {
		m.setText(&order, r.kind, b, v, fs)
	}
	return order.Value
}

// entryOrder is that of an entry, whose number may stand at what refers to it.
func (m *mapping) entryOrder(x entry) string {
	if x.reading.join != nil {
		defer m.into(x)()
	}
	return m.orderOf(x.reading, x.element)
}

// sortByOrder sorts those that have an order among the places that they take.
func sortByOrder[T any](all []T, order func(T) string) {
	type one struct {
		is    T
		order string
	}
	var places []int
	var ordered []one
	for i, x := range all {
		if n := order(x); n != "" {
			places, ordered = append(places, i), append(ordered, one{x, n})
		}
	}
	slices.SortStableFunc(ordered, func(a, b one) int { return compareDecimals(a.order, b.order) })
	for i, x := range ordered {
		all[places[i]] = x.is
	}
}

// inOrder lists the operations in the plan's order, each followed by those inside it.
// Where none has a number that is the document's order.
func (h *head) inOrder() []*outline {
	all := h.inDocument()
	h.findParents(all)
	if !slices.ContainsFunc(all, func(o *outline) bool { return o.order != "" }) {
		return all
	}
	inside := map[*outline][]*outline{}
	for _, o := range all {
		inside[o.parent] = append(inside[o.parent], o)
	}
	out := make([]*outline, 0, len(all))
	listed := map[*outline]bool{}
	var list func(*outline)
	list = func(parent *outline) {
		siblings := inside[parent]
		sortByOrder(siblings, func(o *outline) string { return o.order })
		for _, o := range siblings {
			if !listed[o] {
				listed[o] = true
				out = append(out, o)
				list(o)
			}
		}
	}
	list(nil)
	// Those whose parents stand in each other hang on nothing.
	for _, o := range all {
		if !listed[o] {
			listed[o] = true
			out = append(out, o)
			list(o)
		}
	}
	return out
}

func (h *head) inDocument() []*outline {
	var all []*outline
	for _, sequence := range slices.Sorted(maps.Keys(h.operations)) {
		all = append(all, h.operations[sequence])
	}
	return all
}

// findParents finds the operation that each stands in: the one it names, else the
// nearest around it.
func (h *head) findParents(all []*outline) {
	named := map[string]*outline{}
	for _, o := range all {
		if _, twice := named[o.id.Value]; !twice && o.id.Given() {
			named[o.id.Value] = o
		}
	}
	for _, o := range all {
		if o.within != "" {
			o.parent = named[o.within]
			continue
		}
		for _, sequence := range o.around {
			if o.parent = h.operations[sequence]; o.parent != nil {
				break
			}
		}
	}
}

// around lists the elements around one that may be operations, the nearest first.
func (h *head) around(e *plan.Element) []int {
	var out []int
	for p := e.Parent; p != nil; p = p.Parent {
		if slices.ContainsFunc(h.m.operations, func(r *reading) bool { return r.match.Matches(p) }) {
			out = append(out, p.Sequence)
		}
	}
	return out
}
