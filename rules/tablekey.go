package rules

import (
	"slices"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/operators"

	"planfold/convert/diag"
	"planfold/rules/document"
	"planfold/rules/table"
)

// keysThere refuses rows of tables that an expression asks for by a key of its own, and
// that are not there: it would fail whatever the plan has.
func (c *compiler) keysThere(code *diag.Code, n *document.Node, checked *cel.Ast) bool {
	good := true
	info := checked.NativeRep().SourceInfo()
	ast.PreOrderVisit(checked.NativeRep().Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() != ast.CallKind || e.AsCall().FunctionName() != operators.Index || e.AsCall().Args()[1].Kind() != ast.LiteralKind {
			return
		}
		of, key := e.AsCall().Args()[0], e.AsCall().Args()[1]
		text, isText := key.AsLiteral().Value().(string)
		if !isText || of.Kind() != ast.SelectKind || chain(of.AsSelect().Operand()) != "tables" {
			return
		}
		t := c.set.tables[of.AsSelect().FieldName()]
		if t == nil || slices.ContainsFunc(t.Rows, func(r *table.Row) bool { return r.Key == text }) {
			return
		}
		var keys []string
		for _, r := range t.Rows {
			keys = append(keys, r.Key)
		}
		hint := ""
		if near := document.Nearest(text, keys); near != "" {
			hint = "; did you mean \"" + near + "\"?"
		}
		at := info.GetStartLocation(key.ID())
		c.faults.AddAt(code, n, n.Offset(at.Line(), at.Column()+1), "the table %q has no row %q%s", of.AsSelect().FieldName(), text, hint)
		good = false
	}))
	return good
}
