package selector

// Most paths of a dialect are straight: names of children and of an attribute, one
// after the other. They are followed without a list of nodes, and what they find is
// in document order.

func isStraight(root *expr) bool {
	if root.op != opPath || len(root.args) > 0 || root.absolute {
		return false
	}
	for _, s := range root.steps {
		if s.axis != axisChild && s.axis != axisAttribute && s.axis != axisSelf || len(s.predicates) > 0 {
			return false
		}
	}
	return true
}

// follow appends what straight steps find from a node that is in the record.
func follow(to []Found, steps []*step, n node) []Found {
	if len(steps) == 0 {
		return append(to, n.found())
	}
	s, rest := steps[0], steps[1:]
	switch {
	case s.axis == axisSelf && s.test.passes(n):
		return follow(to, rest, n)
	case n.part != itself || s.axis == axisSelf:
		return to
	case s.axis == axisAttribute:
		for i := range n.element.Attributes {
			if a := &n.element.Attributes[i].Name; s.test.any || !s.test.text && s.test.named(a.Space, a.Local) {
				to = follow(to, rest, node{element: n.element, part: attribute, index: i})
			}
		}
		return to
	}
	for i := range n.element.Content {
		switch child := n.element.Content[i].Element; {
		case child == nil:
			if s.test.any || s.test.text {
				to = follow(to, rest, node{element: n.element, part: text, index: i})
			}
		case s.test.any || !s.test.text && s.test.named(child.Name.Space, child.Name.Local):
			to = follow(to, rest, node{element: child})
		}
	}
	return to
}
