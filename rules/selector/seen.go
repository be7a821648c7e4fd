package selector

import "planfold/convert/plan"

// Seen is told of an element, or with an attribute's index of that. A text is its
// element. It may be told of one thing several times.
type Seen func(e *plan.Element, attribute int)

// tell does nothing unless someone watches.
func (c *context) tell(nodes []node) {
	if c.seen == nil {
		return
	}
	for _, n := range nodes {
		if n.part == attribute {
			c.seen(n.element, n.index)
		} else {
			c.seen(n.element, -1)
		}
	}
}

func (c *context) tellSelf() {
	if c.seen != nil {
		c.tell([]node{c.node})
	}
}

// Watch is Matches, and tells of the attributes that the predicates of a fitting
// pattern ask for, of the element and of those around it.
func (m *Match) Watch(e *plan.Element, seen Seen) bool {
	matches := false
	for _, p := range m.patterns {
		if !fits(p, e) {
			continue
		}
		matches = true
		for _, place := range p {
			for a := e; a != nil; a = a.Parent {
				if place.fits(a) {
					filter(a, seen, []node{{element: a}}, place.predicates)
				}
			}
		}
	}
	return matches
}
