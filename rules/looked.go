package rules

import (
	"encoding/xml"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/plan"
)

// paths are the elements and attributes of plans, by their path as the rules would
// write it.
type paths struct {
	read, total int
	unread      map[string]*unlooked
	names       map[nameOf]bool // of all; true: of some that no rule looks at
}

// unlooked are those of one path that no rule looks at. What stands in one counts as
// that.
type unlooked struct {
	times, within int
	first         diag.Position
}

// nameOf is that of an element or attribute, as paths write it.
type nameOf struct{ name, local string }

func newPaths() *paths { return &paths{unread: map[string]*unlooked{}, names: map[nameOf]bool{}} }

func (p *paths) merge(other *paths) {
	p.read, p.total = p.read+other.read, p.total+other.total
	for path, n := range other.unread {
		p.add(path, *n)
	}
	for name, unread := range other.names {
		p.names[name] = p.names[name] || unread
	}
}

func (p *paths) add(path string, n unlooked) {
	u := p.unread[path]
	if u == nil {
		u = &unlooked{first: n.first}
		p.unread[path] = u
	}
	u.times, u.within = u.times+n.times, u.within+n.within
	if comparePlaces(n.first, u.first) < 0 {
		u.first = n.first
	}
}

// counting is the pass over a plan that counts what is marked and what is not, in a
// tree of its paths: no path is written before the end.
type counting struct {
	*touched
	below map[segment]*branch
	stack []around
}

// segment is a name in a path.
type segment struct {
	name      xml.Name
	attribute bool
}

// branch is what has one path.
type branch struct {
	below       map[segment]*branch
	read, total int
	unlooked
}

// around is an element around the one at hand, and the outermost one that no rule looks at.
type around struct{ at, unread *branch }

func (c *counting) pick(e *plan.Element) plan.Take {
	c.opened(e)
	depth := 0
	for a := e.Parent; a != nil; a = a.Parent {
		depth++
	}
	here := around{}
	below := &c.below
	if depth > 0 {
		here = c.stack[depth-1]
		below = &here.at.below
	}
	n := c.number[e.Sequence]
	here.at = grow(below, segment{name: e.Name})
	if here.at.count(c.has(n), here.unread, e.Line, e.Column); here.unread == nil && !c.has(n) {
		here.unread = here.at
	}
	for i := range e.Attributes {
		if a := &e.Attributes[i]; !ofXML(a) {
			grow(&here.at.below, segment{a.Name, true}).count(c.has(n+1+uint32(i)), here.unread, a.Line, a.Column)
		}
	}
	c.stack = append(c.stack[:depth], here)
	return plan.Inside
}

func grow(below *map[segment]*branch, p segment) *branch {
	b := (*below)[p]
	if b == nil {
		b = &branch{}
		if *below == nil {
			*below = map[segment]*branch{}
		}
		(*below)[p] = b
	}
	return b
}

func (b *branch) count(read bool, within *branch, line, column int) {
	b.total++
	switch {
	case read:
		b.read++
	case within != nil:
		within.within++
	default:
		if b.times++; b.times == 1 {
			b.first.Line, b.first.Column = line, column
		}
	}
}

// paths writes the tree down.
func (c *counting) paths(file string) *paths {
	out := newPaths()
	var walk func(below map[segment]*branch, above string)
	walk = func(below map[segment]*branch, above string) {
		for p, b := range below { // into maps and sums: their order does not matter
			name := c.set.written(p)
			path := above + "/" + name.name
			out.read, out.total = out.read+b.read, out.total+b.total
			out.names[name] = out.names[name] || b.read < b.total
			if b.times > 0 {
				b.first.File = file
				out.add(path, b.unlooked)
			}
			walk(b.below, path)
		}
	}
	walk(c.below, "")
	return out
}

// written is a segment of a path as the rules would write it.
func (s *Set) written(p segment) nameOf {
	mark := ""
	if p.attribute {
		mark = "@"
	}
	prefix, known := s.prefixes[p.name.Space]
	switch {
	case p.name.Space == "":
		return nameOf{mark + p.name.Local, p.name.Local}
	case known:
		return nameOf{mark + prefix + ":" + p.name.Local, p.name.Local}
	}
	return nameOf{mark + "*[local-name()='" + p.name.Local + "']", p.name.Local}
}

// ofXML reports an attribute that says nothing of the plan: xml:lang, xsi:type.
func ofXML(a *plan.Attribute) bool {
	return a.Name.Space == "http://www.w3.org/XML/1998/namespace" || strings.HasPrefix(a.Name.Space, "http://www.w3.org/2001/XMLSchema-instance")
}
