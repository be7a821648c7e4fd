package selector

// op is what an expression does.
type op int

const (
	opNumber op = iota
	opText
	opOr
	opAnd
	opEqual
	opUnequal
	opLess
	opLessEqual
	opGreater
	opGreaterEqual
	opAdd
	opSubtract
	opMultiply
	opDivide
	opModulo
	opNegate
	opUnion
	opCall
	opPath   // steps from the context node, or from the nodes of args[0]
	opFilter // args[0], filtered by predicates
)

// shape is the type of an expression's value.
type shape int

const (
	aSet shape = iota
	aNumber
	aText
	aBool
)

// expr is a parsed expression.
type expr struct {
	op         op
	at         int // byte offset in the text
	shape      shape
	args       []*expr
	number     float64
	text       string
	call       *function
	prefixes   map[string]string // by namespace, for name()
	absolute   bool              // a path from the document
	steps      []*step
	predicates []*expr
}

// axis of a step.
type axis int

const (
	axisChild axis = iota
	axisDescendant
	axisDescendantOrSelf
	axisSelf
	axisParent
	axisAncestor
	axisAncestorOrSelf
	axisFollowingSibling
	axisPrecedingSibling
	axisAttribute
	axisFollowing
	axisPreceding
	axisNamespace
)

var axes = map[string]axis{
	"child": axisChild, "descendant": axisDescendant, "descendant-or-self": axisDescendantOrSelf,
	"self": axisSelf, "parent": axisParent, "ancestor": axisAncestor, "ancestor-or-self": axisAncestorOrSelf,
	"following-sibling": axisFollowingSibling, "preceding-sibling": axisPrecedingSibling, "attribute": axisAttribute,
	"following": axisFollowing, "preceding": axisPreceding, "namespace": axisNamespace,
}

// step of a path.
type step struct {
	axis       axis
	at         int
	test       test
	predicates []*expr
	slashes    bool // stands for //
}

// test of a node.
type test struct {
	any   bool   // node(): every node
	text  bool   // text()
	local string // "*" for every name
	space string // "*" for every namespace
}

// named tests a name on the principal node type of the axis.
func (t *test) named(space, local string) bool {
	return (t.local == "*" || t.local == local) && (t.space == "*" || t.space == space)
}

// positional reports whether a predicate depends on where its node stands in the
// list that is filtered.
func positional(e *expr) bool { return e.shape == aNumber || asksPosition(e) }

func asksPosition(e *expr) bool {
	if e.op == opCall && (e.call.name == "position" || e.call.name == "last") {
		return true
	}
	for _, a := range e.args {
		if asksPosition(a) {
			return true
		}
	}
	return false // the predicates in e have positions of their own
}
