package selector

import (
	"math"

	"planfold/convert/plan"
)

// context of an evaluation (XPath 1.0, 1).
type context struct {
	top            *plan.Element // the record: below it there is content
	node           node
	position, size int
	seen           Seen
}

// eval is the value of an expression.
func (c *context) eval(e *expr) value {
	switch e.op {
	case opNumber:
		return value{shape: aNumber, number: e.number}
	case opText:
		return value{shape: aText, text: e.text}
	case opPath, opFilter, opUnion:
		return value{shape: aSet, set: c.nodes(e)}
	case opCall:
		return e.call.eval(c, e)
	case opNegate:
		return value{shape: aNumber, number: -c.number(e.args[0])}
	case opAdd, opSubtract, opMultiply, opDivide, opModulo:
		return value{shape: aNumber, number: arithmetic(e.op, c.number(e.args[0]), c.number(e.args[1]))}
	}
	return value{shape: aBool, truth: c.logic(e)}
}

func (c *context) logic(e *expr) bool {
	switch e.op {
	case opOr:
		return c.truth(e.args[0]) || c.truth(e.args[1])
	case opAnd:
		return c.truth(e.args[0]) && c.truth(e.args[1])
	}
	return compare(e.op, c.eval(e.args[0]), c.eval(e.args[1]))
}

func arithmetic(o op, a, b float64) float64 {
	switch o {
	case opAdd:
		return a + b
	case opSubtract:
		return a - b
	case opMultiply:
		return a * b
	case opDivide:
		return a / b
	}
	return math.Mod(a, b)
}

func (c *context) number(e *expr) float64 {
	v := c.eval(e)
	return v.asNumber()
}

func (c *context) textOf(e *expr) string {
	v := c.eval(e)
	return v.asText()
}

// truth is boolean() of an expression; a path is followed to its first node only.
func (c *context) truth(e *expr) bool {
	if e.op == opPath && len(e.args) == 0 {
		w := walk{top: c.top, steps: e.steps, first: true, seen: c.seen}
		w.from(0, c.node)
		c.tell(w.out)
		return len(w.out) > 0
	}
	v := c.eval(e)
	return v.asBool()
}

// nodes are the nodes of an expression that has some, in document order.
func (c *context) nodes(e *expr) []node {
	nodes := c.found(e)
	c.tell(nodes)
	return nodes
}

func (c *context) found(e *expr) []node {
	switch e.op {
	case opUnion:
		return inOrder(append(c.found(e.args[0]), c.found(e.args[1])...))
	case opFilter:
		return filter(c.top, c.seen, c.found(e.args[0]), e.predicates)
	case opCall:
		v := c.eval(e)
		return v.set
	}
	w := walk{top: c.top, steps: e.steps, seen: c.seen}
	if len(e.args) == 0 {
		w.from(0, c.node)
	} else {
		for _, n := range c.found(e.args[0]) {
			w.from(0, n)
		}
	}
	return inOrder(w.out)
}

// filter keeps the nodes for which all predicates hold, one predicate after the
// other, since each counts what the one before has left.
func filter(top *plan.Element, seen Seen, nodes []node, predicates []*expr) []node {
	for _, p := range predicates {
		kept := nodes[:0]
		c := context{top: top, size: len(nodes), seen: seen}
		for i, n := range nodes {
			c.node, c.position = n, i+1
			if c.holds(p) {
				kept = append(kept, n)
			}
		}
		nodes = kept
	}
	return nodes
}

// holds is the truth of a predicate: a number means a position.
func (c *context) holds(p *expr) bool {
	if p.shape == aNumber {
		return c.number(p) == float64(c.position)
	}
	return c.truth(p)
}

// walk follows the steps of a path.
type walk struct {
	top   *plan.Element
	steps []*step
	first bool // one node is enough
	seen  Seen
	out   []node
}

// from follows the steps from k on; it returns false when enough is found.
func (w *walk) from(k int, n node) bool {
	if k == len(w.steps) {
		w.out = append(w.out, n)
		return !w.first
	}
	s := w.steps[k]
	if len(s.predicates) == 0 {
		return w.along(s, k, n, nil)
	}
	var few [8]node
	list := few[:0]
	w.along(s, k, n, &list)
	for _, n := range filter(w.top, w.seen, list, s.predicates) {
		if !w.from(k+1, n) {
			return false
		}
	}
	return true
}

// reach takes a node of the axis: into the list, or on to the next step.
func (w *walk) reach(k int, n node, list *[]node) bool {
	if list != nil {
		*list = append(*list, n)
		return true
	}
	return w.from(k+1, n)
}

// along visits the nodes of a step's axis that pass its test, in the axis's order.
func (w *walk) along(s *step, k int, n node, list *[]node) bool {
	switch s.axis {
	case axisSelf:
		return !s.test.passes(n) || w.reach(k, n, list)
	case axisChild:
		return n.part != itself || n.above || w.children(s, k, n.element, false, list)
	case axisDescendant:
		return n.part != itself || n.above || w.children(s, k, n.element, true, list)
	case axisDescendantOrSelf:
		if s.test.passes(n) && !w.reach(k, n, list) {
			return false
		}
		return n.part != itself || n.above || w.children(s, k, n.element, true, list)
	case axisAttribute:
		return n.part != itself || w.attributes(s, k, n, list)
	case axisFollowingSibling, axisPrecedingSibling:
		return w.siblings(s, k, n, list)
	}
	return w.upward(s, k, n, list)
}

func (w *walk) children(s *step, k int, e *plan.Element, deep bool, list *[]node) bool {
	for i := range e.Content {
		child := e.Content[i].Element
		if child == nil {
			if (s.test.any || s.test.text) && !w.reach(k, node{element: e, part: text, index: i}, list) {
				return false
			}
			continue
		}
		if s.test.any || !s.test.text && s.test.named(child.Name.Space, child.Name.Local) {
			if !w.reach(k, node{element: child}, list) {
				return false
			}
		}
		if deep && !w.children(s, k, child, true, list) {
			return false
		}
	}
	return true
}

func (w *walk) attributes(s *step, k int, n node, list *[]node) bool {
	if s.test.text {
		return true
	}
	for i := range n.element.Attributes {
		a := &n.element.Attributes[i].Name
		if s.test.any || s.test.named(a.Space, a.Local) {
			if !w.reach(k, node{element: n.element, part: attribute, index: i, above: n.above}, list) {
				return false
			}
		}
	}
	return true
}

// upward visits the parent, or the ancestors from the nearest on.
func (w *walk) upward(s *step, k int, n node, list *[]node) bool {
	if s.axis == axisAncestorOrSelf && s.test.passes(n) && !w.reach(k, n, list) {
		return false
	}
	for {
		switch {
		case n.part != itself:
			n = node{element: n.element, above: n.above}
		case n.element.Parent == nil:
			return true
		default:
			n = node{element: n.element.Parent, above: n.above || n.element == w.top}
		}
		if s.test.passes(n) && !w.reach(k, n, list) {
			return false
		}
		if s.axis == axisParent {
			return true
		}
	}
}

// siblings visits what stands behind or before a node of the record's content.
func (w *walk) siblings(s *step, k int, n node, list *[]node) bool {
	parent, at := n.element.Parent, 0
	switch {
	case n.part == attribute || n.above || n.part == itself && (n.element == w.top || parent == nil):
		return true
	case n.part == text:
		parent, at = n.element, n.index
	default:
		for at < len(parent.Content) && parent.Content[at].Element != n.element {
			at++
		}
	}
	by := 1
	if s.axis == axisPrecedingSibling {
		by = -1
	}
	for at += by; at >= 0 && at < len(parent.Content); at += by {
		sibling := node{element: parent.Content[at].Element}
		if sibling.element == nil {
			sibling = node{element: parent, part: text, index: at}
		}
		if s.test.passes(sibling) && !w.reach(k, sibling, list) {
			return false
		}
	}
	return true
}

// passes tests a node of an axis whose principal node type is the element.
func (t *test) passes(n node) bool {
	switch {
	case t.any:
		return true
	case t.text:
		return n.part == text
	}
	return n.part == itself && t.named(n.element.Name.Space, n.element.Name.Local)
}
