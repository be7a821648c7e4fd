package rules

import (
	"maps"
	"slices"
	"strings"

	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/operators"

	"planfold/convert/diag"
	"planfold/rules/document"
)

// naming are the fields whose texts name something. A condition that compares one
// with a name that no plan has is most likely misspelt.
var naming = []string{"id", "class", "builds", "parent", "product", "operation", "view", "workCentre", "item", "within", "occurrence"}

// fieldOf is a field of a kind of record.
type fieldOf struct{ kind, field string }

// mention is a name that a condition compares a field with.
type mention struct {
	of     fieldOf
	text   string
	prefix bool // the field begins with it
	listed bool // it stands in a list that rules share: not each plan has all of it
	rule   string
	place  diag.Position
}

// namesIn finds the names in a condition, also those in lists that it asks for.
func (lists listed) namesIn(c *condition, rule string) []mention {
	var out []mention
	ast.PreOrderVisit(c.ast.NativeRep().Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() != ast.CallKind {
			return
		}
		call := e.AsCall()
		args := call.Args()
		switch call.FunctionName() {
		case operators.Equals, operators.NotEquals:
			out = append(out, c.comparison(args[0], args[1], rule)...)
			out = append(out, c.comparison(args[1], args[0], rule)...)
		case operators.In:
			for _, n := range lists[chain(args[1])] {
				out = append(out, c.naming(args[0], n.Text, true, n.Position(0), rule)...)
			}
			if args[1].Kind() != ast.ListKind {
				return
			}
			for _, x := range args[1].AsList().Elements() {
				out = append(out, c.comparison(args[0], x, rule)...)
			}
		case "startsWith":
			for _, n := range c.comparison(call.Target(), args[0], rule) {
				n.prefix = true
				out = append(out, n)
			}
		}
	}))
	return out
}

// comparison is the name, if one side is a field that names something and the
// other a text.
func (c *condition) comparison(field, literal ast.Expr, rule string) []mention {
	if literal.Kind() != ast.LiteralKind {
		return nil
	}
	text, _ := literal.AsLiteral().Value().(string)
	return c.naming(field, text, false, c.at(literal.ID()), rule)
}

// naming is the mention of a text that a field is compared with, if it names something.
func (c *condition) naming(field ast.Expr, text string, listed bool, at diag.Position, rule string) []mention {
	if field.Kind() != ast.SelectKind {
		return nil
	}
	name := field.AsSelect().FieldName()
	if text == "" || !slices.Contains(naming, name) {
		return nil
	}
	record, ours := strings.CutPrefix(c.ast.NativeRep().GetType(field.AsSelect().Operand().ID()).TypeName(), typeName(""))
	// What rules assign is no name that a plan has.
	if !ours || !slices.ContainsFunc(kinds(), func(k *kind) bool { return k.name == record }) {
		return nil
	}
	return []mention{{of: fieldOf{record, name}, text: text, listed: listed, rule: rule, place: at}}
}

// listed are the entries of the lists of a rule file, by what conditions call them.
type listed map[string][]*document.Node

// names are those that plans have, in the fields that conditions ask for.
type names map[fieldOf]map[string]bool

func namesFor(list []mention) names {
	out := names{}
	for _, n := range list {
		out[n.of] = map[string]bool{}
	}
	return out
}

// note keeps the names in a record and in those inside it.
func (n names) note(k *kind, rec any) {
	for _, f := range k.fields {
		if f.typ == records {
			for _, inner := range f.entries(rec) {
				n.note(f.of, inner)
			}
			continue
		}
		if to := n[fieldOf{k.name, f.name}]; to != nil && f.typ == text {
			to[shown(&object{record: rec}, f).(string)] = true
		}
	}
}

// has reports whether a plan has the name.
func (n names) has(x mention) bool {
	have := n[x.of]
	if !x.prefix {
		return have[x.text]
	}
	for name := range have {
		if strings.HasPrefix(name, x.text) {
			return true
		}
	}
	return false
}

// merge takes over what another plan has.
func (n names) merge(other names) {
	for of, have := range other {
		maps.Copy(n[of], have)
	}
}

// absent are the findings about names that no plan has, one a rule and name.
func (n names) absent(list []mention) diag.List {
	var out diag.List
	for _, x := range list {
		if n.has(x) {
			continue
		}
		how, hint := "is", ""
		if x.prefix {
			how = "begins with"
		} else if near := document.Nearest(x.text, slices.Sorted(maps.Keys(n[x.of]))); near != "" {
			hint = "; did you mean \"" + near + "\"?"
		} else if x.listed {
			continue
		}
		out.Add(diag.RuleNameAbsent.At(x.place, "no %s of the plans given %s %q%s", x.of.kind+" "+x.of.field, how, x.text, hint))
	}
	return out
}
