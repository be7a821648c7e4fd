package source

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Whatever Number reads is what strconv reads, to the last bit.
func TestNumberIsRoundedOnce(t *testing.T) {
	same := func(t assert.TestingT, text string) {
		want, err := strconv.ParseFloat(text, 64)
		got, fault := Number([]byte(text))
		assert.Equal(t, err == nil, fault == nil, "%q: %v, %v", text, err, fault)
		if err == nil {
			assert.Equal(t, math.Float64bits(want), math.Float64bits(got), text)
		}
	}
	for _, text := range []string{
		"", "-", "+", ".", "-.", ".5", "5.", "-0", "-0.0e5", "1e", "1e+", "1e-5", "1E22", "1e23", "1.5e-22", "1e-23", "1e0022", "1e00000",
		"9007199254740992", "9007199254740993", "9007199254740993e-5", "0.1", "123456789012345678901234567890", "99999999999999999999e-19",
		"0.00000000000000000000000000000001", "18446744073709551617", "1.7976931348623157e308", "1e309", "4.9e-324", "1-2", "--1", "1e5e5", "1.2.3",
	} {
		same(t, text)
	}
	rapid.Check(t, func(t *rapid.T) {
		same(t, rapid.StringMatching(`[-+]?[0-9]{0,20}(\.[0-9]{0,20})?([eE][-+]?[0-9]{0,4})?`).Draw(t, "text"))
		number := rapid.Float64().Draw(t, "number")
		for _, format := range []byte("efg") {
			for _, digits := range []int{-1, 6, 9, 17} {
				same(t, strconv.FormatFloat(number, format, digits, 64))
				same(t, strconv.FormatFloat(math.Mod(number, 1000), format, digits, 64))
				same(t, strconv.FormatFloat(math.Mod(number, 1), format, digits, 32))
			}
		}
	})
}

// A prefix is followed by anything, and is no longer than the number.
func TestPrefixEnds(t *testing.T) {
	for text, want := range map[string]int{"1.5 2": 3, "-1e-3/": 5, "1,5": 1, "1ex": 0, "x": 0, "": 0, "+1": 0} {
		_, n := Prefix([]byte(text))
		assert.Equal(t, want, n, text)
	}
}
