// Package selector finds elements, attributes and values in a plan export by XPath
// 1.0, within the bounds that streaming sets.
//
// A Match is a record pattern. It decides at an element's start tag, so it sees
// names and attributes, of the element and of those around it, and nothing else. A
// Path is an expression inside a record: it sees the record's content, and names
// and attributes of the elements around it. What would need more is refused when
// it is compiled, with the column, instead of silently finding nothing.
//
// It is XPath 1.0 to the letter, without variables, id(), comments and processing
// instructions, which the reader does not keep, and without the namespace axis.
// Names without a prefix are in no namespace, as XPath 1.0 has it. name() writes
// the prefix of the rules, not that of the export. Compiled values are not changed
// by use and may be used by several goroutines.
//
// Rests on: XML Path Language (XPath) Version 1.0, W3C Recommendation 1999.
package selector

import (
	"unicode/utf8"

	"planfold/convert/plan"
)

// Error is what is wrong with an expression.
type Error struct {
	Column  int // of the expression, from 1, in characters
	Message string
}

func (e *Error) Error() string { return e.Message }

// Found is a node that a path selects, or its value when it is no node.
type Found struct {
	Line, Column int           // of the node; of the record for a value
	Element      *plan.Element // nil unless the node is an element
	node         node          // of a value, the record
	value        string        // of what is no node
	isValue      bool
}

// Value is the node's string-value, or the value.
func (f *Found) Value() string {
	if f.isValue {
		return f.value
	}
	return f.node.value()
}

// Lang is the xml:lang in force, "" when none is.
func (f *Found) Lang() string { return lang(f.node.element) }

// Path is a compiled expression.
type Path struct {
	root     *expr
	text     string
	reach    reach
	startTag bool
	straight bool
}

// String is the expression as it was written.
func (p *Path) String() string { return p.text }

// Compile compiles an expression to be used inside records; ns are the namespaces
// of its prefixes. The error is an *Error.
func Compile(expr string, ns map[string]string) (*Path, error) {
	root, err := parse(expr, ns)
	if err != nil {
		return nil, err
	}
	if err := checkPath(expr, root); err != nil {
		return nil, err
	}
	return &Path{root, expr, reachOf(root), readsStartTag(expr, root), isStraight(root)}, nil
}

// Select evaluates the path at a record or an element in it: nodes in document
// order, or one value.
func (p *Path) Select(e *plan.Element) []Found { return p.AppendTo(nil, e) }

// AppendTo appends what Select gives.
func (p *Path) AppendTo(to []Found, e *plan.Element) []Found {
	if p.straight {
		return follow(to, p.root.steps, node{element: e})
	}
	return p.appendTo(to, e, nil)
}

// Watch is Select, and tells of each element and attribute that is found, or whose
// value, name or being is asked for on the way.
func (p *Path) Watch(e *plan.Element, seen Seen) []Found { return p.appendTo(nil, e, seen) }

func (p *Path) appendTo(to []Found, e *plan.Element, seen Seen) []Found {
	c := context{top: e, node: node{element: e}, position: 1, size: 1, seen: seen}
	if p.root.shape != aSet {
		v := c.eval(p.root)
		return append(to, Found{Line: e.Line, Column: e.Column, node: c.node, value: v.asText(), isValue: true})
	}
	for _, n := range c.nodes(p.root) {
		to = append(to, n.found())
	}
	return to
}

// TextAt is the path's value as a text (XPath 1.0, string()), evaluated at a node that
// another path found in the same record.
func (p *Path) TextAt(f Found, record *plan.Element) string {
	c := context{top: record, node: f.node, position: 1, size: 1}
	return c.textOf(p.root)
}

// Bool is the truth of the path's value: of a node-set, that it is not empty.
func (p *Path) Bool(e *plan.Element) bool {
	if p.root.op == opPath && len(p.root.args) == 0 {
		w := walk{top: e, steps: p.root.steps, first: true}
		w.from(0, node{element: e})
		return len(w.out) > 0
	}
	c := context{top: e, node: node{element: e}, position: 1, size: 1}
	return c.truth(p.root)
}

// wrong makes the error for a byte offset of the expression.
func wrong(text string, at int, message string) *Error {
	return &Error{utf8.RuneCountInString(text[:at]) + 1, message}
}
