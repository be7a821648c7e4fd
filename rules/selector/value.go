package selector

import (
	"math"
	"strconv"
	"strings"
)

// value of an expression: one of four types (XPath 1.0, 1).
type value struct {
	shape  shape
	set    []node
	number float64
	text   string
	truth  bool
}

func (v *value) asText() string {
	switch v.shape {
	case aSet:
		if len(v.set) == 0 {
			return ""
		}
		return v.set[0].value()
	case aNumber:
		return formatNumber(v.number)
	case aBool:
		return strconv.FormatBool(v.truth)
	}
	return v.text
}

func (v *value) asNumber() float64 {
	switch v.shape {
	case aNumber:
		return v.number
	case aBool:
		if v.truth {
			return 1
		}
		return 0
	}
	return parseNumber(v.asText())
}

func (v *value) asBool() bool {
	switch v.shape {
	case aSet:
		return len(v.set) > 0
	case aNumber:
		return v.number != 0 && !math.IsNaN(v.number)
	case aText:
		return v.text != ""
	}
	return v.truth
}

// formatNumber writes a number as string() does (XPath 1.0, 4.2).
func formatNumber(f float64) string {
	switch {
	case math.IsInf(f, 1):
		return "Infinity"
	case math.IsInf(f, -1):
		return "-Infinity"
	case f == 0:
		return "0"
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

const space = " \t\r\n"

// parseNumber reads a number as number() does (XPath 1.0, 4.4): digits with at most
// a minus and a point; anything else is not a number.
func parseNumber(s string) float64 {
	s = strings.Trim(s, space)
	digits := strings.TrimPrefix(s, "-")
	if digits == "" || digits == "." || numberLength(digits) != len(digits) {
		return math.NaN()
	}
	f, _ := strconv.ParseFloat(s, 64) // out of range is infinite
	return f
}

// compare holds two values against each other (XPath 1.0, 3.4).
func compare(o op, a, b value) bool {
	if a.shape == aSet && b.shape == aSet {
		for _, x := range a.set {
			for _, y := range b.set {
				if compareSimple(o, texted(x.value()), texted(y.value())) {
					return true
				}
			}
		}
		return false
	}
	if b.shape == aSet {
		a, b, o = b, a, mirrored(o)
	}
	if a.shape == aSet && b.shape != aBool {
		for _, n := range a.set {
			if compareSimple(o, texted(n.value()), b) {
				return true
			}
		}
		return false
	}
	return compareSimple(o, a, b)
}

// mirrored is the operator that says the same with its sides exchanged.
func mirrored(o op) op {
	switch o {
	case opLess:
		return opGreater
	case opLessEqual:
		return opGreaterEqual
	case opGreater:
		return opLess
	case opGreaterEqual:
		return opLessEqual
	}
	return o
}

// compareSimple compares values of which none is a set, but for one against a truth.
func compareSimple(o op, a, b value) bool {
	if o == opEqual || o == opUnequal {
		same := false
		switch {
		case a.shape == aBool || b.shape == aBool:
			same = a.asBool() == b.asBool()
		case a.shape == aNumber || b.shape == aNumber:
			same = a.asNumber() == b.asNumber()
		default:
			same = a.text == b.text
		}
		return same == (o == opEqual)
	}
	if a.shape == aSet {
		a = truth(a.asBool())
	}
	return ordered(o, a.asNumber(), b.asNumber())
}

func ordered(o op, a, b float64) bool {
	switch o {
	case opLess:
		return a < b
	case opLessEqual:
		return a <= b
	case opGreater:
		return a > b
	}
	return a >= b
}
