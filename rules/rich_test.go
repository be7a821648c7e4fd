package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/plan"
)

func element(t *testing.T, xml string) *plan.Element {
	t.Helper()
	var root *plan.Element
	faults, err := plan.Read(strings.NewReader(xml), "text.xml", func(e *plan.Element) bool { return e.Parent == nil },
		func(e *plan.Element) error { root = e; return nil })
	require.NoError(t, err)
	require.Empty(t, faults)
	return root
}

func TestRichText(t *testing.T) {
	for _, c := range []struct {
		name, xml, text, rich string
		dropped               bool
	}{
		{"words with marks", `<t>a <b>b</b> c</t>`, "a b c", "a <b>b</b> c", false},
		{"any namespace", `<t xmlns:h="urn:h">a <h:strong>b</h:strong></t>`, "a b", "a <strong>b</strong>", false},
		{"upper case", `<t>a<BR/>b</t>`, "a\nb", "a<br/>b", false},
		{"paragraphs", "<t>\n  <p>one\n  two</p>\n  <p>three</p>\n</t>", "one two\nthree", "<p>one\n  two</p>\n  <p>three</p>", false},
		{"a list", `<t>take:<ul><li>a</li><li>b <i>c</i></li></ul></t>`, "take:\na\nb c", "take:<ul><li>a</li><li>b <i>c</i></li></ul>", false},
		{"lines between marks", "<t>* a\n* <b>b</b>\n* c</t>", "* a\n* b\n* c", "* a\n* <b>b</b>\n* c", false},
		{"a table", `<t><table><tbody><tr><td colspan="2">a</td></tr></tbody></table></t>`, "a", `<table><tbody><tr><td colspan="2">a</td></tr></tbody></table>`, false},
		{"a table of several cells, without its body", `<t>See<table><tr><th>bolt</th><th>N·m</th></tr><tr><td>M8</td><td>24</td><td/></tr></table></t>`, "See\nbolt | N·m\nM8 | 24 |", `See<table><tbody><tr><th>bolt</th><th>N·m</th></tr><tr><td>M8</td><td>24</td><td></td></tr></tbody></table>`, false},
		{"a link", `<t><a href="https://example.org/x">a</a></t>`, "a", `<a href="https://example.org/x" rel="nofollow">a</a>`, true},
		{"a script", `<t>a<script>b()</script></t>`, "a", "", true},
		{"a handler", `<t><b onclick="x()">a</b></t>`, "a", "<b>a</b>", true},
		{"an address that runs", `<t><a href="javascript:x()">a</a></t>`, "a", "", true},
		{"a picture from afar", `<t>a<img src="https://example.org/a.png"/></t>`, "a", "", true},
		{"a style", `<t><span style="position:fixed">a</span></t>`, "a", "", true},
		{"unknown marks", `<t><menuPath>File</menuPath> &gt; <key>F3</key></t>`, "File > F3", "", true},
		{"escaped markup is text", `<t>a &lt;b&gt; <i>c</i></t>`, "a <b> c", "a &lt;b&gt; <i>c</i>", false},
		{"void with content", `<t>a<br>b</br>c</t>`, "a\nb\nc", "a<br/>bc", false},
	} {
		e := element(t, c.xml)
		assert.Equal(t, c.text, plainText(e), c.name)
		rich, dropped := richText(e)
		assert.Equal(t, c.rich, rich, c.name)
		assert.Equal(t, c.dropped, dropped, c.name)
	}
}

func TestParagraphs(t *testing.T) {
	for in, want := range map[string]string{
		"  a  b ":             "a  b",
		"\n   a\n   b\n":      "a\nb",
		"a\n\n\n  \n b":       "a\n\nb",
		"a\r\nb\rc\td":        "a\nb\nc d",
		" \n\t":               "",
		"one\n\n* x\n* y\n\n": "one\n\n* x\n* y",
		"\u00a0a\u00a0":       "a",
		"a\n \u2003\nb":       "a\n\nb",
	} {
		assert.Equal(t, want, paragraphs(in), "%q", in)
	}
}
