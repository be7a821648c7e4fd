package rules

import (
	"cmp"
	"strings"
)

// decimalText checks that a text is one decimal number (XML Schema Part 2, 3.2.3:
// no exponent, no grouping) and writes it with digits on both sides of a point.
// Where the dialect writes a comma, a point is refused: it may separate thousands.
func decimalText(s string, comma bool) (string, bool) {
	sign, digits := "", s
	if strings.HasPrefix(s, "-") || strings.HasPrefix(s, "+") {
		sign, digits = s[:1], s[1:]
	}
	separator := "."
	if comma {
		separator = ","
	}
	whole, part, split := strings.Cut(digits, separator)
	if !allDigits(whole) || !allDigits(part) || whole+part == "" {
		return "", false
	}
	if whole == "" {
		whole = "0"
	}
	if !split || part == "" {
		return sign + whole, true
	}
	return sign + whole + "." + part, true
}

func allDigits(s string) bool {
	return strings.Trim(s, "0123456789") == ""
}

// compareDecimals compares decimal texts by value, exactly.
func compareDecimals(a, b string) int {
	x, xNegative := magnitude(a)
	y, yNegative := magnitude(b)
	switch {
	case xNegative && yNegative:
		return compareMagnitudes(y, x)
	case xNegative:
		return -1
	case yNegative:
		return 1
	}
	return compareMagnitudes(x, y)
}

// magnitude is a decimal text without sign and without zeros that say nothing; of
// zero nothing is left, and it has no sign.
func magnitude(s string) (digits [2]string, negative bool) {
	digits[0], digits[1], _ = strings.Cut(strings.TrimLeft(s, "+-"), ".")
	digits[0], digits[1] = strings.TrimLeft(digits[0], "0"), strings.TrimRight(digits[1], "0")
	return digits, strings.HasPrefix(s, "-") && digits != [2]string{}
}

func compareMagnitudes(a, b [2]string) int {
	return cmp.Or(cmp.Compare(len(a[0]), len(b[0])), cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
}
