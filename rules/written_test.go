package rules

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"golang.org/x/net/html"
)

func TestTextIsHTMLWhereTheRulesSaySo(t *testing.T) {
	s := rulesOf(t, `
planfold: 1
read:
  plan: {match: /p, id: "@id"}
  operations:
    match: /p/o
    id: "@id"
    steps:
      each: s
      title: {path: t, html: true}
      text: {path: t}
`)
	m := s.of(t, "p.xml", []byte(`<p id="1"><o id="2">
<s><t>Press &lt;b&gt;flush&lt;/b&gt; &amp;amp; stop.&lt;br/&gt;Lip in.</t></s>
<s><t><![CDATA[<i onclick="x()">Lay</i> it<script>go()</script> down]]></t></s>
<s><t>Turn &lt; 3 mm, then 5 &amp;lt; 6</t></s></o></p>`), nil)
	steps := m.operation(t, "2").Steps
	assert.Equal(t, "Press flush & stop.\nLip in.", steps[0].Title.First())
	assert.Equal(t, "Press <b>flush</b> &amp; stop.<br/>Lip in.", steps[0].Title[0].Rich)
	assert.Equal(t, "Lay it down", steps[1].Title.First())
	assert.Equal(t, "<i>Lay</i> it down", steps[1].Title[0].Rich)
	assert.Equal(t, "Turn < 3 mm, then 5 < 6", steps[2].Title.First(), "a stray < is what HTML makes of it")
	assert.Empty(t, steps[2].Title[0].Rich)
	assert.Equal(t, `Press <b>flush</b> &amp; stop.<br/>Lip in.`, steps[0].Text.First(), "else it is what it is")
	assert.Len(t, m.Faults, 1, "what was dropped of the markup is said: %v", m.Faults)
	assert.Equal(t, 3, m.Faults[0].Position.Line)
}

// No word is lost, however the HTML is nested, and none takes long.
func TestWrittenHTMLKeepsItsWords(t *testing.T) {
	for _, deep := range []string{"<b>", "<div>", "<b><p>", "<a>", "<table>", "<ul><li>"} {
		e := written(strings.Repeat(deep, 20000)+"word", 1, 1)
		assert.Equal(t, "word", plainText(e), deep)
		richText(e)
	}
	e := written("<p>One<p>two</p></i> <ul><li>three<li>four</ul>five<br>six<hr/>seven", 1, 1)
	assert.Equal(t, "One\ntwo\nthree\nfour\nfive\nsix\nseven", plainText(e))
	rich, dropped := richText(e)
	assert.Equal(t, "<p>One</p><p>two</p> <ul><li>three</li><li>four</li></ul>five<br/>six<hr/>seven", rich)
	assert.False(t, dropped)
}

// An element that matches, but is no record by its content, stays in the record
// around it; what an occurrence stands in is the item around it.
func TestRecordsByTheirContent(t *testing.T) {
	s := rulesOf(t, `
planfold: 1
read:
  plan: {match: /p, id: "@id"}
  items: {match: /p/i, id: n}
  occurrences: {match: /p/i/u, id: n, item: of}
  operations:
    match: //g
    where: g
    id: n
    steps: {each: "g", id: n, text: t}
`)
	m := s.of(t, "p.xml", []byte(`<p id="1"><i><n>A</n><u><n>b-1</n><of>B</of></u></i><i><n>B</n></i>
<g><n>10</n><g><n>11</n><t>One</t></g><g><n>20</n><g><n>21</n><t>Two</t></g></g></g></p>`), nil)
	assert.Empty(t, m.Faults)
	assert.Equal(t, "10", m.operation(t, "20").Parent.Value)
	assert.Equal(t, "21", m.operation(t, "20").Steps[0].ID.Value)
	outer := m.operation(t, "10").Steps
	if assert.Len(t, outer, 1, "the operation inside is no step") {
		assert.Equal(t, "11", outer[0].ID.Value)
		assert.Equal(t, "One", outer[0].Text.First())
	}
	if assert.Len(t, m.Plan.Structure["A"], 1) {
		assert.Equal(t, "B", m.Plan.Structure["A"][0].Item.Value)
	}
}

// Whatever a plan has for HTML, nothing of it runs or loads anything.
func FuzzWritten(f *testing.F) {
	for _, text := range []string{"Press <b>flush</b>.", "<table><td>1", "<svg><script>x</script>", "&lt;img src=x onerror=y&gt;", "<a href='javascript:x'>y</a>", strings.Repeat("<b>", 600)} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		e := written(text, 3, 4)
		if e.Line != 3 || e.Column != 4 {
			t.Fatal("it is not where the text is")
		}
		plainText(e)
		rich, _ := richText(e)
		z := html.NewTokenizer(strings.NewReader(rich))
		for z.Next() != html.ErrorToken {
			for _, a := range z.Token().Attr {
				if !slices.Contains([]string{"colspan", "rowspan", "rel"}, a.Key) && !(a.Key == "href" && strings.HasPrefix(a.Val, "http")) {
					t.Fatalf("%q has %s", rich, a.Key)
				}
			}
		}
	})
}
