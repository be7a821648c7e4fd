package plan

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/testdata/open"
)

// Oracle: xmllint of libxml2 2.9.14, where it is installed. A document that it
// refuses must be refused in the same line; what it takes must be taken, but for
// the cases that are marked.

// ours marks a case that this reader refuses and xmllint takes, on purpose.
const ours = "ours"

var documents = []struct{ name, text, mark string }{
	{"smallest", `<a/>`, ""},
	{"declaration", `<?xml version="1.0" encoding="UTF-8" standalone='yes' ?><a/>`, ""},
	{"declaration over lines", "<?xml\nversion='1.0'\n?>\n<a/>", ""},
	{"version 1.1", `<?xml version="1.1"?><a/>`, ""},
	{"version 2.0", `<?xml version="2.0"?><a/>`, ""},
	{"no version", `<?xml encoding="UTF-8"?><a/>`, ""},
	{"declaration in the wrong order", `<?xml version="1.0" standalone="yes" encoding="UTF-8"?><a/>`, ""},
	{"declaration not closed", "<?xml version='1.0' <a/>", ""},
	{"declaration of a wrong standalone", `<?xml version="1.0" standalone="maybe"?><a/>`, ""},
	{"declaration after space", " <?xml version='1.0'?><a/>", ""},
	{"declaration after a comment", "<!-- c -->\n<?xml version='1.0'?><a/>", ""},
	{"declaration inside", "<a>\n<?xml version='1.0'?></a>", ""},
	{"two declarations", "<?xml version='1.0'?>\n<?xml version='1.0'?><a/>", ""},
	{"instruction with a reserved name", "<a>\n<?XML x?></a>", ""},
	{"unknown encoding", `<?xml version="1.0" encoding="x-unknown"?><a/>`, ""},
	{"empty", ``, ""},
	{"space only", " \n ", ""},
	{"comment only", "<!-- c -->\n", ""},
	{"text before the root", "x\n<a/>", ""},
	{"text after the root", "<a/>\n\nx", ""},
	{"reference after the root", "<a/>\n&#32;", ""},
	{"CDATA after the root", "<a/>\n<![CDATA[ ]]>", ""},
	{"CDATA before the root", "<![CDATA[ ]]><a/>", ""},
	{"two roots", "<a/>\n<b/>", ""},
	{"end tag after the root", "<a/>\n</a>", ""},
	{"comment and instruction after the root", "<a/>\n<!-- c --><?p i?>\n", ""},
	{"unclosed", "<a>\n<b>\n", ""},
	{"unclosed in text", "<a>\n<b>x\n\ny", ""},
	{"unclosed start tag", "<a>\n<b x='1'\n", ""},
	{"unclosed value", "<a>\n<b x='1>\n</b>\n</a>", ""},
	{"unclosed comment", "<a>\n<!-- c\n\n</a>", ""},
	{"unclosed CDATA", "<a>\n<![CDATA[ c\n\n</a>", ""},
	{"unclosed instruction", "<a>\n<?p c\n\n</a>", ""},
	{"mismatched tags", "<a>\n<b>\n\n</c>\n</a>", ""},
	{"crossed tags", "<a><b></a></b>", ""},
	{"mismatched case", "<a>\n</A>", ""},
	{"mismatched prefix", "<p:a xmlns:p='u' xmlns:q='u'>\n</q:a>", ""},
	{"only an end tag", "</a>", ""},
	{"junk in the end tag", "<a>\n</a x='1'>", ""},
	{"space in the end tag", "<a>\n</a \n>", ""},
	{"space before the end tag's name", "<a>\n</ a>", ""},
	{"space before the name", "<a>\n< b/></a>", ""},
	{"slash apart", "<a>\n<b / ></a>", ""},
	{"less-than in text", "<a>\n1 < 2</a>", ""},
	{"less-than in a value", "<a>\n<b x='<'/></a>", ""},
	{"greater-than in text", "<a>1 > 2</a>", ""},
	{"greater-than in a value", "<a x='>'/>", ""},
	{"ampersand in text", "<a>\nnuts & bolts</a>", ""},
	{"ampersand in a value", "<a>\n<b x='nuts & bolts'/></a>", ""},
	{"ampersand at the end", "<a>\n&", ""},
	{"unknown entity", "<a>\n&nbsp;</a>", ""},
	{"unknown entity in a value", "<a>\n<b x='&nbsp;'/></a>", ""},
	{"no semicolon", "<a>\n&amp</a>", ""},
	{"five entities", "<a x='&lt;&gt;&amp;&apos;&quot;'>&lt;&gt;&amp;&apos;&quot;</a>", ""},
	{"references", "<a x='&#65;&#x41;&#10;'>&#65;&#x41;&#10;&#x10FFFF;</a>", ""},
	{"upper-case X in a reference", "<a>\n&#X41;</a>", ""},
	{"empty reference", "<a>\n&#;</a>", ""},
	{"reference to nothing", "<a>\n&#0;</a>", ""},
	{"reference to a control character", "<a>\n&#x1F;</a>", ""},
	{"reference to a surrogate", "<a>\n&#xD800;</a>", ""},
	{"reference to a surrogate in a value", "<a>\n<b x='&#xDFFF;'/></a>", ""},
	{"reference to FFFE", "<a>\n&#xFFFE;</a>", ""},
	{"reference above Unicode", "<a>\n&#x110000;</a>", ""},
	{"huge reference", "<a>\n&#99999999999999999999999;</a>", ""},
	{"control character in text", "<a>\n\x01</a>", ""},
	{"control character in a comment", "<a>\n<!--\x01--></a>", ""},
	{"control character in an instruction", "<a>\n<?p \x02?></a>", ""},
	{"control character in CDATA", "<a>\n<![CDATA[\x02]]></a>", ""},
	{"NUL", "<a>\n\x00</a>", ""},
	{"FFFF in text", "<a>\n\uFFFF</a>", ""},
	{"delete and C1 in text", "<a>\u007F\u0080\u009F</a>", ""},
	{"invalid UTF-8 in text", "<a>\n\xFF</a>", ""},
	{"overlong UTF-8", "<a>\n\xC0\x80</a>", ""},
	{"surrogate in UTF-8", "<a>\n\xED\xA0\x80</a>", ""},
	{"UTF-8 cut at the end", "<a/>\n\xE2\x82", ""},
	{"CDATA end in text", "<a>\n]]></a>", ""},
	{"CDATA end with more brackets in text", "<a>\n]]]></a>", ""},
	{"CDATA end escaped in text", "<a>]]&gt;</a>", ""},
	{"CDATA end in a value", "<a x=']]>'/>", ""},
	{"CDATA", "<a><![CDATA[<b>&amp;]] >]]]></a>", ""},
	{"CDATA in lower case", "<a>\n<![cdata[x]]></a>", ""},
	{"nested CDATA", "<a>\n<![CDATA[<![CDATA[x]]>]]></a>", ""},
	{"dashes in a comment", "<a>\n<!-- a -- b --></a>", ""},
	{"comment ends with three dashes", "<a>\n<!-- a ---></a>", ""},
	{"comment of nothing", "<a><!----></a>", ""},
	{"comment of a dash", "<a>\n<!--->\n--></a>", ""},
	{"comment in a tag", "<a>\n<b <!-- c --> /></a>", ""},
	{"instruction without a name", "<a>\n<? p?></a>", ""},
	{"instruction without a space", "<a>\n<?p+x?></a>", ""},
	{"instruction of nothing", "<a><?p?></a>", ""},
	{"instruction with a colon", "<a>\n<?p:q x?></a>", ""},
	{"duplicate attribute", "<a>\n<b x='1' y='2' x='1'/></a>", ""},
	{"duplicate attribute by namespace", "<a xmlns:p='u' xmlns:q='u'>\n<b p:x='1' q:x='2'/></a>", ""},
	{"no duplicate by namespace", "<a xmlns='u' xmlns:p='u' x='1' p:x='2'/>", ""},
	{"duplicate declaration", "<a>\n<b xmlns:p='u' xmlns:p='u'/></a>", ""},
	{"duplicate default declaration", "<a>\n<b xmlns='u' xmlns='v'/></a>", ""},
	{"no space between attributes", "<a>\n<b x='1'y='2'/></a>", ""},
	{"attribute without a value", "<a>\n<b x/></a>", ""},
	{"attribute without quotes", "<a>\n<b x=1/></a>", ""},
	{"attribute without a name", "<a>\n<b ='1'/></a>", ""},
	{"space around the equals sign", "<a x\n=\t'1'/>", ""},
	{"attributes over lines", "<a x='1'\n\n y='2\n3'/>", ""},
	{"junk between attributes", "<a>\n<b x='1' , y='2'/></a>", ""},
	{"undeclared prefix", "<a>\n<p:b/></a>", ""},
	{"undeclared prefix of an attribute", "<a>\n<b p:x='1'/></a>", ""},
	{"prefix out of scope", "<a><b xmlns:p='u'/>\n<p:c/></a>", ""},
	{"prefix xml", "<a xml:lang='en' xml:space='preserve'/>", ""},
	{"declaration of xml", "<a xmlns:xml='http://www.w3.org/XML/1998/namespace'/>", ""},
	{"wrong declaration of xml", "<a>\n<b xmlns:xml='u'/></a>", ""},
	{"declaration of xmlns", "<a>\n<b xmlns:xmlns='u'/></a>", ""},
	{"element with the prefix xmlns", "<a>\n<xmlns:b/></a>", ""},
	{"prefix without a namespace", "<a>\n<b xmlns:p=''/></a>", ""},
	{"default namespace undeclared", "<a xmlns='u'><b xmlns=''/></a>", ""},
	{"two colons", "<a>\n<p:q:b xmlns:p='u'/></a>", ""},
	{"colon first", "<a>\n<:b/></a>", ""},
	{"colon last", "<a xmlns:p='u'>\n<p:/></a>", ""},
	{"digit behind the colon", "<a xmlns:p='u'>\n<p:1/></a>", ""},
	{"name with a digit first", "<a>\n<1b/></a>", ""},
	{"name with a dash first", "<a>\n<-b/></a>", ""},
	{"name with a dot and dashes", "<a.b-c_d1/>", ""},
	{"name with umlauts", "<prüfung größe='1'/>", ""},
	{"name with a dollar", "<a>\n<b$/></a>", ""},
	{"attribute name with a digit first", "<a>\n<b 1x='1'/></a>", ""},
	{"document type", "<!DOCTYPE a>\n<a/>", ""},
	{"document type with a system id", "<!DOCTYPE a SYSTEM \"plan>.dtd\">\n<a/>", ""},
	{"document type with a public id", "<!DOCTYPE a PUBLIC '-//X//Y' 'a.dtd'>\n<a/>", ""},
	{"document type with a public id alone", "\n<!DOCTYPE a PUBLIC '-//X//Y'>\n<a/>", ""},
	{"document type without a name", "\n<!DOCTYPE>\n<a/>", ""},
	{"document type without a space", "\n<!DOCTYPEa>\n<a/>", ours},
	{"document type twice", "<!DOCTYPE a>\n<!DOCTYPE a><a/>", ""},
	{"document type after the root", "<a/>\n<!DOCTYPE a>", ""},
	{"document type inside", "<a>\n<!DOCTYPE a></a>", ""},
	{"document type with junk", "<!DOCTYPE a\njunk>\n<a/>", ""},
	{"document type with entities", "<!DOCTYPE a [<!ENTITY x 'y'>]>\n<a>&x;</a>", ours},
	{"document type with elements", "<!DOCTYPE a [<!ELEMENT a ANY>]>\n<a/>", ours},
	{"entities that name a file", "<!DOCTYPE a [<!ENTITY x SYSTEM '/etc/hostname'>]>\n<a/>", ours},
	{"ELEMENT outside of a document type", "\n<!ELEMENT a ANY>\n<a/>", ""},
	{"byte order mark", "\uFEFF<a/>", ""},
	{"byte order mark twice", "\uFEFF\uFEFF<a/>", ""},
	{"byte order mark inside", "<a>\uFEFF</a>", ""},
	{"Latin-1", "<?xml version='1.0' encoding='ISO-8859-1'?>\n<a x='\xE4'>\xFC</a>", ""},
	{"Latin-1 undeclared", "<?xml version='1.0'?>\n<a x='\xE4'>\xFC</a>", ""},
	{"Latin-9", "<?xml version='1.0' encoding='iso-8859-15'?>\n<a>\xA4</a>", ""},
	{"windows-1252", "<?xml version='1.0' encoding='windows-1252'?>\n<a>\x80</a>", ""},
	{"US-ASCII that is not", "<?xml version='1.0' encoding='US-ASCII'?>\n<a>\n\xE4</a>", ""},
	{"UTF-16 declared and not meant", "<?xml version='1.0' encoding='UTF-16'?>\n<a/>", ""},
	{"UTF-16LE", "\xFF\xFE" + wide("<?xml version='1.0' encoding='UTF-16'?>\n<a>ü</a>", false), ""},
	{"UTF-16BE", "\xFE\xFF" + wide("<a>\U0001F529</a>", true), ""},
	{"UTF-16LE without a mark", wide("<?xml version='1.0' encoding='UTF-16LE'?><a/>", false), ""},
	{"UTF-16BE without a mark", wide("<?xml version='1.0' encoding='UTF-16BE'?><a/>", true), ""},
	{"UTF-16LE without mark and declaration", wide("<a/>", false), ""},
	{"UTF-16LE not well-formed", "\xFF\xFE" + wide("<a>\n\n<b></a>", false), ""},
	{"UTF-16LE cut inside a character", "\xFF\xFE" + wide("<a/>\n", false) + "\n", ours},
	{"UTF-16LE with half a pair", "\xFF\xFE" + wide("<a>\n", false) + "\x00\xD8" + wide("</a>", false), ""},
	{"UTF-16LE that says UTF-8", "\xFF\xFE" + wide("<?xml version='1.0' encoding='UTF-8'?><a/>", false), ""},
	{"UTF-32", "\xFF\xFE\x00\x00<\x00\x00\x00a\x00\x00\x00/\x00\x00\x00>\x00\x00\x00", ""},
	{"carriage returns", "<a>\r\n<b>\r\r\n</a>", ""},
	{"lone carriage returns", "<a>\r\r<b></a>", ""},
}

func wide(s string, big bool) string {
	var b strings.Builder
	for _, u := range utf16.Encode([]rune(s)) {
		if big {
			b.Write([]byte{byte(u >> 8), byte(u)})
		} else {
			b.Write([]byte{byte(u), byte(u >> 8)})
		}
	}
	return b.String()
}

var lintLine = regexp.MustCompile(`(?m)^[^\n]*?:(\d+): (?:parser|namespace|encoding)? ?error`)

// lint asks xmllint; line is that of its first complaint, 0 when it has none.
func lint(t *testing.T, file string) (line int, said string) {
	t.Helper()
	out, err := exec.Command("xmllint", "--noout", "--nonet", file).CombinedOutput()
	if m := lintLine.FindSubmatch(out); m != nil {
		line, _ = strconv.Atoi(string(m[1]))
	} else if err != nil || bytes.Contains(out, []byte("error")) {
		line = -1
	}
	return line, string(out)
}

func every(*Element) bool   { return true }
func ignore(*Element) error { return nil }
func root(e *Element) bool  { return e.Parent == nil }

func line(d diag.List) (n int) {
	if len(d) > 0 {
		n = d[0].Position.Line
	}
	return n
}

func TestReadRefusesWhatXmllintRefuses(t *testing.T) {
	if _, err := exec.LookPath("xmllint"); err != nil {
		t.Skip("xmllint is not installed")
	}
	dir := t.TempDir()
	for i, d := range documents {
		t.Run(d.name, func(t *testing.T) {
			file := filepath.Join(dir, fmt.Sprintf("%d.xml", i))
			require.NoError(t, os.WriteFile(file, []byte(d.text), 0o600))
			theirs, said := lint(t, file)
			found, err := Read(strings.NewReader(d.text), "x.xml", root, ignore)
			require.NoError(t, err)
			switch {
			case d.mark == ours:
				assert.NotEmpty(t, found)
				assert.Zero(t, theirs, said)
			case theirs == 0:
				assert.Empty(t, found, said)
			case theirs < 0:
				assert.NotEmpty(t, found, said)
			default:
				assert.Equal(t, theirs, line(found), "%v\n%s", found, said)
			}
		})
	}
}

func TestReadBlockStageRevisions(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(open.Path(t, "block-stage-revisions"), "*.xml"))
	require.NoError(t, err)
	require.Len(t, files, 20)
	refused := map[string]int{"02": 8, "03": 8, "18": 482} // lines that xmllint 2.9.14 names
	for _, file := range files {
		in, err := os.Open(file)
		require.NoError(t, err)
		found, err := Read(in, file, every, ignore)
		in.Close()
		require.NoError(t, err)
		assert.Equal(t, refused[filepath.Base(file)[:2]], line(found), "%s: %v", file, found)
	}
}
