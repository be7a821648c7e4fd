package rules

import (
	"encoding/xml"
	"slices"
	"strings"

	"golang.org/x/net/html"

	"planfold/convert/plan"
)

// maxWritten is how deep elements of written HTML are nested; what is deeper hangs
// beside, with all its words.
const maxWritten = 60

// unclosed elements end where the next of their name begins: their end tags may be left out.
var unclosed = []string{"p", "li", "dt", "dd", "tr", "td", "th"}

// written is the element that a text of HTML means, for exports whose schema lets a
// text hold no elements, so that its markup is escaped or stands in CDATA. Its place
// is that of the text. It takes time in proportion to the text, whatever that is,
// which the tree construction of HTML does not.
func written(text string, line, column int) *plan.Element {
	root := &plan.Element{Line: line, Column: column}
	open := []*plan.Element{root}
	z := html.NewTokenizer(strings.NewReader(text))
	for {
		kind := z.Next()
		if kind == html.ErrorToken { // the end of the text
			return root
		}
		t := z.Token()
		in := open[len(open)-1]
		switch kind {
		case html.TextToken:
			in.Content = append(in.Content, plan.Node{Text: t.Data, Line: line, Column: column})
		case html.EndTagToken:
			open = stillOpen(open, t.Data)
		case html.StartTagToken, html.SelfClosingTagToken:
			if in.Name.Local == t.Data && slices.Contains(unclosed, t.Data) {
				open = open[:len(open)-1]
				in = open[len(open)-1]
			}
			e := writtenElement(t, in)
			if kind == html.StartTagToken && !void(t.Data) && len(open) < maxWritten {
				open = append(open, e)
			}
		}
	}
}

// writtenElement hangs an element that a tag begins.
func writtenElement(t html.Token, in *plan.Element) *plan.Element {
	e := &plan.Element{Name: xml.Name{Local: t.Data}, Parent: in, Line: in.Line, Column: in.Column}
	for _, a := range t.Attr {
		e.Attributes = append(e.Attributes, plan.Attribute{Name: xml.Name{Local: a.Key}, Value: a.Val, Line: in.Line, Column: in.Column})
	}
	in.Content = append(in.Content, plan.Node{Element: e, Line: in.Line, Column: in.Column})
	return e
}

// stillOpen are the elements that are open still after an end tag; one that ends
// nothing is passed over.
func stillOpen(open []*plan.Element, name string) []*plan.Element {
	for i := len(open) - 1; i > 0; i-- {
		if open[i].Name.Local == name {
			return open[:i]
		}
	}
	return open
}
