package selector

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/plan"
)

var ns = map[string]string{"p": "urn:planfold:plan:1", "q": "urn:other"}

// record reads a document and returns its elements of a name as records.
func record(t testing.TB, text, name string) *plan.Element {
	t.Helper()
	var out *plan.Element
	found, err := plan.Read(strings.NewReader(text), "t.xml", func(e *plan.Element) bool { return e.Name.Local == name },
		func(e *plan.Element) error {
			if out == nil {
				out = e
			}
			return nil
		})
	require.NoError(t, err)
	require.Empty(t, found)
	require.NotNil(t, out)
	return out
}

const document = `<plan xmlns="urn:planfold:plan:1" id="GR-200" xml:lang="en">
 <operations kind="all">
  <operation id="OP-10" number="010">
   <title>Fit housing</title>
   <title xml:lang="de">Gehäuse montieren</title>
   <step id="S-1" n="1"><text>Lift <b>both</b> halves.</text><part item="A" quantity="2"/><part item="B" quantity="10"/></step>
   <step id="S-2" n="2"><text>Close.</text><part item="A" quantity="1"/><note/></step>
  </operation>
 </operations>
</plan>`

func values(found []Found) []string {
	out := []string{}
	for _, f := range found {
		out = append(out, f.Value())
	}
	return out
}

func TestSelect(t *testing.T) {
	op := record(t, document, "operation")
	for _, c := range []struct {
		expr string
		want []string
	}{
		{"@id", []string{"OP-10"}},
		{"p:title", []string{"Fit housing", "Gehäuse montieren"}},
		{"p:title[lang('de')]", []string{"Gehäuse montieren"}},
		{"p:title[lang('en')]", []string{"Fit housing"}},
		{"title", []string{}},
		{"p:step/@id", []string{"S-1", "S-2"}},
		{"p:step[2]/@id", []string{"S-2"}},
		{"p:step[last()]/@id", []string{"S-2"}},
		{"p:step[p:part/@item = 'B']/@id", []string{"S-1"}},
		{"p:step['B' = p:part/@item]/@id", []string{"S-1"}},
		{"p:step/p:text", []string{"Lift both halves.", "Close."}},
		{".//p:part[1]/@quantity", []string{"2", "1"}},
		{"(.//p:part)[1]/@quantity", []string{"2"}},
		{".//p:part[@quantity > 1][@item='B']/@quantity", []string{"10"}},
		{".//p:part/@quantity[. = 10]/../@item", []string{"B"}},
		{"p:step/p:part[@item='A']/following-sibling::*/@item", []string{"B"}},
		{"p:*[2]", []string{"Gehäuse montieren"}},
		{"*[self::p:title]", []string{"Fit housing", "Gehäuse montieren"}},
		{"p:step/@n | @number | p:title[1]", []string{"010", "Fit housing", "1", "2"}},
		{"../@kind", []string{"all"}},
		{"../../@id", []string{"GR-200"}},
		{"ancestor::p:plan/@id", []string{"GR-200"}},
		{"ancestor::*[2]/@id", []string{"GR-200"}},
		{"ancestor-or-self::*/@xml:lang", []string{"en"}},
		{"name(..)", []string{"p:operations"}},
		{"local-name(ancestor::*[last()])", []string{"plan"}},
		{"count(p:step)", []string{"2"}},
		{"sum(.//@quantity)", []string{"13"}},
		{"sum(.//@quantity) div 0", []string{"Infinity"}},
		{"concat(@id, '/', p:step[1]/@id)", []string{"OP-10/S-1"}},
		{"number(@number) = 10", []string{"true"}},
		{"not(ancestor::q:x)", []string{"true"}},
		{"string(p:step/p:note)", []string{""}},
		{"p:step/p:text/text()", []string{"Lift ", " halves.", "Close."}},
		{"p:step/p:text/p:b/preceding-sibling::node()", []string{"Lift "}},
		{"p:step[not(p:note)]/@id", []string{"S-1"}},
		{"normalize-space('  a \t b ')", []string{"a b"}},
		{"translate('bar','abc','AB')", []string{"BAr"}},
		{"substring('12345', 1.5, 2.6)", []string{"234"}},
		{"substring('12345', 0 div 0, 3)", []string{""}},
		{"substring('12345', -42, 1 div 0)", []string{"12345"}},
		{"round(-2.5)", []string{"-2"}},
		{"5 mod -2", []string{"1"}},
		{"-(3 - 5)*2", []string{"4"}},
	} {
		path, err := Compile(c.expr, ns)
		if assert.NoError(t, err, c.expr) {
			assert.Equal(t, c.want, values(path.Select(op)), c.expr)
		}
	}
}
