package selector

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"planfold/convert/plan"
)

// kind of a token (XPath 1.0, 3.7).
type kind int

const (
	tokEnd kind = iota
	tokNumber
	tokLiteral
	tokName   // prefix:local; local is "*" for any
	tokSymbol // punctuation, and operators that are no names
	tokWord   // and, or, div, mod, and * between operands
)

type token struct {
	kind   kind
	at     int    // byte offset
	text   string // of a name, its local part
	prefix string
}

func (t token) String() string {
	switch t.kind {
	case tokEnd:
		return "the end"
	case tokLiteral:
		return "a text"
	}
	if t.prefix != "" {
		return fmt.Sprintf("%q", t.prefix+":"+t.text)
	}
	return fmt.Sprintf("%q", t.text)
}

// tokens cuts an expression up; the last token is the end.
func tokens(text string) ([]token, *Error) {
	var out []token
	for i := 0; ; {
		for i < len(text) && strings.IndexByte(" \t\r\n", text[i]) >= 0 {
			i++
		}
		t := token{kind: tokEnd, at: i}
		if i == len(text) {
			return append(out, t), nil
		}
		n, err := t.scan(text, operandBefore(out))
		if err != nil {
			return nil, err
		}
		i += n
		out = append(out, t)
	}
}

// operandBefore reports that what was read so far ends an operand, so that a star
// or a name can only be an operator.
func operandBefore(out []token) bool {
	if len(out) == 0 {
		return false
	}
	switch t := out[len(out)-1]; t.kind {
	case tokWord:
		return false
	case tokSymbol:
		return t.text == ")" || t.text == "]" || t.text == "." || t.text == ".."
	}
	return true
}

// scan reads the token at t.at and returns its length.
func (t *token) scan(text string, afterOperand bool) (int, *Error) {
	rest := text[t.at:]
	switch c := rest[0]; {
	case c == '"' || c == '\'':
		end := strings.IndexByte(rest[1:], c)
		if end < 0 {
			return 0, wrong(text, t.at, "a text without its closing quote")
		}
		t.kind, t.text = tokLiteral, rest[1:end+1]
		return end + 2, nil
	case isDigit(c) || c == '.' && len(rest) > 1 && isDigit(rest[1]):
		t.kind, t.text = tokNumber, rest[:numberLength(rest)]
		return len(t.text), nil
	case c == '*':
		t.kind, t.text = tokName, "*"
		if afterOperand {
			t.kind = tokWord
		}
		return 1, nil
	}
	for _, s := range []string{"..", "::", "//", "!=", "<=", ">=", "(", ")", "[", "]", ".", "@", ",", "/", "|", "+", "-", "=", "<", ">", "$"} {
		if strings.HasPrefix(rest, s) {
			t.kind, t.text = tokSymbol, s
			return len(s), nil
		}
	}
	return t.scanName(text, afterOperand)
}

func (t *token) scanName(text string, afterOperand bool) (int, *Error) {
	rest := text[t.at:]
	n := plan.NameLength(rest)
	if n == 0 {
		r, _ := utf8.DecodeRuneInString(rest)
		return 0, wrong(text, t.at, fmt.Sprintf("%q has no meaning here", r))
	}
	t.kind, t.text = tokName, rest[:n]
	if afterOperand {
		t.kind = tokWord
		if t.text != "and" && t.text != "or" && t.text != "div" && t.text != "mod" {
			return 0, wrong(text, t.at, fmt.Sprintf("%q where an operator is due", t.text))
		}
		return n, nil
	}
	rest = rest[n:]
	if !strings.HasPrefix(rest, ":") || strings.HasPrefix(rest, "::") {
		return n, nil
	}
	t.prefix = t.text
	m := plan.NameLength(rest[1:])
	if strings.HasPrefix(rest, ":*") {
		m = 1
	}
	if m == 0 {
		return 0, wrong(text, t.at+n, "a prefix without a name behind its colon")
	}
	t.text = rest[1 : 1+m]
	return n + 1 + m, nil
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func numberLength(s string) int {
	n, dots := 0, 0
	for n < len(s) && (isDigit(s[n]) || s[n] == '.' && dots == 0) {
		if s[n] == '.' {
			dots++
		}
		n++
	}
	return n
}
