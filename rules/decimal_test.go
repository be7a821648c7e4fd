package rules

import (
	"math/big"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// XML Schema Part 2, 3.2.3.1, lexical representation of decimal.
var lexical = regexp.MustCompile(`^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)$`)

func TestDecimalsAreThoseOfXMLSchema(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[-+]?[0-9]{0,3}[.,]?[0-9]{0,3}[e ]?`).Draw(t, "text")
		got, ok := decimalText(s, false)
		if ok != lexical.MatchString(s) {
			t.Fatalf("%q: %t", s, ok)
		}
		if !ok {
			return
		}
		// The same number, to the last digit, in the form that is issued.
		want, _ := new(big.Rat).SetString(s)
		is, parsed := new(big.Rat).SetString(got)
		if !parsed || want.Cmp(is) != 0 || !regexp.MustCompile(`^[+-]?[0-9]+(\.[0-9]+)?$`).MatchString(got) {
			t.Fatalf("%q became %q", s, got)
		}
		if i := strings.Trim(s, "+-"); !strings.HasPrefix(i, ".") && !strings.HasSuffix(i, ".") {
			assert.Equal(t, s, got, "the plan's digits stay")
		}
	})
}

func TestDecimalComma(t *testing.T) {
	for s, want := range map[string]string{"2,5": "2.5", "-0,50": "-0.50", "7": "7", "2.5": "", "1.000,5": "", "1 000": "", ",": "", "": "", "²": "", "٣": ""} {
		got, ok := decimalText(s, true)
		assert.Equal(t, want, got, s)
		assert.Equal(t, want != "", ok, s)
	}
}
