package step

import (
	"cmp"
	"strings"
)

// compareNatural compares as people number revisions: A < B < Z < AA, 9 < 10.
func compareNatural(a, b string) int {
	for a != "" && b != "" {
		x, restA := nextRun(a)
		y, restB := nextRun(b)
		if isDigit(x[0]) && isDigit(y[0]) {
			x, y = strings.TrimLeft(x, "0"), strings.TrimLeft(y, "0")
		}
		if c := cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)); c != 0 {
			return c
		}
		a, b = restA, restB
	}
	return cmp.Compare(len(a), len(b))
}

// nextRun cuts the leading run of digits, or of other characters, off s.
func nextRun(s string) (run, rest string) {
	i := 1
	for i < len(s) && isDigit(s[i]) == isDigit(s[0]) {
		i++
	}
	return s[:i], s[i:]
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
