package rules

import (
	"fmt"
	"strconv"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/operators"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/common/types/traits"
	"cel.dev/cel-go/interpreter"
)

// why says of a condition that did not hold which of its operands decided that,
// with the values seen: a line an operand.
func (c *condition) why(variables map[string]any) []string {
	p, err := c.told()
	if err != nil {
		return []string{err.Error()}
	}
	_, details, err := p.Eval(variables)
	if err != nil {
		return []string{"could not be answered: " + err.Error()}
	}
	w := witness{ast: c.ast, seen: details.State()}
	w.follow(c.ast.NativeRep().Expr(), false)
	return w.lines
}

// witness follows an evaluation down to what decided it.
type witness struct {
	ast   *cel.Ast
	seen  interpreter.EvalState
	lines []string
}

// follow finds why an expression came out as it did.
func (w *witness) follow(e ast.Expr, out bool) {
	if e.Kind() != ast.CallKind {
		w.leaf(e, out)
		return
	}
	call := e.AsCall()
	args := call.Args()
	switch name := call.FunctionName(); {
	case name == operators.LogicalNot:
		w.follow(args[0], !out)
	case name == operators.LogicalAnd && !out, name == operators.LogicalOr && out:
		w.followOne(args, out)
	case name == operators.LogicalAnd, name == operators.LogicalOr:
		for _, a := range args {
			w.follow(a, out)
		}
	case name == operators.Conditional && w.is(args[0], true):
		w.follow(args[1], out)
	case name == operators.Conditional:
		w.follow(args[2], out)
	default:
		w.leaf(e, out)
	}
}

// followOne follows the first operand that suffices.
func (w *witness) followOne(args []ast.Expr, out bool) {
	for _, a := range args {
		if w.is(a, out) {
			w.follow(a, out)
			return
		}
	}
}

func (w *witness) is(e ast.Expr, b bool) bool {
	v, ok := w.seen.Value(e.ID())
	return ok && v == types.Bool(b)
}

// leaf notes an operand that is no combination of others.
func (w *witness) leaf(e ast.Expr, out bool) {
	line := fmt.Sprintf("%s is %t", w.text(e), out)
	if values := w.values(e, out); len(values) > 0 {
		line += ": " + strings.Join(values, ", ")
	}
	w.lines = append(w.lines, line)
}

// values says what the parts of an operand were.
func (w *witness) values(e ast.Expr, out bool) []string {
	switch e.Kind() {
	case ast.ComprehensionKind:
		return w.overList(e.AsComprehension(), out)
	case ast.CallKind:
		call := e.AsCall()
		args := call.Args()
		if call.IsMemberFunction() {
			args = append([]ast.Expr{call.Target()}, args...)
		}
		var out []string
		for _, a := range args {
			if a.Kind() != ast.LiteralKind && a.Kind() != ast.ListKind {
				out = append(out, w.value(a)...)
			}
		}
		return out
	}
	return nil
}

// value is what one operand was. Of a fact that geometry has not taught, that is
// what is said, and not what stands in for it.
func (w *witness) value(e ast.Expr) []string {
	if e.Kind() == ast.CallKind && e.AsCall().FunctionName() == "orValue" {
		if o, ok := w.valueOf(e.AsCall().Target()).(*types.Optional); ok && !o.HasValue() {
			return []string{w.text(e.AsCall().Target()) + " is not known"}
		}
	}
	v := w.valueOf(e)
	switch {
	case v == nil:
		return nil
	case v == types.String("") && e.Kind() == ast.SelectKind:
		return []string{w.text(e) + " is not given"}
	}
	return []string{w.text(e) + " is " + display(v)}
}

func (w *witness) valueOf(e ast.Expr) ref.Val {
	v, _ := w.seen.Value(e.ID())
	return v
}

// overList says of a macro such as exists() what decided about the entry at which it
// ended, or where it went to the end, what the list was.
func (w *witness) overList(c ast.ComprehensionExpr, out bool) []string {
	step := c.LoopStep()
	ended := operators.LogicalAnd // of all(), at an entry that does not hold
	if out {
		ended = operators.LogicalOr // of exists(), at one that does
	}
	if step.Kind() == ast.CallKind && step.AsCall().FunctionName() == ended {
		inner := witness{ast: w.ast, seen: w.seen}
		inner.follow(step.AsCall().Args()[1], out)
		return inner.lines
	}
	return w.value(c.IterRange())
}

// text is an expression as it could be written.
func (w *witness) text(e ast.Expr) string {
	s, err := cel.ExprToString(e, w.ast.NativeRep().SourceInfo())
	if err != nil {
		return "an operand"
	}
	return s
}

// mostShown entries of a list are shown.
const mostShown = 6

func display(v ref.Val) string {
	switch v := v.(type) {
	case types.String:
		return strconv.Quote(oneLine(string(v)))
	case *object:
		return v.name()
	case *types.Optional:
		if !v.HasValue() {
			return "not known"
		}
		return display(v.GetValue())
	case traits.Lister:
		var out []string
		for it := v.Iterator(); it.HasNext() == types.True; {
			if len(out) == mostShown {
				out = append(out, "…")
				break
			}
			out = append(out, display(it.Next()))
		}
		if len(out) == 0 {
			return "empty"
		}
		return "[" + strings.Join(out, ", ") + "]"
	}
	return fmt.Sprint(v.Value())
}

// name is what tells a record from others, for people.
func (o *object) name() string {
	for _, k := range kinds() {
		if k.name != o.kind {
			continue
		}
		if id := identity(k, o.record); id != "" {
			return k.said() + " " + strconv.Quote(id)
		}
		return "a " + k.said()
	}
	return o.kind
}
