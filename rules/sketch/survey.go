package sketch

import (
	"cmp"
	"encoding/xml"
	"io"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/plan"
)

// path is all elements of one name that stand in elements of one path. An element
// inside one of its own name counts as of the outer one's path.
type path struct {
	name      xml.Name
	parent    *path
	children  []*path
	recursive bool
	count     int
	most      int // in one parent
	facets    []*facet
	id        *facet            // tells them apart, or nil
	ends      map[uint64]string // of elements that name a file: its extension by each of their other attributes
}

// survey is the tree of paths of an export.
type survey struct {
	root   *path
	paths  int
	full   bool // there are more paths than are looked at
	room   int  // for values
	spaces []string
	stack  []open
}

// open is an element that is being read.
type open struct {
	element *plan.Element
	path    *path // nil: not looked at
	inside  map[*path]int
	numbers map[*facet]*siblings
}

func newSurvey() *survey { return &survey{room: maxValues} }

// structure is the first pass: names and attributes.
func (s *survey) structure(r io.Reader, name string) (diag.List, error) {
	s.stack = nil
	return plan.Pick(r, name, func(e *plan.Element) plan.Take {
		if p := s.enter(e); p != nil {
			p.count++
			for _, a := range e.Attributes {
				if f := s.learn(p, a.Name, a.Value); f != nil && len(s.stack) > 1 {
					s.stack[len(s.stack)-2].sort(f, a.Value)
				}
			}
			s.remember(p, e.Attributes)
		}
		return plan.Inside
	}, func(*plan.Element) error { return nil })
}

// texts is the second pass: elements without others inside them, but for markup.
func (s *survey) texts(r io.Reader, name string) (diag.List, error) {
	s.stack = nil
	var reading *path
	return plan.Pick(r, name, func(e *plan.Element) plan.Take {
		p := s.enter(e)
		if p == nil || !p.leaf() || p.parent != nil && p.parent.leaf() {
			return plan.Inside
		}
		reading = p
		return plan.Whole
	}, func(e *plan.Element) error {
		var b strings.Builder
		addText(&b, e)
		s.learn(reading, xml.Name{}, b.String())
		return nil
	})
}

func addText(b *strings.Builder, e *plan.Element) {
	for _, n := range e.Content {
		switch {
		case b.Len() > maxText:
			return
		case n.Element != nil:
			addText(b, n.Element)
		default:
			b.WriteString(n.Text)
		}
	}
}

// enter finds the path of an element at its start tag, and makes it on the first
// pass.
func (s *survey) enter(e *plan.Element) *path {
	for len(s.stack) > 0 && s.stack[len(s.stack)-1].element != e.Parent {
		s.stack = s.stack[:len(s.stack)-1]
	}
	var p *path
	if len(s.stack) == 0 {
		if s.root == nil {
			s.root = s.add(nil, e.Name)
		}
		p = s.root
	} else if within := &s.stack[len(s.stack)-1]; within.path != nil {
		if p = s.below(within.path, e.Name); p != nil {
			if within.inside == nil {
				within.inside = map[*path]int{}
			}
			within.inside[p]++
			p.most = max(p.most, within.inside[p])
		}
	}
	s.stack = append(s.stack, open{element: e, path: p})
	return p
}

func (s *survey) below(p *path, name xml.Name) *path {
	for around := p; around != nil; around = around.parent {
		if around.name == name {
			around.recursive = true
			return around
		}
	}
	for _, c := range p.children {
		if c.name == name {
			return c
		}
	}
	if s.paths >= maxPaths {
		s.full = true
		return nil
	}
	c := s.add(p, name)
	p.children = append(p.children, c)
	return c
}

func (s *survey) add(parent *path, name xml.Name) *path {
	s.paths++
	s.space(name)
	return &path{name: name, parent: parent}
}

func (s *survey) space(name xml.Name) {
	if name.Space != "" && name.Space != xmlSpace && !slices.Contains(s.spaces, name.Space) {
		s.spaces = append(s.spaces, name.Space)
	}
}

// remember keeps what kind of file the other attributes of an element lead to.
func (s *survey) remember(p *path, attributes []plan.Attribute) {
	end := ""
	for _, a := range attributes {
		end = cmp.Or(end, extension(a.Value))
	}
	for _, a := range attributes {
		if end == "" || extension(a.Value) != "" || s.room <= 0 {
			continue
		}
		if p.ends == nil {
			p.ends = map[uint64]string{}
		}
		p.ends[hash(a.Value)] = end
		s.room--
	}
}

func (s *survey) learn(p *path, attr xml.Name, value string) *facet {
	i := slices.IndexFunc(p.facets, func(f *facet) bool { return f.attr == attr })
	if i < 0 {
		if len(p.facets) > 100 {
			return nil
		}
		s.space(attr)
		p.facets = append(p.facets, &facet{of: p, attr: attr})
		i = len(p.facets) - 1
	}
	s.room -= p.facets[i].learn(value, s.room)
	return p.facets[i]
}

const xmlSpace = "http://www.w3.org/XML/1998/namespace"

// inline are the names of markup in a text.
var inline = []string{"b", "i", "u", "em", "strong", "br", "p", "sub", "sup", "ul", "ol", "li", "span", "a", "div"}

// leaf reports that nothing but text and markup stands inside.
func (p *path) leaf() bool {
	return !p.recursive && !slices.ContainsFunc(p.children, func(c *path) bool {
		return !slices.Contains(inline, c.name.Local) || !c.leaf()
	})
}

// in reports that a path is another or stands somewhere in it.
func (p *path) in(outer *path) bool {
	for ; p != nil; p = p.parent {
		if p == outer {
			return true
		}
	}
	return false
}

// all are the path and those in it, but for markup, in the order in which they come.
func (p *path) all() []*path {
	out := []*path{p}
	if p.leaf() {
		return out
	}
	for _, c := range p.children {
		out = append(out, c.all()...)
	}
	return out
}
