package rules

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"

	"planfold/convert/diag"
	"planfold/rules/action"
	"planfold/rules/document"
)

// Templates: a text of an action in which ${ } holds expressions over what the
// rule's condition sees. Each gives a text or a whole number, and never nothing: an
// instruction with a hole in it reads as if it were whole. $${ is ${ as it is.

// piece of a template: text as it is, or an expression.
type piece struct {
	text    string // of an expression: as it is written
	program cel.Program
}

// text compiles a text of an action for rules of one kind of object. It is nil when
// there is a fault, or no node.
func (c *compiler) text(kind string) func(n *document.Node, where string) *action.Text {
	return func(n *document.Node, where string) *action.Text {
		text := c.faults.Text(n, where)
		if text == "" {
			return nil
		}
		pieces, ok := c.pieces(n, text, kind)
		switch {
		case !ok:
			return nil
		case len(pieces) == 1 && pieces[0].program == nil:
			return &action.Text{Fixed: pieces[0].text}
		}
		return &action.Text{Make: func(variables map[string]any) (string, error) { return filled(pieces, variables) }}
	}
}

// pieces divides a text. Neighbouring texts are one.
func (c *compiler) pieces(n *document.Node, text, kind string) ([]piece, bool) {
	var out []piece
	var plain strings.Builder
	good := true
	end := func() {
		if plain.Len() > 0 {
			out = append(out, piece{text: plain.String()})
			plain.Reset()
		}
	}
	for at := 0; at < len(text); {
		rest := text[at:]
		switch {
		case strings.HasPrefix(rest, "$${"):
			plain.WriteString("${")
			at += 3
		case strings.HasPrefix(rest, "${"):
			length := closing(rest[2:])
			if length < 0 {
				c.faults.AddAt(diag.RuleTemplateInvalid, n, len([]rune(text[:at])), "the expression that begins here has no } at its end")
				return nil, false
			}
			p, ok := c.expression(n, text, at+2, at+2+length, kind)
			if good = good && ok; ok && p.program == nil {
				plain.WriteString(p.text)
			} else {
				end()
				out = append(out, p)
			}
			at += 2 + length + 1
		default:
			plain.WriteByte(text[at])
			at++
		}
	}
	end()
	return out, good
}

// closing is where the brace that ends an expression stands, past texts in quotes and
// braces inside, or -1.
func closing(s string) int {
	depth := 0
	var quote byte
	for i := 0; i < len(s); i++ {
		switch b := s[i]; {
		case quote != 0:
			if b == '\\' {
				i++
			} else if b == quote {
				quote = 0
			}
		case b == '"' || b == '\'':
			quote = b
		case b == '{':
			depth++
		case b == '}' && depth == 0:
			return i
		case b == '}':
			depth--
		}
	}
	return -1
}

// parameterAlone is an expression that is a parameter as it stands.
var parameterAlone = regexp.MustCompile(`^\s*parameters\.([A-Za-z_][A-Za-z0-9_]*)\s*$`)

// expression compiles what stands between two places of a text. All before it is
// blanked out, so that lines and columns are those of the text.
func (c *compiler) expression(n *document.Node, text string, from, to int, kind string) (piece, bool) {
	source := text[from:to]
	blank := strings.Map(func(r rune) rune {
		if r == '\n' {
			return r
		}
		return ' '
	}, text[:from])
	if strings.TrimSpace(source) == "" {
		c.faults.AddAt(diag.RuleTemplateInvalid, n, len([]rune(text[:from])), "there is no expression between ${ and }")
		return piece{}, false
	}
	ast := c.checked(&c.conditions, diag.RuleTemplateInvalid, n, blank+source, kind)
	if ast == nil {
		return piece{}, false
	}
	switch t := ast.OutputType(); {
	case t.IsExactType(cel.StringType), t.IsExactType(cel.IntType), t.IsExactType(cel.DynType):
	case t.IsExactType(cel.DoubleType) && parameterAlone.MatchString(source):
		// As the rule file writes it: 4.50 keeps its last digit.
		return piece{text: c.written[parameterAlone.FindStringSubmatch(source)[1]]}, true
	default:
		c.faults.AddAt(diag.RuleTemplateInvalid, n, len([]rune(text[:from])), "the expression gives %s, not a text (string) or a whole number (int)%s", typesPlainly.Replace(t.String()), insteadOf(t))
		return piece{}, false
	}
	p := c.program(&c.conditions, diag.RuleTemplateInvalid, n, ast, kind)
	return piece{strings.TrimSpace(source), p}, p != nil
}

func insteadOf(t *cel.Type) string {
	switch {
	case t.IsExactType(cel.DoubleType):
		return "; a computed number with decimals is not exact"
	case t.Kind() == types.OpaqueKind:
		return "; it may be unknown: add .orValue(…)"
	case t.Kind() == types.ListKind:
		return "; add .join(\", \")"
	}
	return ""
}

// filled is the text that a template makes for an object.
func filled(pieces []piece, variables map[string]any) (string, error) {
	var b strings.Builder
	for _, p := range pieces {
		if p.program == nil {
			b.WriteString(p.text)
			continue
		}
		v, _, err := p.program.Eval(variables)
		if err != nil {
			return "", fmt.Errorf("${%s}: %w", p.text, err)
		}
		switch v := v.Value().(type) {
		case string:
			if strings.TrimSpace(v) == "" {
				return "", fmt.Errorf("${%s} gives nothing", p.text)
			}
			b.WriteString(v)
		case int64:
			b.WriteString(strconv.FormatInt(v, 10))
		default:
			return "", fmt.Errorf("${%s} gives no text", p.text)
		}
	}
	return b.String(), nil
}
