package rules

import "strings"

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
