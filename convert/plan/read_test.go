package plan

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
)

// read reads a document whose root is the record.
func read(t testing.TB, text string) *Element {
	t.Helper()
	var out *Element
	found, err := Read(strings.NewReader(text), "t.xml", root, func(e *Element) error { out = e; return nil })
	require.NoError(t, err)
	require.Empty(t, found)
	return out
}

// places writes what stands where in an element.
func places(e *Element) []string {
	out := []string{fmt.Sprintf("<%s %d:%d", e.Name.Local, e.Line, e.Column)}
	for _, a := range e.Attributes {
		out = append(out, fmt.Sprintf("@%s %d:%d", a.Name.Local, a.Line, a.Column))
	}
	for _, n := range e.Content {
		if n.Element != nil {
			out = append(out, places(n.Element)...)
		} else {
			out = append(out, fmt.Sprintf("%q %d:%d", n.Text, n.Line, n.Column))
		}
	}
	return out
}

func TestReadPositions(t *testing.T) {
	const text = "<a x='1'\n\ty=\"2\">\n  \u00e4\U0001F529 <b z='\u00fc' w='3'/>\n\t<c\n/>x<!-- \n -->\n  y<![CDATA[\n z]]>\n</a>"
	want := []string{
		"<a 1:1", "@x 1:4", "@y 2:2",
		`"\n  ä🔩 " 3:3`,
		"<b 3:6", "@z 3:9", "@w 3:15",
		`"\n\t" 3:22`,
		"<c 4:2",
		`"x\n  y\n z\n" 5:3`,
	}
	assert.Equal(t, want, places(read(t, text)), "UTF-8")
	assert.Equal(t, want, places(read(t, "\uFEFF"+text)), "byte order mark")
	assert.Equal(t, want, places(read(t, strings.ReplaceAll(text, "\n", "\r\n"))), "carriage returns")
	assert.Equal(t, want, places(read(t, "\xFF\xFE"+wide(text, false))), "UTF-16LE")
	assert.Equal(t, want, places(read(t, "\xFE\xFF"+wide(text, true))), "UTF-16BE")
}

func TestReadPositionsBehindADeclaration(t *testing.T) {
	const text = "<?xml version='1.0'\n encoding='ISO-8859-1'?> <a x='\u00e4' y=''/>"
	want := []string{"<a 2:26", "@x 2:29", "@y 2:35"}
	assert.Equal(t, want, places(read(t, strings.ReplaceAll(text, "\u00e4", "\xe4"))), "Latin-1")
	assert.Equal(t, want, places(read(t, "\uFEFF"+strings.Replace(text, "ISO-8859-1'", "UTF-8'     ", 1))), "UTF-8")
	assert.Equal(t, want, places(read(t, "\xFF\xFE"+wide(strings.Replace(text, "ISO-8859-1'", "UTF-16'    ", 1), false))), "UTF-16")
}

func TestReadDecodes(t *testing.T) {
	for name, document := range map[string]string{
		"UTF-8":             "<a x='äöü€'/>",
		"Latin-9":           "<?xml version='1.0' encoding='ISO-8859-15'?><a x='\xe4\xf6\xfc\xa4'/>",
		"windows-1252":      "<?xml version='1.0' encoding='Windows-1252'?><a x='\xe4\xf6\xfc\x80'/>",
		"Latin-1 and names": "<?xml version='1.0' encoding='iso-8859-1'?><a x='\xe4\xf6\xfc&#x20AC;'/>",
		"UTF-16LE":          "\xFF\xFE" + wide("<a x='äöü€'/>", false),
		"UTF-16BE":          wide("<?xml version='1.0' encoding='utf-16'?><a x='äöü€'/>", true),
	} {
		assert.Equal(t, "äöü€", read(t, document).Attributes[0].Value, name)
	}
}

func TestReadIsTheSameByteByByte(t *testing.T) {
	padding := "<!--" + strings.Repeat("x", 2*headSize) + "-->" // the head is read at once
	for _, d := range documents {
		if strings.HasPrefix(d.text, "<") && !strings.HasPrefix(d.text, "<?xml") && !strings.HasPrefix(d.text, "<\x00") {
			d.text = padding + d.text
		}
		whole, err := Read(strings.NewReader(d.text), "t.xml", every, ignore)
		require.NoError(t, err)
		single, err := Read(iotest.OneByteReader(strings.NewReader(d.text)), "t.xml", every, ignore)
		require.NoError(t, err)
		assert.Equal(t, whole, single, d.name)
	}
}

func TestReadNamespaces(t *testing.T) {
	e := read(t, `<a xmlns="urn:1" xmlns:p="urn:2" x="0" p:x="1" xml:lang="en"><p:b/><b xmlns="" xmlns:p="urn:3"><p:c/></b><p:d/></a>`)
	assert.Equal(t, xml.Name{Space: "urn:1", Local: "a"}, e.Name)
	var names []xml.Name
	for _, a := range e.Attributes {
		names = append(names, a.Name)
	}
	assert.Equal(t, []xml.Name{{Local: "x"}, {Space: "urn:2", Local: "x"}, {Space: "http://www.w3.org/XML/1998/namespace", Local: "lang"}}, names)
	assert.Equal(t, xml.Name{Space: "urn:2", Local: "b"}, e.Content[0].Element.Name)
	b := e.Content[1].Element
	assert.Equal(t, xml.Name{Local: "b"}, b.Name)
	assert.Empty(t, b.Attributes)
	assert.Equal(t, xml.Name{Space: "urn:3", Local: "c"}, b.Content[0].Element.Name)
	assert.Equal(t, xml.Name{Space: "urn:2", Local: "d"}, e.Content[2].Element.Name)
}

// XML 1.0, 3.3.3 and 2.11: white space in a value becomes spaces, references stay.
func TestReadNormalisesValues(t *testing.T) {
	e := read(t, "<a x=' 1\t2\r\n3\n&#10;&amp;&#x41;&lt;\r4 ' y='&#9;&#13;'>\r\n&#13;\r</a>")
	assert.Equal(t, " 1 2 3 \n&A< 4 ", e.Attributes[0].Value)
	assert.Equal(t, "\t\r", e.Attributes[1].Value)
	assert.Equal(t, "\n\r\n", e.Content[0].Text)
}

func TestPickHandsOverWhatStandsBeside(t *testing.T) {
	const text = `<plan id="P">
  all <note lang="en">a &amp; b<!-- c --> more</note><note><![CDATA[ <d> ]]></note>
  <step n="1"><x y="z">in</x></step><item n="2">i</item><rest q="3"><x>deep</x></rest></plan>`
	takes := map[string]Take{"step": Whole, "item": Start, "rest": Aside}
	var beside []string
	found, err := PickBeside(strings.NewReader(text), "t.xml", func(e *Element) Take { return takes[e.Name.Local] }, func(e *Element) error {
		if e.Name.Local == "step" {
			assert.Equal(t, "in", e.Content[0].Element.Content[0].Text)
		}
		return nil
	}, func(e *Element, text string, line, column int) {
		beside = append(beside, fmt.Sprintf("%s %q %d:%d", e.Name.Local, text, line, column))
	})
	require.NoError(t, err)
	require.Empty(t, found)
	assert.Equal(t, []string{
		`plan "P" 1:7`, `plan "\n  all " 2:3`, `note "en" 2:13`, `note "a & b" 2:23`, `note " more" 2:43`, `note " <d> " 2:70`,
	}, beside)
}

func TestReadCutsRecordsOutOfRecords(t *testing.T) {
	const text = `<plan id="P"><operation id="1">a<operation id="1.1"><step/></operation>b</operation><operation id="2"/>tail</plan>`
	var order []string
	byID := map[string]*Element{}
	found, err := Read(strings.NewReader(text), "t.xml", func(e *Element) bool {
		if e.Parent != nil {
			assert.NotEmpty(t, e.Parent.Attributes, "the parent's attributes are there")
		}
		return e.Name.Local != "step"
	}, func(e *Element) error {
		order = append(order, e.Attributes[0].Value)
		byID[e.Attributes[0].Value] = e
		return nil
	})
	require.NoError(t, err)
	require.Empty(t, found)
	assert.Equal(t, []string{"1.1", "1", "2", "P"}, order)

	one := byID["1"]
	require.Len(t, one.Content, 3)
	cut := one.Content[1].Element
	inner := byID["1.1"]
	assert.Equal(t, &Element{Name: inner.Name, Parent: one, Line: 1, Column: inner.Column, Sequence: inner.Sequence, Cut: true}, cut)
	assert.Same(t, one, inner.Parent)
	assert.Same(t, byID["P"], one.Parent)
	assert.Len(t, inner.Content, 1)
	assert.False(t, inner.Content[0].Element.Cut)
	assert.Equal(t, "tail", byID["P"].Content[2].Text)
	assert.Equal(t, []int{0, 1, 2, 3, 4}, []int{byID["P"].Sequence, one.Sequence, inner.Sequence, inner.Content[0].Element.Sequence, byID["2"].Sequence})
}

func TestReadKeepsNothingOutsideOfRecords(t *testing.T) {
	found, err := Read(strings.NewReader(`<plan>text<list>text<item id="1">x</item></list></plan>`), "t.xml",
		func(e *Element) bool { return e.Name.Local == "item" },
		func(e *Element) error {
			assert.Equal(t, "x", e.Content[0].Text)
			assert.Empty(t, e.Parent.Content)
			assert.Empty(t, e.Parent.Parent.Content)
			return nil
		})
	require.NoError(t, err)
	assert.Empty(t, found)
}

func TestReadEmitsNothingAfterAFault(t *testing.T) {
	count := 0
	found, err := Read(strings.NewReader("<plan><item/><item/>\n &nbsp;<item/></plan>"), "t.xml",
		func(e *Element) bool { return e.Name.Local == "item" }, func(*Element) error { count++; return nil })
	require.NoError(t, err)
	assert.Equal(t, 2, count)
	require.Len(t, found, 1)
	assert.Equal(t, diag.PlanEntity.Name, found[0].Code)
	assert.Equal(t, diag.Position{File: "t.xml", Line: 2, Column: 2}, found[0].Position)
}

func TestReadReturnsErrorsThatAreNotTheExports(t *testing.T) {
	broken := errors.New("disk is broken")
	found, err := Read(io.MultiReader(strings.NewReader("<plan>"), iotest.ErrReader(broken)), "t.xml", every, ignore)
	assert.ErrorIs(t, err, broken)
	assert.Empty(t, found)
	found, err = Read(iotest.ErrReader(broken), "t.xml", every, ignore)
	assert.ErrorIs(t, err, broken)
	assert.Empty(t, found)
	stop := errors.New("stop")
	_, err = Read(strings.NewReader("<plan><a/></plan>"), "t.xml", every, func(*Element) error { return stop })
	assert.Equal(t, stop, err)
}

func TestReadFaultsStandWhereTheyAre(t *testing.T) {
	for _, c := range []struct {
		text         string
		code         *diag.Code
		line, column int
	}{
		{"<a>\n <b x='1'\n  y='2' x='3'/></a>", diag.PlanMalformed, 3, 9},
		{"<a>\n <b x='1'y='2'/></a>", diag.PlanMalformed, 2, 10},
		{"<a>\n <p:b/></a>", diag.PlanMalformed, 2, 2},
		{"<a>\n <b p:x=''/></a>", diag.PlanMalformed, 2, 5},
		{"<a>\n x &foo; </a>", diag.PlanEntity, 2, 4},
		{"<a>\n x & y </a>", diag.PlanMalformed, 2, 4},
		{"<a>\n äöü &#xD800; </a>", diag.PlanMalformed, 2, 6},
		{"<a>\n <b x='\n&#xD800;'/></a>", diag.PlanMalformed, 3, 1},
		{"<a>\n ä\x01</a>", diag.PlanMalformed, 2, 3},
		{"<a>\n ä\xff</a>", diag.PlanEncoding, 2, 3},
		{"<a>\n </b></a>", diag.PlanMalformed, 2, 2},
		{"<a/>\n <b/>", diag.PlanMalformed, 2, 2},
		{"<a/>\n  x", diag.PlanMalformed, 2, 3},
		{"<!DOCTYPE a [\n<!ENTITY x 'y'>]>\n<a/>", diag.PlanEntity, 1, 13},
		{"<?xml version='1.0' encoding='EBCDIC-CP-US'?><a/>", diag.PlanEncoding, 1, 1},
		{"<a>\n <?xml version='1.0'?></a>", diag.PlanMalformed, 2, 2},
		{"<a>\n <b>\n", diag.PlanMalformed, 3, 1},
	} {
		found, err := Read(strings.NewReader(c.text), "t.xml", every, ignore)
		require.NoError(t, err)
		require.Len(t, found, 1, c.text)
		assert.Equal(t, c.code.Name, found[0].Code, "%s: %v", c.text, found)
		assert.Equal(t, diag.Position{File: "t.xml", Line: c.line, Column: c.column}, found[0].Position, "%s: %v", c.text, found)
	}
}

// A document of billion laughs is refused where the entities are declared.
func TestReadRefusesEntityBombs(t *testing.T) {
	text := "<?xml version='1.0'?>\n<!DOCTYPE a [\n<!ENTITY l0 'ha'>\n"
	for i := range 30 {
		text += fmt.Sprintf("<!ENTITY l%d '&l%d;&l%d;'>\n", i+1, i, i)
	}
	found, err := Read(strings.NewReader(text+"]>\n<a>&l30;</a>"), "t.xml", every, ignore)
	require.NoError(t, err)
	require.Len(t, found, 1)
	assert.Equal(t, diag.PlanEntity.Name, found[0].Code)
	assert.Equal(t, 2, found[0].Position.Line)
}

func TestReadLimits(t *testing.T) {
	repeat := strings.Repeat
	attributes := func(n int) (s string) {
		for i := range n {
			s += fmt.Sprintf(" x%d=''", i)
		}
		return s
	}
	for _, c := range []struct{ name, inside, beyond string }{
		{"depth", repeat("<a>", maxDepth) + repeat("</a>", maxDepth), repeat("<a>", maxDepth+1) + repeat("</a>", maxDepth+1)},
		{"attributes", "<a" + attributes(maxAttributes) + "/>", "<a" + attributes(maxAttributes+1) + "/>"},
		{"name", "<" + repeat("a", maxName) + "/>", "<" + repeat("a", maxName+1) + "/>"},
		{"name of an attribute", "<a " + repeat("a", maxName) + "=''/>", "<a " + repeat("a", maxName+1) + "=''/>"},
		{"tag", "<a x='" + repeat("x", maxTag/2) + "'/>", "<a x='" + repeat("x", 2*maxTag) + "'/>"},
		{"text", "<a>" + repeat("x", maxText) + "</a>", "<a>" + repeat("x", maxText+200_000) + "</a>"},
		{"text in parts", "<a>" + repeat("x", maxText) + "</a>", "<a>" + repeat(repeat("x", maxText/4)+"<!---->", 5) + "</a>"},
	} {
		found, err := Read(strings.NewReader(c.inside), "t.xml", every, ignore)
		require.NoError(t, err)
		assert.Empty(t, found, c.name)
		found, err = Read(strings.NewReader(c.beyond), "t.xml", every, ignore)
		require.NoError(t, err)
		if assert.NotEmpty(t, found, c.name) {
			assert.Equal(t, diag.PlanLimit.Name, found[0].Code, "%s: %v", c.name, found)
		}
	}
}

// endless gives a start, then the same for ever.
type endless struct {
	start, again string
	at           int
}

func (e *endless) Read(p []byte) (int, error) {
	for n := range p {
		if e.at < len(e.start) {
			p[n] = e.start[e.at]
		} else {
			p[n] = e.again[(e.at-len(e.start))%len(e.again)]
		}
		e.at++
	}
	return len(p), nil
}

// A hostile export meets a limit before it has taken much memory.
func TestReadStopsBombs(t *testing.T) {
	for name, in := range map[string]*endless{
		"elements in a record":   {start: "<a>", again: "<b/>"},
		"attributes in a record": {start: "<a>", again: "<b x='1' y=''/>"},
		"texts in a record":      {start: "<a>", again: "<b>x</b>\n"},
		"depth":                  {again: "<a>"},
		"a text":                 {start: "<a>", again: "x"},
		"a reference":            {start: "<a>&", again: "x"},
		"references":             {start: "<a>", again: "&amp;"},
		"a name":                 {start: "<", again: "a"},
		"attributes":             {start: "<a", again: " x=''"},
		"a value":                {start: "<a x='", again: "x"},
		"a comment":              {start: "<!--", again: "x"},
		"CDATA":                  {start: "<a><![CDATA[", again: "x"},
		"an instruction":         {start: "<?p ", again: "x"},
		"a document type":        {start: "<!DOCTYPE a [", again: "<!ENTITY x 'y'>"},
		"a declaration":          {start: "<?xml ", again: " "},
		"white space":            {again: " "},
		"namespaces":             {again: "<a xmlns:a='a' xmlns:b='b' xmlns:c='c' xmlns:d='d' xmlns:e='e' xmlns:f='f'>"},
	} {
		found, err := Read(in, "t.xml", root, ignore)
		require.NoError(t, err)
		require.NotEmpty(t, found, name)
		assert.Less(t, in.at, 64<<20, name)
		t.Logf("%s: %v after %d bytes", name, found[0], in.at)
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	t.Logf("%d MiB from the system", m.Sys>>20)
}

func TestReadLeavesWhatIsNoRecordInTheOneAround(t *testing.T) {
	const text = "<a>1<b x='y'>2<b>3</b>4</b>5<b/></a>"
	var got []string
	found, err := Read(strings.NewReader(text), "t.xml", func(e *Element) bool { return true }, func(e *Element) error {
		if e.Name.Local == "b" && len(e.Content) > 1 {
			return ErrNoRecord
		}
		got = append(got, strings.Join(places(e), " "))
		return nil
	})
	require.NoError(t, err)
	require.Empty(t, found)
	assert.Equal(t, []string{
		`<b 1:15 "3" 1:18`, "<b 1:29",
		`<a 1:1 "1" 1:4 <b 1:5 @x 1:8 "2" 1:14 <b 1:15 "4" 1:23 "5" 1:28 <b 1:29`,
	}, got)
	found, err = Read(strings.NewReader(text), "t.xml", func(e *Element) bool { return true }, func(e *Element) error { return ErrNoRecord })
	assert.Empty(t, found)
	assert.NoError(t, err, "the root goes nowhere")
}

// What is put back counts for the record around it, so that no limit is evaded.
func TestReadLimitsWhatIsPutBack(t *testing.T) {
	one := "<b>" + strings.Repeat("x", 1<<20) + "</b>"
	text := "<a>" + strings.Repeat(one, maxRecord>>20) + "</a>"
	found, err := Read(strings.NewReader(text), "t.xml", func(e *Element) bool { return true }, func(e *Element) error { return ErrNoRecord })
	require.NoError(t, err)
	require.Len(t, found, 1)
	assert.Equal(t, diag.PlanLimit.Name, found[0].Code)
}
