package selector

import (
	"fmt"
	"strconv"
)

const (
	maxLength  = 8 << 10 // bytes of an expression
	maxNesting = 60      // brackets in brackets
)

// parser descends through the grammar of XPath 1.0. After its first error it
// stands at the end, so that every loop ends.
type parser struct {
	text     string
	tokens   []token
	ns       map[string]string
	prefixes map[string]string
	depth    int
	err      *Error
}

func parse(text string, ns map[string]string) (*expr, error) {
	if len(text) > maxLength {
		return nil, &Error{1, fmt.Sprintf("the expression is longer than %d bytes", maxLength)}
	}
	list, err := tokens(text)
	if err != nil {
		return nil, err
	}
	p := &parser{text: text, tokens: list, ns: ns, prefixes: prefixesOf(ns)}
	e := p.expression()
	if t := p.peek(); t.kind != tokEnd {
		p.fail(t, "%v is too much", t)
	}
	if p.err != nil {
		return nil, p.err
	}
	return e, nil
}

// prefixesOf turns prefixes and namespaces round; the first prefix by name wins.
func prefixesOf(ns map[string]string) map[string]string {
	out := map[string]string{xmlSpace: "xml"}
	for prefix, uri := range ns {
		if have, ok := out[uri]; !ok || prefix < have {
			out[uri] = prefix
		}
	}
	return out
}

func (p *parser) peek() token { return p.tokens[0] }

func (p *parser) next() token {
	t := p.tokens[0]
	if len(p.tokens) > 1 {
		p.tokens = p.tokens[1:]
	}
	return t
}

// is takes the symbol if it is next.
func (p *parser) is(symbol string) bool {
	if t := p.peek(); t.kind == tokSymbol && t.text == symbol {
		p.next()
		return true
	}
	return false
}

func (p *parser) expect(symbol string) {
	if !p.is(symbol) {
		p.fail(p.peek(), "%v where %q is due", p.peek(), symbol)
	}
}

func (p *parser) fail(t token, format string, args ...any) {
	if p.err == nil {
		p.err = wrong(p.text, t.at, fmt.Sprintf(format, args...))
	}
	p.tokens = p.tokens[len(p.tokens)-1:]
}

func (p *parser) enter() {
	if p.depth++; p.depth > maxNesting {
		p.fail(p.peek(), "brackets are nested more than %d deep", maxNesting)
	}
}

// levels are the operators between two operands, weakest first.
var levels = []map[string]op{
	{"or": opOr},
	{"and": opAnd},
	{"=": opEqual, "!=": opUnequal},
	{"<": opLess, "<=": opLessEqual, ">": opGreater, ">=": opGreaterEqual},
	{"+": opAdd, "-": opSubtract},
	{"*": opMultiply, "div": opDivide, "mod": opModulo},
}

func (p *parser) expression() *expr {
	p.enter()
	defer func() { p.depth-- }()
	return p.level(0)
}

func (p *parser) level(n int) *expr {
	if n == len(levels) {
		return p.unary()
	}
	left := p.level(n + 1)
	for {
		t := p.peek()
		o, ok := levels[n][t.text]
		if !ok || t.kind != tokSymbol && t.kind != tokWord {
			return left
		}
		p.next()
		e := &expr{op: o, at: t.at, shape: aBool, args: []*expr{left, p.level(n + 1)}}
		if o >= opAdd {
			e.shape = aNumber
		}
		left = e
	}
}

func (p *parser) unary() *expr {
	t := p.peek()
	if !p.is("-") {
		return p.union()
	}
	p.enter()
	defer func() { p.depth-- }()
	return &expr{op: opNegate, at: t.at, shape: aNumber, args: []*expr{p.unary()}}
}

func (p *parser) union() *expr {
	left := p.path()
	for t := p.peek(); p.is("|"); t = p.peek() {
		right := p.path()
		p.mustBeSet(left, t)
		p.mustBeSet(right, t)
		left = &expr{op: opUnion, at: t.at, args: []*expr{left, right}}
	}
	return left
}

func (p *parser) mustBeSet(e *expr, t token) {
	if e.shape != aSet {
		p.fail(t, "%v needs nodes on its sides, not a number, a text or a truth", t)
	}
}

// path parses a location path, or a primary expression with what follows it.
func (p *parser) path() *expr {
	t := p.peek()
	if !p.startsPrimary() {
		return p.location()
	}
	e := p.primary()
	if b := p.peek(); b.kind == tokSymbol && b.text == "[" {
		p.mustBeSet(e, b)
		e = &expr{op: opFilter, at: t.at, args: []*expr{e}, predicates: p.predicates()}
	}
	slash := p.peek()
	if slash.kind != tokSymbol || slash.text != "/" && slash.text != "//" {
		return e
	}
	p.mustBeSet(e, slash)
	e = &expr{op: opPath, at: t.at, args: []*expr{e}}
	p.next()
	return p.steps(e, slash)
}

func (p *parser) startsPrimary() bool {
	t := p.peek()
	switch t.kind {
	case tokNumber, tokLiteral:
		return true
	case tokSymbol:
		return t.text == "(" || t.text == "$"
	case tokName:
		return p.tokens[1].kind == tokSymbol && p.tokens[1].text == "(" && !isNodeType(t)
	}
	return false
}

func isNodeType(t token) bool {
	return t.prefix == "" && (t.text == "node" || t.text == "text" || t.text == "comment" || t.text == "processing-instruction")
}

func (p *parser) primary() *expr {
	t := p.next()
	switch {
	case t.kind == tokNumber:
		n, _ := strconv.ParseFloat(t.text, 64) // too large is infinite, as XPath has it
		return &expr{op: opNumber, at: t.at, shape: aNumber, number: n}
	case t.kind == tokLiteral:
		return &expr{op: opText, at: t.at, shape: aText, text: t.text}
	case t.kind == tokName:
		return p.callOf(t)
	case t.text == "$":
		p.fail(t, "there are no variables")
		return &expr{}
	}
	e := p.expression()
	p.expect(")")
	return e
}

// location parses a location path.
func (p *parser) location() *expr {
	t := p.peek()
	e := &expr{op: opPath, at: t.at}
	switch {
	case p.is("//"):
		e.absolute = true
		return p.steps(e, t)
	case p.is("/"):
		e.absolute = true
		if !p.startsStep() {
			return e
		}
	}
	return p.steps(e, token{})
}

// steps parses the steps behind a slash; a double slash is a step of its own.
func (p *parser) steps(e *expr, slash token) *expr {
	for {
		if slash.text == "//" {
			e.steps = append(e.steps, &step{axis: axisDescendantOrSelf, at: slash.at, test: test{any: true}, slashes: true})
		}
		e.steps = append(e.steps, p.step())
		slash = p.peek()
		if !p.is("/") && !p.is("//") {
			e.steps = shorten(e.steps)
			return e
		}
	}
}

// shorten makes a//b one step, descendant::b, which finds the same nodes in
// document order, unless a predicate counts them.
func shorten(steps []*step) []*step {
	out := steps[:0:0]
	for i := 0; i < len(steps); i++ {
		s := steps[i]
		if s.slashes && i+1 < len(steps) && steps[i+1].axis == axisChild && !anyPositional(steps[i+1].predicates) {
			short := *steps[i+1]
			short.axis, short.slashes = axisDescendant, true
			s = &short
			i++
		}
		out = append(out, s)
	}
	return out
}

func anyPositional(predicates []*expr) bool {
	for _, e := range predicates {
		if positional(e) {
			return true
		}
	}
	return false
}

func (p *parser) startsStep() bool {
	t := p.peek()
	return t.kind == tokName || t.kind == tokSymbol && (t.text == "." || t.text == ".." || t.text == "@")
}

func (p *parser) step() *step {
	t := p.peek()
	s := &step{at: t.at}
	if p.is(".") || p.is("..") {
		s.test.any = true
		if s.axis = axisSelf; t.text == ".." {
			s.axis = axisParent
		}
		if b := p.peek(); b.kind == tokSymbol && b.text == "[" {
			p.fail(b, "a predicate cannot follow %s; write self::node() or parent::node()", t.text)
		}
		return s
	}
	if p.is("@") {
		s.axis = axisAttribute
	} else if t.kind == tokName && p.tokens[1].kind == tokSymbol && p.tokens[1].text == "::" {
		a, ok := axes[t.text]
		if !ok || t.prefix != "" {
			p.fail(t, "there is no axis %v", t)
		}
		s.axis = a
		p.next()
		p.next()
	}
	s.test = p.nodeTest()
	s.predicates = p.predicates()
	return s
}

func (p *parser) nodeTest() test {
	t := p.next()
	if t.kind != tokName {
		p.fail(t, "%v where a name, an attribute or another step of a path is due", t)
		return test{}
	}
	if p.is("(") {
		if !isNodeType(t) || t.text == "comment" || t.text == "processing-instruction" {
			p.fail(t, "%s() is no node that is kept; nodes are name, *, node() and text()", t.text)
		}
		p.expect(")")
		return test{any: t.text == "node", text: t.text == "text"}
	}
	space, ok := p.ns[t.prefix]
	switch {
	case t.prefix == "" && t.text == "*":
		space = "*"
	case t.prefix == "":
		space = ""
	case t.prefix == "xml" && !ok:
		space = xmlSpace
	case !ok:
		p.fail(t, "the prefix %q is not declared among the namespaces", t.prefix)
	}
	return test{local: t.text, space: space}
}

func (p *parser) predicates() []*expr {
	var out []*expr
	for p.is("[") {
		out = append(out, p.expression())
		p.expect("]")
	}
	return out
}

// callOf parses the call of a function.
func (p *parser) callOf(t token) *expr {
	f, ok := functions[t.text]
	switch {
	case !ok || t.prefix != "":
		p.fail(t, "XPath 1.0 has no function %v", t)
		return &expr{}
	case f.eval == nil:
		p.fail(t, "%s() is not available: %s", t.text, f.why)
		return &expr{}
	}
	e := &expr{op: opCall, at: t.at, shape: f.shape, call: f, prefixes: p.prefixes}
	p.expect("(")
	for n := 0; !p.is(")"); n++ {
		if p.peek().kind == tokEnd {
			p.fail(p.peek(), "the bracket of %s() is not closed", t.text)
			return e
		}
		if n > 0 {
			p.expect(",")
		}
		a := p.expression()
		if f.set && a.shape != aSet {
			p.fail(t, "%s() takes nodes, not a number, a text or a truth", t.text)
		}
		e.args = append(e.args, a)
	}
	if len(e.args) < f.min || len(e.args) > f.max {
		p.fail(t, "%s() takes %s, not %d", t.text, f.arity(), len(e.args))
	}
	return e
}
