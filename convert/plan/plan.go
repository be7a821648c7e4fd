// Package plan reads a plan export: XML in, elements with positions out, no
// meaning yet.
//
// A plan may be far larger than memory, so it is read as a stream of records: an
// element that the caller asks for is built whole, handed over when it ends, and
// forgotten. A record inside a record is cut out: it is handed over on its own
// (before the one around it, since it ends first), and leaves an empty element
// marked Cut in its place. A record sees the elements around it (Parent), with
// their names and attributes but without their other content.
package plan

import "encoding/xml"

// Element is an XML element with its place in the export.
type Element struct {
	Name         xml.Name // Space is the namespace, resolved
	Attributes   []Attribute
	Content      []Node // elements and text, in document order
	Parent       *Element
	Line, Column int  // of its "<", from 1, in characters
	Sequence     int  // elements of the file in document order, from 0
	Cut          bool // a record of its own; its content is not here
}

// Attribute of an element. Declarations of namespaces are not attributes.
type Attribute struct {
	Name         xml.Name
	Value        string
	Line, Column int
}

// Node is an element or a run of text (then Element is nil).
type Node struct {
	Element      *Element
	Text         string
	Line, Column int
}
