package document

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func parsed(t *testing.T, text string) *Node {
	t.Helper()
	var faults Faults
	n := Parse("r.yaml", []byte(text), &faults)
	require.Empty(t, faults.List())
	return n
}

// place is the line and column of the first "X" of a text, which is where locate
// must find it.
func place(text string) (line, column int) {
	before, _, _ := strings.Cut(text, "X")
	line = strings.Count(before, "\n") + 1
	return line, len([]rune(before[strings.LastIndexByte(before, '\n')+1:])) + 1
}

func TestCharactersAreFoundHoweverTheyAreWritten(t *testing.T) {
	for name, text := range map[string]string{
		"plain":                    "key: abc X def\n",
		"plain over lines":         "key: abc\n  def\n  gh X\n",
		"plain in a list":          "key: [a, abcX]\n",
		"after letters of 2 bytes": "{ä: ö, key: äöü X}\n",
		"single quotes":            "key: 'it''s X'\n",
		"single quotes over lines": "key: 'it''s\n   so\n\n   X'\n",
		"double quotes":            "key: \"a\\tb \\u00e4 \\x41 \\\" X\"\n",
		"double quotes over lines": "key: \"a\n   b X\"\n",
		"literal":                  "key: |\n  abc\n\n    X def\n",
		"literal, indented by 4":   "key: |-\n    abc\n    def X\n",
		"folded":                   "key: >-\n  abc\n  def\n\n  gh X\n",
		"folded, indented more":    "key: >\n  abc[\n    @x = X\n  ]\n",
		"byte order mark":          "\ufeffkey: X\n",
		"line ends of two":         "a: b\r\nkey: |\r\n  abc\r\n  X\r\n",
	} {
		n := parsed(t, text).Get("key")
		if n.Kind == List {
			n = n.Values[1]
		}
		at := strings.IndexRune(n.Text, 'X')
		require.GreaterOrEqual(t, at, 0, name)
		p := n.Position(len([]rune(n.Text[:at])))
		line, column := place(strings.TrimPrefix(text, "\ufeff"))
		assert.Equal(t, [2]int{line, column}, [2]int{p.Line, p.Column}, name)
	}
}

func TestPositionsStayInTheFile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`key: ("[a-z\\n ]{0,8}"|'[a-z'' ]{0,8}'|\|\n( [a-z ]{0,5}\n){0,4}|>\n(  [a-z ]{0,5}\n){0,4}|[a-z]{0,5}(\n  [a-z]{1,4}){0,3})\n`).Draw(t, "text")
		var faults Faults
		n := Parse("r.yaml", []byte(text), &faults)
		if n == nil {
			return
		}
		v := n.Get("key")
		lines := strings.Split(text, "\n")
		for i := range len([]rune(v.Text)) + 2 {
			p := v.Position(i)
			if p.Line < 1 || p.Line > len(lines) || p.Column < 1 || p.Column > len(lines[p.Line-1])+1 {
				t.Fatalf("%q character %d stands at %v", text, i, p)
			}
		}
	})
}

func TestOffsetsAreThoseOfTheText(t *testing.T) {
	n := parsed(t, "key: |\n  ab\n  cde\n").Get("key")
	assert.Equal(t, 0, n.Offset(1, 1))
	assert.Equal(t, 1, n.Offset(1, 2))
	assert.Equal(t, 5, n.Offset(2, 3))
}

func TestNearest(t *testing.T) {
	known := []string{"title", "text", "quantity", "id"}
	for name, want := range map[string]string{
		"titel": "title", "Title": "title", "quantitty": "quantity", "qty": "", "x": "", "di": "id", "txt": "text", "attachment": "",
	} {
		assert.Equal(t, want, Nearest(name, known), name)
	}
}

func TestDistanceIsAMeasure(t *testing.T) {
	word := rapid.StringMatching(`[abc]{0,5}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		d := distance(a, b)
		if d != distance(b, a) || (d == 0) != (a == b) || d > max(len(a), len(b)) {
			t.Fatal(a, b, d)
		}
	})
	assert.Equal(t, 1, distance("ab", "ba"), "neighbours swapped")
	assert.Equal(t, 3, distance("kitten", "sitting"))
}

func TestAliasesAreWrittenOut(t *testing.T) {
	n := parsed(t, "a: &a {x: 1}\nb: *a\n")
	assert.Equal(t, "1", n.Get("b").Get("x").Text)
	assert.Equal(t, 1, n.Get("b").Get("x").Line, "a fault is shown where the text stands")
}

func TestAnAliasOfItselfIsALimit(t *testing.T) {
	var faults Faults
	Parse("r.yaml", []byte("a: &a [*a]\n"), &faults)
	require.Len(t, faults.List(), 1)
	assert.Equal(t, "RULE_LIMIT", faults.List()[0].Code)
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"a: 1", "a: [1, {b: 'c'}]", "a: &x [*x]", "? [a]\n: b", "a: |\n x\n", "\ufeff", "- a", "a: \"\\"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		var faults Faults
		n := Parse("r.yaml", b, &faults)
		if n == nil && !faults.Any() {
			t.Fatal("nothing, and no fault")
		}
	})
}
