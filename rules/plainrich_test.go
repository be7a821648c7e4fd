package rules

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/plan"
)

// What is written without sanitising is what sanitising gives, for random texts.
func TestInlineTextIsAsSanitised(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	words := []string{"", " ", "turn", "\n  ", "\r", "a < b", "&", "&amp;", "]]>", "\"'", "ä🔩", "\u0080", "\u00a0", "\t", "<b>", "\ufeff"}
	names := []string{"b", "b", "b", "strong", "i", "em", "u", "s", "sub", "sup", "small", "code"}
	var fill func(e *plan.Element, depth int)
	fill = func(e *plan.Element, depth int) {
		for range r.IntN(4) {
			e.Content = append(e.Content, plan.Node{Text: words[r.IntN(len(words))] + words[r.IntN(len(words))]})
			if depth < 8 && r.IntN(3) > 0 {
				c := &plan.Element{Parent: e}
				c.Name.Local = names[r.IntN(len(names))]
				fill(c, depth+1)
				e.Content = append(e.Content, plan.Node{Element: c})
			}
		}
	}
	for range 5_000 {
		e := &plan.Element{}
		fill(e, 0)
		if !hasMarkup(e) {
			continue
		}
		var b strings.Builder
		require.True(t, inlineText(&b, e))
		rich, dropped := sanitised(e)
		require.Equal(t, rich, strings.TrimSpace(b.String()))
		require.False(t, dropped)
	}
}

func TestInlineTextRefusesTheRest(t *testing.T) {
	for _, change := range []func(*plan.Element){
		func(e *plan.Element) { e.Name.Local = "p" },
		func(e *plan.Element) { e.Name.Local = "B" },
		func(e *plan.Element) { e.Cut = true },
		func(e *plan.Element) { e.Attributes = make([]plan.Attribute, 1) },
	} {
		e, c := &plan.Element{}, &plan.Element{}
		c.Name.Local = "b"
		e.Content = []plan.Node{{Element: c}}
		assert.True(t, inlineText(new(strings.Builder), e))
		change(c)
		assert.False(t, inlineText(new(strings.Builder), e))
	}
}
