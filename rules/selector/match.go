package selector

import "planfold/convert/plan"

// Match is a compiled record pattern.
type Match struct {
	patterns [][]place
	text     string
}

// String is the pattern as it was written.
func (m *Match) String() string { return m.text }

// place is one element that a pattern names.
type place struct {
	test       test
	anywhere   bool // at any depth below the one before
	predicates []*expr
}

// CompileMatch compiles a record pattern: paths from the document with names, *,
// / and //, joined by |, and predicates on names and attributes. The error is an
// *Error.
func CompileMatch(expr string, ns map[string]string) (*Match, error) {
	root, err := parse(expr, ns)
	if err != nil {
		return nil, err
	}
	c := &checker{text: expr, startTag: true}
	m := &Match{text: expr}
	m.add(c, root)
	if c.err != nil {
		return nil, c.err
	}
	return m, nil
}

func (m *Match) add(c *checker, e *expr) {
	switch {
	case e.op == opUnion:
		m.add(c, e.args[0])
		m.add(c, e.args[1])
	case e.op != opPath || len(e.args) > 0:
		c.fail(e.at, "a record pattern is a path from the document, such as /plan/items/item or //item")
	case !e.absolute:
		c.fail(e.at, "a record pattern starts with / or //")
	case len(e.steps) == 0:
		c.fail(e.at, "a record pattern names an element; / alone is the document")
	default:
		m.patterns = append(m.patterns, placesOf(c, e.steps))
	}
}

func placesOf(c *checker, steps []*step) []place {
	out := make([]place, 0, len(steps))
	for _, s := range steps {
		switch {
		case s.slashes && s.axis == axisDescendantOrSelf:
			continue // the step behind it is refused, or goes down itself
		case s.axis == axisAttribute || s.test.text:
			c.fail(s.at, "a record is an element, not an attribute or a text")
		case s.axis != axisChild && s.axis != axisDescendant:
			c.fail(s.at, "a record pattern goes down from the document: by name, *, / and //")
		case s.test.any:
			c.fail(s.at, "a record is an element: write * for any")
		}
		c.predicates(s.predicates, bounds{element: true})
		out = append(out, place{s.test, s.axis == axisDescendant, s.predicates})
	}
	return out
}

// Matches reports whether an element is such a record. It reads the name and the
// attributes of the element and of those around it.
func (m *Match) Matches(e *plan.Element) bool {
	for _, p := range m.patterns {
		if fits(p, e) {
			return true
		}
	}
	return false
}

// fits holds an element against the last place, and those around it against the
// places before. After a // the nearest element that fits is taken: it leaves the
// most to the places before, so that only the last choice need be taken back.
func fits(places []place, e *plan.Element) bool {
	i := len(places) - 1
	if !places[i].fits(e) {
		return false
	}
	choice, next := -1, e // the place that may stand anywhere, and where it is tried next
	for {
		switch {
		case i == 0 && (places[0].anywhere || e.Parent == nil):
			return true
		case i > 0 && places[i].anywhere:
			choice, next = i-1, e.Parent
		case i > 0 && e.Parent != nil && places[i-1].fits(e.Parent):
			i, e = i-1, e.Parent
			continue
		}
		if choice < 0 {
			return false
		}
		for next != nil && !places[choice].fits(next) {
			next = next.Parent
		}
		if next == nil {
			return false
		}
		i, e, next = choice, next, next.Parent
	}
}

// fits holds one element against one place.
func (p *place) fits(e *plan.Element) bool {
	return p.test.named(e.Name.Space, e.Name.Local) &&
		(len(p.predicates) == 0 || len(filter(e, nil, []node{{element: e}}, p.predicates)) == 1)
}
