package rules

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/operators"

	"planfold/convert/diag"
	"planfold/rules/action"
)

// Lint looks for rules that compile and yet can do nothing, whatever the plan has.
func (s *Set) Lint() diag.List {
	out := append(slices.Clone(s.unused), s.unsought()...)
	for _, j := range s.joins {
		if len(j.values) == 0 && !j.whole {
			out.Add(diag.RuleUnused.At(j.place, "no value is taken through the join %q", j.name))
		}
	}
	for _, kind := range action.Kinds {
		dead := unreachable(s.rules[kind])
		for _, r := range s.rules[kind] {
			if d, ok := dead[r]; ok {
				out.Add(d)
			}
		}
		out.Add(replaced(s.rules[kind], dead)...)
		out.Add(s.unplaced(s.rules[kind])...)
	}
	inPlace(out)
	return out
}

// inPlace sorts findings by where they are.
func inPlace(list diag.List) {
	slices.SortStableFunc(list, func(a, b diag.Diagnostic) int { return comparePlaces(a.Position, b.Position) })
}

func comparePlaces(a, b diag.Position) int {
	return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
}

// unreachable finds rules of one kind of object that can never fire.
func unreachable(rules []*rule) map[*rule]diag.Diagnostic {
	out := map[*rule]diag.Diagnostic{}
	var last *rule // always fires and stops
	for _, r := range rules {
		if last != nil {
			out[r] = diag.RuleUnreachable.At(r.place, "rule %q is never reached: rule %q always fires before it, and stops", r.name, last.name).
				Seeing(diag.Related{Position: last.place, Message: fmt.Sprintf("rule %q", last.name)})
			continue
		}
		if why := r.never(); why != "" {
			out[r] = diag.RuleUnreachable.At(r.when.node.Position(0), "rule %q never fires: %s", r.name, why)
		} else if r.stop && r.always() {
			last = r
		}
	}
	return out
}

// always reports a rule that fires for every object that it is tried on.
func (r *rule) always() bool {
	if r.when == nil {
		return true
	}
	yes, known := r.when.constant()
	return known && yes
}

// constant is the value of a condition that nothing in the plan, and no parameter,
// can change: it is answered with all variables unknown.
func (c *condition) constant() (value, known bool) {
	p, err := c.env.Program(c.ast, cel.EvalOptions(cel.OptPartialEval), cel.CostLimit(conditionCost))
	if err != nil {
		return false, false
	}
	var unknown []*cel.AttributePatternType
	variables, _ := c.looksAt()
	for _, name := range slices.Sorted(maps.Keys(variables)) {
		unknown = append(unknown, cel.AttributePattern(name))
	}
	vars, err := cel.PartialVars(map[string]any{}, unknown...)
	if err != nil {
		return false, false
	}
	v, _, err := p.Eval(vars)
	if err != nil {
		return false, false
	}
	value, known = v.Value().(bool)
	return value, known
}

// never says why the rule's condition is false whatever the plan has, or "".
func (r *rule) never() string {
	if r.when == nil {
		return ""
	}
	if yes, known := r.when.constant(); known && !yes {
		return "its condition is false whatever the plan has"
	}
	said := map[string]string{}
	for _, e := range conjuncts(r.when.ast.NativeRep().Expr()) {
		field, text := equality(e)
		if was, twice := said[field]; twice && was != text && field != "" {
			return fmt.Sprintf("%s cannot be %q and %q", field, was, text)
		}
		said[field] = text
	}
	return ""
}

// conjuncts are the operands of &&.
func conjuncts(e ast.Expr) []ast.Expr {
	if e.Kind() != ast.CallKind || e.AsCall().FunctionName() != operators.LogicalAnd {
		return []ast.Expr{e}
	}
	var out []ast.Expr
	for _, a := range e.AsCall().Args() {
		out = append(out, conjuncts(a)...)
	}
	return out
}

// equality is a field and the text that it must equal, or two empty texts.
func equality(e ast.Expr) (field, text string) {
	if e.Kind() != ast.CallKind || e.AsCall().FunctionName() != operators.Equals {
		return "", ""
	}
	a, b := e.AsCall().Args()[0], e.AsCall().Args()[1]
	if a.Kind() == ast.LiteralKind {
		a, b = b, a
	}
	if b.Kind() != ast.LiteralKind {
		return "", ""
	}
	text, ok := b.AsLiteral().Value().(string)
	if field = chain(a); !ok || field == "" {
		return "", ""
	}
	return field, text
}

// chain writes a variable or a field of one: "part.item.class".
func chain(e ast.Expr) string {
	switch e.Kind() {
	case ast.IdentKind:
		return e.AsIdent()
	case ast.SelectKind:
		if of := chain(e.AsSelect().Operand()); of != "" && !e.AsSelect().IsTestOnly() {
			return of + "." + e.AsSelect().FieldName()
		}
	}
	return ""
}

// replaced finds actions of rules that a later rule without a condition undoes.
func replaced(rules []*rule, dead map[*rule]diag.Diagnostic) diag.List {
	var out diag.List
	always := map[*rule]bool{}
	for _, r := range rules {
		always[r] = r.always()
	}
	for i, r := range rules {
		if _, never := dead[r]; never || r.stop {
			continue
		}
		for _, a := range r.actions {
			if by := replacing(a, rules[i+1:], always); by != nil {
				out.Add(diag.RuleReplaced.At(r.place, "the %s of rule %q is always replaced by that of rule %q, which comes later and fires always", a.Name, r.name, by.name).
					Seeing(diag.Related{Position: by.place, Message: fmt.Sprintf("rule %q", by.name)}))
			}
		}
	}
	return out
}

// unplaced finds rules that need what the reading rules do not read: with no
// occurrence nothing stands in place.
func (s *Set) unplaced(rules []*rule) diag.List {
	var out diag.List
	if len(s.occurrences) > 0 {
		return nil
	}
	for _, r := range rules {
		for _, a := range r.actions {
			if a.Name == "motion" || a.Name == "registration" || strings.HasPrefix(a.Sets, "role occurrence ") {
				out.Add(diag.RuleWithoutOccurrences.At(r.place, "rule %q sets %s, and the rules read no occurrences", r.name, a.Name))
			}
		}
	}
	return out
}

func replacing(a action.Action, later []*rule, always map[*rule]bool) *rule {
	if a.Sets == "" {
		return nil
	}
	for _, r := range later {
		if always[r] && slices.ContainsFunc(r.actions, func(b action.Action) bool { return b.Sets == a.Sets }) {
			return r
		}
		if r.stop {
			return nil // where it fires, what comes behind is not reached
		}
	}
	return nil
}

// looksAt lists the variables of a condition and the fields that it asks for.
func (c *condition) looksAt() (variables map[string]bool, fields map[fieldOf]bool) {
	variables, fields = map[string]bool{}, map[fieldOf]bool{}
	tree := c.ast.NativeRep()
	ast.PreOrderVisit(tree.Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		switch e.Kind() {
		case ast.IdentKind:
			variables[e.AsIdent()] = true
		case ast.SelectKind:
			of := tree.GetType(e.AsSelect().Operand().ID()).TypeName()
			fields[fieldOf{strings.TrimPrefix(of, typeName("")), e.AsSelect().FieldName()}] = true
		}
	}))
	return variables, fields
}

// notUsed finds parameters, lists and tables that no condition and no text uses.
func (c *compiler) notUsed() {
	m := c.conditions.model
	for _, of := range slices.Sorted(maps.Keys(c.defined)) {
		for _, k := range c.defined[of] {
			if !m.asked[fieldOf{of, k.Text}] {
				c.set.unused.Add(diag.RuleUnused.At(k.Position(-1), "nothing uses %s.%s", of, k.Text))
			}
		}
	}
}
