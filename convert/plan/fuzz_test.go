package plan

import (
	"bytes"
	"encoding/xml"
	"io"
	"strings"
	"testing"
	"unicode/utf8"
)

// FuzzRead holds what Read takes against encoding/xml's strict tokens: it must take
// it too, with the same elements, and a position must point at what it is of.
func FuzzRead(f *testing.F) {
	for _, d := range documents {
		f.Add([]byte(d.text))
	}
	f.Add([]byte("<a x='1'\n\ty=\"2\">\n  \u00e4\U0001F529 <b z='\u00fc' w='3'/>\n\t<c\n/>x<!-- \n -->\n  y<![CDATA[\n z]]>\n</a>"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var top *Element
		elements := 0
		found, err := Read(strings.NewReader(string(data)), "f.xml", func(e *Element) bool { elements++; return e.Parent == nil },
			func(e *Element) error { top = e; return nil })
		if err != nil {
			t.Fatal(err)
		}
		if len(found) > 0 {
			if p := found[0].Position; p.Line < 1 || p.Column < 1 {
				t.Fatalf("no position: %v", found[0])
			}
			return
		}
		if top == nil {
			t.Fatal("no root and no fault")
		}
		if !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 {
			return
		}
		text := strings.TrimPrefix(string(data), "\uFEFF")
		if strings.HasPrefix(text, "<?xml") && !strings.Contains(strings.ToLower(text[:strings.Index(text, "?>")]), "utf-8") {
			return // another encoding, or a version that encoding/xml does not know
		}
		check(t, top, strings.Split(text, "\n"))
		if n := theirs(t, text); n >= 0 && n != elements {
			t.Fatalf("%d elements, encoding/xml has %d", elements, n)
		}
	})
}

// theirs counts the elements that encoding/xml finds.
func theirs(t *testing.T, text string) (n int) {
	if i := strings.Index(text, "?>"); strings.HasPrefix(text, "<?xml") {
		text = text[i+2:]
	}
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return n
		}
		if err != nil && strings.Contains(err.Error(), "invalid XML name") {
			return -1 // it has the names of XML 1.0's second edition
		}
		if err != nil {
			t.Fatalf("encoding/xml refuses it: %v", err)
		}
		if _, ok := token.(xml.StartElement); ok {
			n++
		}
	}
}

func check(t *testing.T, e *Element, lines []string) {
	at := func(line, column int) string {
		r := []rune(lines[line-1])
		return string(r[column-1:])
	}
	if s := at(e.Line, e.Column); !strings.HasPrefix(s, "<") || !strings.Contains(s, e.Name.Local) {
		t.Fatalf("<%s> is said to be at %q", e.Name.Local, s)
	}
	for _, a := range e.Attributes {
		if s := at(a.Line, a.Column); !strings.HasPrefix(s, a.Name.Local) && !strings.HasPrefix(s[strings.IndexByte(s, ':')+1:], a.Name.Local) {
			t.Fatalf("%s is said to be at %q", a.Name.Local, s)
		}
	}
	line, column := e.Line, e.Column
	for _, n := range e.Content {
		if n.Line < line || n.Line == line && n.Column <= column {
			t.Fatalf("%d:%d does not come after %d:%d", n.Line, n.Column, line, column)
		}
		line, column = n.Line, n.Column
		if n.Element != nil {
			check(t, n.Element, lines)
			continue
		}
		if trimmed := strings.TrimLeft(n.Text, " \t\r\n"); trimmed != "" && trimmed[0] != '<' {
			s := at(line, column)
			if r, _ := utf8.DecodeRuneInString(trimmed); !strings.HasPrefix(s, string(r)) && s[0] != '&' && !strings.HasPrefix(s, "<![CDATA[") {
				t.Fatalf("%q is said to be at %q", n.Text, s)
			}
		}
	}
}
