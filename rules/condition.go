package rules

import (
	"slices"
	"strconv"
	"strings"
	"sync"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/ext"

	"planfold/convert/diag"
	"planfold/rules/document"
)

// Conditions are CEL expressions over the step model. Each kind of record is an
// object type with the fields of its table, so that a misspelt field is a fault of
// the rule file and never a condition that is silently false.

// conditionCost bounds the work of one condition on one object, in CEL's units.
const conditionCost = 100_000

// conditions compiles the conditions of a rule file.
type conditions struct {
	model *model
	envs  map[string]*cel.Env
	sees  map[string][]string // variables, by kind of object
}

// variables by the kind of object that a rule is for.
var variables = map[string][]string{
	"plan":           {"plan"},
	"item":           {"plan", "item", "facts"},
	"occurrence":     {"plan", "occurrence", "item", "facts"},
	"operation":      {"plan", "operation"},
	"step":           {"plan", "operation", "step"},
	"part":           {"plan", "operation", "step", "part", "item", "facts"},
	"characteristic": {"plan", "operation", "step", "characteristic"},
	"attachment":     {"plan", "operation", "step", "attachment"},
}

// constant variables are the same for every object.
var constants = []string{"parameters", "lists", "tables"}

// seen lists the variables of conditions on one kind of object.
func (c *conditions) seen(kind string) []string { return slices.Concat(c.sees[kind], constants) }

// listsOf are the variables that hold all objects of a kind.
var listsOf = map[string]string{"items": "item", "operations": "operation", "steps": "step"}

func variableType(name string) *cel.Type {
	if kind := listsOf[name]; kind != "" {
		return cel.ListType(cel.ObjectType(typeName(kind)))
	}
	return cel.ObjectType(typeName(name))
}

// shown is the model that conditions see.
func (c *conditions) shown() *model {
	if c.model == nil {
		c.model, c.envs = newModel(), map[string]*cel.Env{}
	}
	return c.model
}

// env is the environment for rules of one kind of object.
func (c *conditions) env(kind string) *cel.Env {
	m := c.shown()
	if e := c.envs[kind]; e != nil {
		return e
	}
	options := []cel.EnvOption{
		cel.CustomTypeProvider(m), cel.CustomTypeAdapter(m), cel.EnableIdentifierEscapeSyntax(), cel.EnableMacroCallTracking(),
		cel.OptionalTypes(), cel.CrossTypeNumericComparisons(true), ext.Strings(ext.StringsVersion(4)),
		cel.Function("decimal", cel.Overload("decimal_string", []*cel.Type{cel.StringType}, cel.DoubleType, cel.UnaryBinding(decimalOf))),
		cel.ParserRecursionLimit(100), cel.ParserExpressionSizeLimit(20_000),
	}
	for _, v := range c.seen(kind) {
		options = append(options, cel.Variable(v, variableType(v)))
	}
	e, err := cel.NewEnv(options...)
	if err != nil {
		panic("rules: internal error: " + err.Error())
	}
	c.envs[kind] = e
	return e
}

// decimalOf is the value of a decimal text, as a number to compare with.
func decimalOf(v ref.Val) ref.Val {
	s, ok := v.Value().(string)
	if d, decimal := decimalText(s, false); ok && decimal {
		f, err := strconv.ParseFloat(d, 64)
		if err == nil {
			return types.Double(f)
		}
	}
	return types.NewErr("decimal(%q): not a decimal number", s)
}

// condition is a compiled condition.
type condition struct {
	cel.Program
	env  *cel.Env
	ast  *cel.Ast
	node *document.Node
	told func() (cel.Program, error) // the same program, which keeps every operand's value
}

// at is where a piece of the condition stands in the rule file.
func (c *condition) at(id int64) diag.Position {
	l := c.ast.NativeRep().SourceInfo().GetStartLocation(id)
	return c.node.Position(c.node.Offset(l.Line(), l.Column()+1))
}

func (c *condition) holds(vars map[string]any) (bool, error) {
	v, _, err := c.Eval(vars)
	if err != nil {
		return false, err
	}
	yes, _ := v.Value().(bool)
	return yes, nil
}

// condition compiles one condition. It is nil when there is a fault.
func (c *compiler) condition(n *document.Node, kind, where string) *condition {
	return c.question(&c.conditions, n, kind, where)
}

// question compiles a condition on what the given conditions see.
func (c *compiler) question(on *conditions, n *document.Node, kind, where string) *condition {
	text := c.faults.Text(n, where)
	if text == "" {
		return nil
	}
	ast := c.checked(on, diag.RuleConditionInvalid, n, text, kind)
	if ast == nil {
		return nil
	}
	if !ast.OutputType().IsExactType(cel.BoolType) {
		c.faults.Add(diag.RuleConditionInvalid, n, "the condition gives %s, not yes or no (bool)", typesPlainly.Replace(ast.OutputType().String()))
		return nil
	}
	p := c.program(on, diag.RuleConditionInvalid, n, ast, kind)
	if p == nil {
		return nil
	}
	env := on.env(kind)
	out := &condition{Program: p, env: env, ast: ast, node: n, told: sync.OnceValues(func() (cel.Program, error) {
		return env.Program(ast, cel.EvalOptions(cel.OptTrackState))
	})}
	c.set.mentions = append(c.set.mentions, c.lists.namesIn(out, where)...)
	return out
}

// checked compiles an expression in which lines and columns are those of the node's
// text. It is nil when there is a fault.
func (c *compiler) checked(on *conditions, code *diag.Code, n *document.Node, text, kind string) *cel.Ast {
	ast, issues := on.env(kind).Compile(text)
	if issues == nil || issues.Err() == nil {
		if !c.keysThere(code, n, ast) {
			return nil
		}
		return ast
	}
	for _, e := range issues.Errors() {
		character := n.Offset(e.Location.Line(), e.Location.Column()+1)
		c.faults.AddAt(code, n, character, "%s", on.plainly(e.Message, kind))
		if strings.HasPrefix(e.Message, syntaxError) {
			break // the others follow from it
		}
	}
	return nil
}

// program makes an expression ready to be evaluated, within a bound of work.
func (c *compiler) program(on *conditions, code *diag.Code, n *document.Node, ast *cel.Ast, kind string) cel.Program {
	p, err := on.env(kind).Program(ast, cel.EvalOptions(cel.OptOptimize), cel.CostLimit(conditionCost))
	if err != nil {
		c.faults.Add(code, n, "%v", err)
		return nil
	}
	return p
}
