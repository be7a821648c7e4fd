package rules

import (
	"encoding/xml"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"planfold/convert/plan"
)

// written is the element that a text of HTML means, for exports whose schema lets a
// text hold no elements, so that its markup is escaped or stands in CDATA.
func written(text string, line, column int) *plan.Element {
	e := &plan.Element{Line: line, Column: column}
	body := &html.Node{Type: html.ElementNode, Data: "body", DataAtom: atom.Body}
	// A string is read without error, and HTML says what any text means.
	nodes, _ := html.ParseFragment(strings.NewReader(text), body)
	for _, n := range nodes {
		hangWritten(e, n)
	}
	return e
}

// hangWritten hangs a node of HTML below an element. Its place is that of the text.
func hangWritten(e *plan.Element, n *html.Node) {
	node := plan.Node{Line: e.Line, Column: e.Column}
	switch n.Type {
	case html.TextNode:
		node.Text = n.Data
	case html.ElementNode:
		c := &plan.Element{Name: xml.Name{Local: n.Data}, Line: e.Line, Column: e.Column}
		for _, a := range n.Attr {
			c.Attributes = append(c.Attributes, plan.Attribute{Name: xml.Name{Local: a.Key}, Value: a.Val})
		}
		for k := n.FirstChild; k != nil; k = k.NextSibling {
			hangWritten(c, k)
		}
		node.Element = c
	default:
		return
	}
	e.Content = append(e.Content, node)
}
