package selector

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"
)

// function of XPath 1.0's core library (4).
type function struct {
	name     string
	min, max int
	shape    shape // of its value
	set      bool  // its arguments must be nodes
	content  bool  // it reads the content of its node arguments, or of the context node when it has none
	eval     func(*context, *expr) value
	why      string // it is not available
}

func (f *function) arity() string {
	switch {
	case f.max == many:
		return fmt.Sprintf("at least %d arguments", f.min)
	case f.min != f.max:
		return fmt.Sprintf("%d to %d arguments", f.min, f.max)
	case f.min == 1:
		return "1 argument"
	}
	return fmt.Sprintf("%d arguments", f.min)
}

const many = 1 << 10

var functions = byName(
	&function{name: "last", shape: aNumber, eval: func(c *context, _ *expr) value { return number(float64(c.size)) }},
	&function{name: "position", shape: aNumber, eval: func(c *context, _ *expr) value { return number(float64(c.position)) }},
	&function{name: "count", min: 1, max: 1, shape: aNumber, set: true, eval: func(c *context, e *expr) value { return number(float64(len(c.nodes(e.args[0])))) }},
	&function{name: "id", max: 1, why: "an export says of no attribute that it is an identifier; compare the attribute"},
	&function{name: "local-name", max: 1, shape: aText, set: true, eval: nameOf(func(_ *expr, _, local string) string { return local })},
	&function{name: "namespace-uri", max: 1, shape: aText, set: true, eval: nameOf(func(_ *expr, space, _ string) string { return space })},
	&function{name: "name", max: 1, shape: aText, set: true, eval: nameOf(prefixed)},
	&function{name: "string", max: 1, shape: aText, content: true, eval: func(c *context, e *expr) value { return texted(c.argument(e)) }},
	&function{name: "concat", min: 2, max: many, shape: aText, content: true, eval: concat},
	&function{name: "starts-with", min: 2, max: 2, shape: aBool, content: true, eval: onTexts(strings.HasPrefix)},
	&function{name: "contains", min: 2, max: 2, shape: aBool, content: true, eval: onTexts(strings.Contains)},
	&function{name: "substring-before", min: 2, max: 2, shape: aText, content: true, eval: substringBefore},
	&function{name: "substring-after", min: 2, max: 2, shape: aText, content: true, eval: substringAfter},
	&function{name: "substring", min: 2, max: 3, shape: aText, content: true, eval: substring},
	&function{name: "string-length", max: 1, shape: aNumber, content: true, eval: func(c *context, e *expr) value { return number(float64(utf8.RuneCountInString(c.argument(e)))) }},
	&function{name: "normalize-space", max: 1, shape: aText, content: true, eval: func(c *context, e *expr) value { return texted(normalizeSpace(c.argument(e))) }},
	&function{name: "translate", min: 3, max: 3, shape: aText, content: true, eval: translate},
	&function{name: "boolean", min: 1, max: 1, shape: aBool, eval: func(c *context, e *expr) value { return truth(c.truth(e.args[0])) }},
	&function{name: "not", min: 1, max: 1, shape: aBool, eval: func(c *context, e *expr) value { return truth(!c.truth(e.args[0])) }},
	&function{name: "true", shape: aBool, eval: func(*context, *expr) value { return truth(true) }},
	&function{name: "false", shape: aBool, eval: func(*context, *expr) value { return truth(false) }},
	&function{name: "lang", min: 1, max: 1, shape: aBool, content: true, eval: isLang},
	&function{name: "number", max: 1, shape: aNumber, content: true, eval: toNumber},
	&function{name: "sum", min: 1, max: 1, shape: aNumber, set: true, content: true, eval: sum},
	&function{name: "floor", min: 1, max: 1, shape: aNumber, content: true, eval: onNumber(math.Floor)},
	&function{name: "ceiling", min: 1, max: 1, shape: aNumber, content: true, eval: onNumber(math.Ceil)},
	&function{name: "round", min: 1, max: 1, shape: aNumber, content: true, eval: onNumber(round)},
)

func byName(rows ...*function) map[string]*function {
	out := make(map[string]*function, len(rows))
	for _, f := range rows {
		out[f.name] = f
	}
	return out
}

func number(f float64) value { return value{shape: aNumber, number: f} }
func texted(s string) value  { return value{shape: aText, text: s} }
func truth(b bool) value     { return value{shape: aBool, truth: b} }

// argument is the text of the first argument, or of the context node without one.
func (c *context) argument(e *expr) string {
	if len(e.args) == 0 {
		c.tellSelf()
		return c.node.value()
	}
	return c.textOf(e.args[0])
}

func nameOf(pick func(e *expr, space, local string) string) func(*context, *expr) value {
	return func(c *context, e *expr) value {
		n := c.node
		if len(e.args) == 0 {
			c.tellSelf()
		} else {
			nodes := c.nodes(e.args[0])
			if len(nodes) == 0 {
				return texted("")
			}
			n = nodes[0]
		}
		space, local := n.name()
		return texted(pick(e, space, local))
	}
}

func prefixed(e *expr, space, local string) string {
	if p := e.prefixes[space]; p != "" && space != "" {
		return p + ":" + local
	}
	return local
}

func concat(c *context, e *expr) value {
	var b strings.Builder
	for _, a := range e.args {
		b.WriteString(c.textOf(a))
	}
	return texted(b.String())
}

func onTexts(do func(a, b string) bool) func(*context, *expr) value {
	return func(c *context, e *expr) value { return truth(do(c.textOf(e.args[0]), c.textOf(e.args[1]))) }
}

func onNumber(do func(float64) float64) func(*context, *expr) value {
	return func(c *context, e *expr) value { return number(do(c.number(e.args[0]))) }
}

func substringBefore(c *context, e *expr) value {
	before, _, found := strings.Cut(c.textOf(e.args[0]), c.textOf(e.args[1]))
	if !found {
		return texted("")
	}
	return texted(before)
}

func substringAfter(c *context, e *expr) value {
	_, after, _ := strings.Cut(c.textOf(e.args[0]), c.textOf(e.args[1]))
	return texted(after)
}

// substring keeps the characters whose position is at least the rounded start and
// less than the sum of that and the rounded length; comparisons with what is not a
// number are false.
func substring(c *context, e *expr) value {
	s := c.textOf(e.args[0])
	start := round(c.number(e.args[1]))
	end := math.Inf(1)
	if len(e.args) == 3 {
		end = start + round(c.number(e.args[2]))
	}
	var b strings.Builder
	position := 0.0
	for _, r := range s {
		if position++; position >= start && position < end {
			b.WriteRune(r)
		}
	}
	return texted(b.String())
}

func normalizeSpace(s string) string {
	isSpace := func(r rune) bool { return strings.ContainsRune(space, r) }
	return strings.Join(strings.FieldsFunc(s, isSpace), " ")
}

func translate(c *context, e *expr) value {
	from, to := []rune(c.textOf(e.args[1])), []rune(c.textOf(e.args[2]))
	becomes := make(map[rune]rune, len(from))
	for i, r := range from {
		if _, again := becomes[r]; again {
			continue
		}
		if becomes[r] = -1; i < len(to) {
			becomes[r] = to[i]
		}
	}
	return texted(strings.Map(func(r rune) rune {
		if b, ok := becomes[r]; ok {
			return b
		}
		return r
	}, c.textOf(e.args[0])))
}

func isLang(c *context, e *expr) value {
	want, have := strings.ToLower(c.textOf(e.args[0])), strings.ToLower(lang(c.node.element))
	return truth(have == want || strings.HasPrefix(have, want+"-"))
}

func toNumber(c *context, e *expr) value {
	if len(e.args) == 0 {
		c.tellSelf()
		return number(parseNumber(c.node.value()))
	}
	return number(c.number(e.args[0]))
}

func sum(c *context, e *expr) value {
	total := 0.0
	for _, n := range c.nodes(e.args[0]) {
		total += parseNumber(n.value())
	}
	return number(total)
}

// round rounds halves up (XPath 1.0, 4.4).
func round(f float64) float64 {
	down := math.Floor(f)
	if f-down >= 0.5 {
		return down + 1
	}
	return down
}
