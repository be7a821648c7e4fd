package action

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"planfold/convert/diag"
	"planfold/rules/document"
)

func TestEveryActionIsDescribed(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rows() {
		assert.False(t, seen[r.Name], r.Name)
		seen[r.Name] = true
		assert.NotEmpty(t, r.Takes, r.Name)
		assert.NotEmpty(t, r.Does, r.Name)
		assert.NotEmpty(t, r.For, r.Name)
		for _, k := range r.For {
			assert.True(t, slices.Contains(Kinds, k), "%s is for a %s", r.Name, k)
		}
	}
}

// No action may take an argument of another kind in silence.
func TestEveryActionRefusesNonsense(t *testing.T) {
	for _, r := range Rows() {
		for _, argument := range []string{"[[]]", "{nonsense: 1}", "{}", "''", "~"} {
			for _, kind := range r.For {
				var faults document.Faults
				n := document.Parse("r.yaml", []byte(r.Name+": "+argument+"\n"), &faults)
				c := Compiler{Kind: kind, Metres: 1, Faults: &faults, Uses: func(string) {}, Tag: func(n *document.Node, text string) string {
					faults.Add(diag.RuleValueInvalid, n, "no language")
					return ""
				}, Text: func(n *document.Node, where string) *Text {
					if text := faults.Text(n, where); text != "" {
						return &Text{Fixed: text}
					}
					return nil
				}}
				assert.Empty(t, c.Compile(n), "%s: %s", r.Name, argument)
				assert.True(t, faults.Any(), "%s: %s", r.Name, argument)
			}
		}
	}
}

// IEC 61966-2-1, 5.2: black, white, both sides of the linear part, and the
// inverse of the transfer function within the rounding.
func TestLinearUndoesTheTransferFunction(t *testing.T) {
	assert.Equal(t, 0.0, linear(0))
	assert.Equal(t, 1.0, linear(255))
	for c := range 256 {
		l := linear(byte(c))
		s := 12.92 * l
		if l > 0.0031308 {
			s = 1.055*math.Pow(l, 1/2.4) - 0.055
		}
		assert.InDelta(t, float64(c), 255*s, 0.2)
		assert.Equal(t, fmt.Sprintf("#%02x0a%02x", c, c), Color([3]float64{l, linear(10), l}))
	}
}
