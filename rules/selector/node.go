package selector

import (
	"cmp"
	"slices"
	"strings"

	"planfold/convert/plan"
)

const xmlSpace = "http://www.w3.org/XML/1998/namespace"

// node is an element, an attribute or a text of a plan.
type node struct {
	element *plan.Element // itself, the attribute's or the text's
	part    part
	index   int  // of an attribute or a text in its element
	above   bool // an element around the record, or its attribute
}

type part uint8

const (
	itself part = iota
	attribute
	text
)

// value is the node's string-value (XPath 1.0, 5).
func (n node) value() string {
	switch n.part {
	case attribute:
		return n.element.Attributes[n.index].Value
	case text:
		return n.element.Content[n.index].Text
	}
	if n.above {
		return ""
	}
	c := n.element.Content
	if len(c) == 0 {
		return ""
	}
	if len(c) == 1 && c[0].Element == nil {
		return c[0].Text
	}
	var b strings.Builder
	write(&b, n.element)
	return b.String()
}

func write(b *strings.Builder, e *plan.Element) {
	for i := range e.Content {
		if c := &e.Content[i]; c.Element != nil {
			write(b, c.Element)
		} else {
			b.WriteString(c.Text)
		}
	}
}

// name is the node's expanded name; a text has none.
func (n node) name() (space, local string) {
	switch n.part {
	case attribute:
		a := &n.element.Attributes[n.index].Name
		return a.Space, a.Local
	case text:
		return "", ""
	}
	return n.element.Name.Space, n.element.Name.Local
}

func (n node) place() (line, column int) {
	switch n.part {
	case attribute:
		a := &n.element.Attributes[n.index]
		return a.Line, a.Column
	case text:
		t := &n.element.Content[n.index]
		return t.Line, t.Column
	}
	return n.element.Line, n.element.Column
}

func (n node) found() Found {
	f := Found{node: n}
	f.Line, f.Column = n.place()
	if n.part == itself {
		f.Element = n.element
	}
	return f
}

// Of is an element as a path that finds it does.
func Of(e *plan.Element) Found { return node{element: e}.found() }

// lang is the language in force at an element (XML 1.0, 2.12).
func lang(e *plan.Element) string {
	for ; e != nil; e = e.Parent {
		for i := range e.Attributes {
			if a := &e.Attributes[i]; a.Name.Local == "lang" && a.Name.Space == xmlSpace {
				return a.Value
			}
		}
	}
	return ""
}

// inOrder sorts nodes into document order, which is that of their places, and
// drops repetitions.
func inOrder(nodes []node) []node {
	// Most paths find their nodes in document order.
	if !slices.IsSortedFunc(nodes, node.compare) {
		slices.SortFunc(nodes, node.compare)
	}
	return slices.Compact(nodes)
}

func (n node) compare(o node) int {
	line, column := n.place()
	otherLine, otherColumn := o.place()
	return cmp.Or(cmp.Compare(line, otherLine), cmp.Compare(column, otherColumn),
		cmp.Compare(n.element.Sequence, o.element.Sequence), cmp.Compare(n.part, o.part), cmp.Compare(n.index, o.index))
}
