package selector

import "math"

// bounds is how far from the record the nodes of a path can be: 0 is the record,
// below it is content, and above it are the elements around it.
type bounds struct {
	low, high int
	element   bool // they may be elements
}

const far = math.MaxInt32

// checker refuses what leaves the record, or, at a start tag, what is not read yet.
type checker struct {
	text     string
	startTag bool
	err      *Error
}

// checkPath checks an expression that is used inside a record.
func checkPath(text string, root *expr) error {
	c := &checker{text: text}
	b := c.expr(root, bounds{element: true})
	if root.shape == aSet && b.element && b.low < 0 {
		c.fail(root.at, "an element around the record has no content here; take its attributes, name(…) or boolean(…)")
	}
	if c.err != nil {
		return c.err
	}
	return nil
}

func (c *checker) fail(at int, message string) {
	if c.err == nil {
		c.err = wrong(c.text, at, message)
	}
}

// expr checks an expression at context nodes within bounds, and returns the
// bounds of its nodes.
func (c *checker) expr(e *expr, at bounds) bounds {
	switch e.op {
	case opPath:
		return c.path(e, at)
	case opFilter:
		b := c.expr(e.args[0], at)
		c.predicates(e.predicates, b)
		return b
	case opUnion:
		a, b := c.expr(e.args[0], at), c.expr(e.args[1], at)
		return bounds{min(a.low, b.low), max(a.high, b.high), a.element || b.element}
	case opCall:
		return c.called(e, at)
	}
	for _, a := range e.args {
		b := c.expr(a, at)
		if e.op != opOr && e.op != opAnd {
			c.content(a, b)
		}
	}
	return bounds{}
}

func (c *checker) called(e *expr, at bounds) bounds {
	if c.startTag && (e.call.name == "position" || e.call.name == "last") {
		c.fail(e.at, e.call.name+"() needs the elements beside, which are not read yet where records are found")
	}
	if e.call.content && len(e.args) == 0 {
		c.content(&expr{at: e.at}, at)
	}
	for _, a := range e.args {
		b := c.expr(a, at)
		if e.call.content {
			c.content(a, b)
		}
	}
	return bounds{}
}

// content refuses that the value of nodes is taken when they have none here.
func (c *checker) content(e *expr, b bounds) {
	switch {
	case e.shape != aSet || !b.element:
	case c.startTag:
		c.fail(e.at, "the content of an element is not read yet where records are found; only names and attributes are")
	case b.low < 0:
		c.fail(e.at, "the content of an element around the record is not available; only its name and attributes are")
	}
}

func (c *checker) path(e *expr, at bounds) bounds {
	if e.absolute {
		c.fail(e.at, "a path from the document leaves the record; start from the record, without a slash")
	}
	if len(e.args) > 0 {
		at = c.expr(e.args[0], at)
	}
	for _, s := range e.steps {
		at = c.step(s, at)
		if len(s.predicates) > 0 {
			c.predicates(s.predicates, at)
		}
	}
	return at
}

func (c *checker) predicates(list []*expr, at bounds) {
	for _, p := range list {
		if c.startTag && p.shape == aNumber {
			c.fail(p.at, "a position needs the elements before, which are not known where records are found")
		}
		c.expr(p, at)
	}
}

// step checks one step from nodes within bounds.
func (c *checker) step(s *step, at bounds) bounds {
	if s.axis <= axisDescendantOrSelf || s.axis == axisFollowingSibling || s.axis == axisPrecedingSibling {
		c.downOrBeside(s, at)
	}
	up := func(n, by int) int {
		if n <= -far || n >= far {
			return n
		}
		return n + by
	}
	switch s.axis {
	case axisChild:
		return bounds{up(at.low, 1), up(at.high, 1), !s.test.text}
	case axisDescendant:
		return bounds{up(at.low, 1), far, !s.test.text}
	case axisDescendantOrSelf:
		return bounds{at.low, far, !s.test.text}
	case axisAttribute:
		return bounds{up(at.low, 1), up(at.high, 1), false}
	case axisParent:
		return bounds{up(at.low, -1), up(at.high, -1), true}
	case axisAncestor:
		return bounds{-far, up(at.high, -1), true}
	case axisAncestorOrSelf:
		return bounds{-far, at.high, true}
	case axisFollowing, axisPreceding:
		c.fail(s.at, "following:: and preceding:: leave the record; use following-sibling:: and preceding-sibling:: inside it")
	case axisNamespace:
		c.fail(s.at, "the namespace axis is not available; use namespace-uri(…)")
	case axisSelf:
		return bounds{at.low, at.high, at.element && !s.test.text}
	}
	return at
}

// downOrBeside refuses steps to what is not there.
func (c *checker) downOrBeside(s *step, at bounds) {
	beside := s.axis == axisFollowingSibling || s.axis == axisPrecedingSibling
	switch {
	case !at.element:
	case c.startTag && beside:
		c.fail(s.at, "the elements beside are not known where records are found; only names and attributes are, of the element and of those around it")
	case c.startTag:
		c.fail(s.at, "the content of an element is not read yet where records are found; only names and attributes are")
	case beside && at.low < 1:
		c.fail(s.at, "what stands beside the record is outside of it; use a join to reach other records")
	case at.low < 0:
		c.fail(s.at, "the path leaves the record: of the elements around it only names and attributes are known; use a join to reach other records")
	}
}
