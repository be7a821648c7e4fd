package rules

import (
	"strings"

	"golang.org/x/net/html"

	"planfold/convert/plan"
)

// inline are elements that the policy lets stand anywhere in a text.
var inline = map[string]bool{"b": true, "strong": true, "i": true, "em": true, "u": true, "s": true, "sub": true, "sup": true, "small": true, "code": true}

// inlineText writes what most texts with markup are: words, some of them in inline
// elements without attributes. Sanitising and parsing would leave that as it is, at
// many times the cost.
func inlineText(b *strings.Builder, e *plan.Element) bool {
	for _, n := range e.Content {
		if n.Element == nil {
			b.WriteString(html.EscapeString(n.Text))
			continue
		}
		name := n.Element.Name.Local
		if !inline[name] || n.Element.Cut || len(n.Element.Attributes) > 0 {
			return false
		}
		b.WriteString("<" + name + ">")
		if !inlineText(b, n.Element) {
			return false
		}
		b.WriteString("</" + name + ">")
	}
	return true
}
