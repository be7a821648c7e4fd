package selector

import "planfold/convert/plan"

// reach is what a path reads of a record's content, by names only: it may say more
// than the path reads, never less.
type reach struct {
	all      bool
	children []test // of the record, each with all that is in it
}

// Reads reports whether the path may read a child of the record, or what is in it.
// Without the children that no path reads, all paths find the same.
func (p *Path) Reads(child *plan.Element) bool {
	if p.reach.all {
		return true
	}
	for i := range p.reach.children {
		if p.reach.children[i].named(child.Name.Space, child.Name.Local) {
			return true
		}
	}
	return false
}

// AtStartTag reports whether the path reads names and attributes alone, so that it
// finds at the record's start tag what it finds when the record is complete.
func (p *Path) AtStartTag() bool { return p.startTag }

// readsStartTag holds a path against the bounds of a record pattern.
func readsStartTag(text string, root *expr) bool {
	c := &checker{text: text, startTag: true}
	b := c.expr(root, bounds{element: true})
	return c.err == nil && (root.shape != aSet || !b.element)
}

// stand is where the nodes of an expression are.
type stand int

const (
	around  stand = iota // elements around the record
	tagged               // attributes of the record or of those around it
	atTop                // the record itself
	inChild              // a child of the record that is read whole, and all in it
)

func reachOf(root *expr) reach {
	var r reach
	if r.expr(root, atTop) == atTop && root.shape == aSet {
		r.all = true
	}
	return r
}

// expr adds what an expression reads from a context node, and says where its nodes are.
func (r *reach) expr(e *expr, at stand) stand {
	switch e.op {
	case opPath:
		if len(e.args) > 0 {
			at = r.expr(e.args[0], at)
		}
		for _, s := range e.steps {
			at = r.step(s, at)
			r.each(s.predicates, at)
		}
		return at
	case opFilter:
		at = r.expr(e.args[0], at)
		r.each(e.predicates, at)
		return at
	case opUnion:
		a, b := r.expr(e.args[0], at), r.expr(e.args[1], at)
		if a != b {
			r.all = true
		}
		return a
	case opCall:
		r.all = r.all || at == atTop && e.call.content && len(e.args) == 0
	}
	r.each(e.args, at)
	return at
}

// each takes expressions whose nodes are of no more use than their value.
func (r *reach) each(list []*expr, at stand) {
	for _, e := range list {
		if r.expr(e, at) == atTop && e.shape == aSet {
			r.all = true
		}
	}
}

func (r *reach) step(s *step, at stand) stand {
	switch {
	case s.axis == axisSelf:
		return at
	case at == inChild && (s.axis <= axisDescendantOrSelf || s.axis == axisAttribute):
		return at
	case at == around && s.axis == axisAttribute, at == atTop && s.axis == axisAttribute:
		return tagged
	case at == atTop && s.axis == axisChild && !s.test.any:
		if !s.test.text {
			r.children = append(r.children, s.test)
		}
		return inChild
	case (at == around || at == atTop) && (s.axis == axisParent || s.axis == axisAncestor):
		return around
	}
	r.all = true
	return at
}
