package main

import (
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"planfold/convert/diag"
)

func placeIn(text string, line, column int) string {
	p := diag.Position{File: "f", Line: line, Column: column}
	at := texts{"f": func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }}
	var b strings.Builder
	printPlace(&b, p, at.lines(diag.List{{Position: p}}))
	return b.String()
}

func TestCaretStandsBelowTheColumn(t *testing.T) {
	assert.Equal(t, "  2 | Grüße: [\n    |        ^\n", placeIn("a\r\nGrüße: [\r\nb", 2, 8))
	assert.Equal(t, "  1 | id: x\n    | ^\n", placeIn("\ufeffid: x", 1, 1), "a byte order mark is no character")
	assert.Equal(t, "  1 |   x\n    |   ^\n", placeIn("\t\tx", 1, 3), "a tab takes one column")
	assert.Equal(t, "  1 | ab\n    |   ^\n", placeIn("ab", 1, 3), "where something is missing at the end")
	assert.Equal(t, "  1 | \ufffd[31mx\n    |      ^\n", placeIn("\x1b[31mx", 1, 6), "a terminal is told nothing")
}

func TestPlaceThatIsNotInTheFileIsNotShown(t *testing.T) {
	for _, at := range [][2]int{{0, 1}, {4, 1}, {1, 0}, {1, 9}, {2, 1}} {
		assert.Empty(t, placeIn("abc\n\nx", at[0], at[1]))
	}
	assert.Empty(t, placeIn("\xff\xfea\x00", 1, 2), "no UTF-8")
}

func TestOnlyWhatIsAroundTheColumnOfALongLineIsShown(t *testing.T) {
	got := placeIn(strings.Repeat("a", 500)+"X"+strings.Repeat("b", 500), 1, 501)
	shown, caret, _ := strings.Cut(got, "\n")
	assert.Less(t, len(shown), 140)
	assert.Equal(t, strings.Index(strings.ReplaceAll(shown, "…", "."), "X"), strings.Index(caret, "^"))
	long := strings.Repeat("c", 3*widest)
	assert.Equal(t, "  2 | y\n    | ^\n", placeIn(long+"\ny", 2, 1), "a line longer than any buffer is stepped over")
	assert.Empty(t, placeIn(long, 1, 2*widest))
}
