package rules

import (
	"cmp"
	"math/big"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/plan"
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

// add adds to each of the values what another gives. What cannot be added becomes
// no number, so that it is refused as one; unless it was, which add hands back.
func (m *mapping) add(v *value, to []found, e *plan.Element) (refused bool) {
	addends, by := m.take(&binding{values: []*value{v}}, e)
	m.noteRead(nil, nil, by, addends)
	for i := range to {
		switch f := &to[i]; len(addends) {
		case 0:
			f.text += " plus nothing"
		case 1:
			*f = m.sum(*f, addends[0])
		default:
			f.text += " plus one of several values"
		}
	}
	return len(addends) == 0 && m.refused(v, e)
}

// refused reports that a value finds a text of which its pattern takes nothing, and that
// the record was told so: another field has that value too.
func (m *mapping) refused(v *value, e *plan.Element) bool {
	from := m.begins(v, e)
	if v.pattern == nil || from == nil || v.where != nil && !v.where.Bool(from) {
		return false
	}
	there := m.untaken(v, from)
	return there != nil && slices.ContainsFunc(m.faults[m.began:], func(d diag.Diagnostic) bool {
		return d.Position.Line == there.origin.Line && d.Position.Column == there.origin.Column
	})
}

// sum is exact, with the digits behind the point of the longer one.
func (m *mapping) sum(a, b found) found {
	x, isNumber := m.decimal(a)
	y, isOther := m.decimal(b)
	if a.given {
		a.origin, a.given = b.origin, b.given
	}
	if !isNumber || !isOther {
		a.text += " plus " + b.text
		return a
	}
	p, _ := new(big.Rat).SetString(x)
	q, _ := new(big.Rat).SetString(y)
	a.text = p.Add(p, q).FloatString(max(placesOf(x), placesOf(y)))
	if m.comma(a) {
		a.text = strings.Replace(a.text, ".", ",", 1)
	}
	return a
}

// decimal is the number that was found.
func (m *mapping) decimal(f found) (string, bool) {
	return decimalText(oneLine(f.text), m.comma(f))
}

// comma reports whether a number has one: what the rules give themselves has a point.
func (m *mapping) comma(f found) bool { return m.decimalComma && !f.given }

func placesOf(decimal string) int {
	_, part, _ := strings.Cut(decimal, ".")
	return len(part)
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
