package plan

import (
	"bytes"
	"encoding/xml"
)

// startTag is a start tag as written. Its slices are of the window, and are used
// again for the next tag.
type startTag struct {
	name       []byte
	prefix     int // length of the name's prefix, 0 without
	attributes []attribute
	values     []byte // of the attributes, one after the other
	empty      bool   // it ends the element too
}

type attribute struct {
	name   []byte
	prefix int
	end    int // of its value among the tag's
	place  place
}

// scanStartTag takes a start tag.
func (r *reader) scanStartTag() (*fault, error) {
	n, err := r.tagEnd()
	raw := r.source.token()[:n]
	at := r.at
	i, next, wrong := r.parseTag(raw)
	if wrong != nil {
		return wrong, nil
	}
	if i == 0 { // up to the end, all is well
		if err != nil {
			return r.explain(err, "a tag")
		}
		return r.wrongAt(n, malformed("a < inside of a tag; in a value it is written &lt;")), nil
	}
	r.endText()
	r.at = at
	if wrong, err := r.start(&r.tag); wrong != nil || err != nil {
		return wrong, err
	}
	if r.tag.empty {
		if _, err := r.close(r.tag.name); err != nil {
			return nil, err
		}
	}
	r.at = next
	r.source.start += n
	return nil, nil
}

// tagEnd finds the end of a start tag: behind its ">", or at a "<", which cannot
// be inside, or where the export ends, and then why.
func (r *reader) tagEnd() (int, error) {
	var quote byte
	for i := 1; ; {
		t := r.source.token()
		for ; i < len(t); i++ {
			switch b := t[i]; {
			case b == '<':
				return i, nil
			case quote != 0:
				if b == quote {
					quote = 0
				}
			case b == '"' || b == '\'':
				quote = b
			case b == '>':
				return i + 1, nil
			}
		}
		if err := r.source.fill(); err != nil {
			return len(r.source.token()), err
		}
	}
}

// parseTag parses a start tag into r.tag. It returns its length, or 0 when raw
// ends before it does, and the place behind it.
func (r *reader) parseTag(raw []byte) (int, place, *fault) {
	t := &r.tag
	t.attributes, t.values, t.empty = t.attributes[:0], t.values[:0], false
	at, from := r.at, 0
	stand := func(i int) place {
		at, from = at.after(raw[from:i]), i
		return at
	}
	wrong := func(i int, f *fault) (int, place, *fault) {
		r.at = stand(i)
		return 0, r.at, f
	}
	length, prefix, ok := qName(raw[1:])
	i := 1 + length
	if !ok && i < len(raw) {
		return wrong(i, malformed("a < that starts no tag: in text it is written &lt;, and a tag starts with a name"))
	}
	t.name, t.prefix = raw[1:i], prefix
	for {
		space := skipSpace(raw[i:])
		i += space
		rest := raw[i:]
		switch {
		case len(rest) == 0 || len(rest) == 1 && rest[0] == '/':
			return 0, at, nil
		case rest[0] == '>':
			return i + 1, stand(i + 1), nil
		case rest[0] == '/' && rest[1] == '>':
			t.empty = true
			return i + 2, stand(i + 2), nil
		}
		a := attribute{}
		length, a.prefix, ok = qName(rest)
		switch {
		case !ok && length < len(rest):
			return wrong(i+length, malformed("a name of an attribute, a / or a > is due in the tag <%s", shown(t.name)))
		case space == 0:
			return wrong(i, malformed("no white space before the attribute %s", shown(rest[:length])))
		case len(t.attributes) == maxAttributes:
			return 0, r.at, limit("<%s> has more than %d attributes", shown(t.name), maxAttributes)
		}
		a.name, a.place = rest[:length], stand(i)
		i += length
		i += skipSpace(raw[i:])
		if i < len(raw) && raw[i] != '=' {
			return wrong(i, malformed("the attribute %s has no = and value", shown(a.name)))
		}
		i = min(i+1, len(raw))
		i += skipSpace(raw[i:])
		if i == len(raw) {
			return 0, at, nil
		}
		if raw[i] != '"' && raw[i] != '\'' {
			return wrong(i, malformed("the value of the attribute %s is not in quotes", shown(a.name)))
		}
		value := raw[i+1:]
		n := bytes.IndexByte(value, raw[i])
		if n >= 0 {
			value = value[:n]
		}
		var bad *fault
		if t.values, bad = r.value(t.values, value, i+1); bad != nil {
			return 0, r.at, bad
		}
		if n < 0 {
			return 0, at, nil
		}
		i += n + 2
		a.end = len(t.values)
		t.attributes = append(t.attributes, a)
	}
}

var xmlns = []byte("xmlns")

// declares reports whether an attribute declares a namespace, and of which prefix.
func (a *attribute) declares() (prefix []byte, ok bool) {
	if a.prefix > 0 {
		return a.name[a.prefix+1:], string(a.name[:a.prefix]) == string(xmlns)
	}
	return nil, string(a.name) == string(xmlns)
}

// resolve fills in an element's name and attributes from its start tag, whose
// declarations of namespaces it puts in force; it returns how many.
func (r *reader) resolve(e *Element, t *startTag) (int, *fault) {
	bindings, from := 0, 0
	for i := range t.attributes {
		a := &t.attributes[i]
		value := t.values[from:a.end]
		from = a.end
		prefix, ok := a.declares()
		if !ok {
			continue
		}
		if message := r.spaces.bind(e.Sequence, string(prefix), string(value)); message != "" {
			r.at = a.place
			return 0, malformed("%s", message)
		}
		if bindings++; r.spaces.inForce() > maxAttributes {
			return 0, limit("more than %d namespaces are declared at once", maxAttributes)
		}
	}
	var wrong *fault
	if e.Name, wrong = r.expand(t.name, t.prefix, true); wrong != nil {
		return 0, wrong
	}
	return bindings, r.attributes(e, t, len(t.attributes)-bindings)
}

// attributes fills in an element's n attributes that declare no namespace.
func (r *reader) attributes(e *Element, t *startTag, n int) *fault {
	if n == 0 {
		return nil
	}
	e.Attributes = r.memory.attributes.take(n)[:0]
	values, from := r.names.of(t.values), 0 // one string for all of them
	for i := range t.attributes {
		a := &t.attributes[i]
		value := values[from:a.end]
		from = a.end
		if _, ok := a.declares(); ok {
			continue
		}
		r.at = a.place
		name, wrong := r.expand(a.name, a.prefix, false)
		if wrong != nil {
			return wrong
		}
		e.Attributes = append(e.Attributes, Attribute{name, value, a.place.line, a.place.column})
	}
	if i := twice(e.Attributes); i >= 0 {
		a := e.Attributes[i]
		r.at = place{a.Line, a.Column}
		return malformed("the attribute %s is given twice", shown([]byte(a.Name.Local)))
	}
	return nil
}

// expand replaces a prefix by its namespace. An attribute without a prefix is in
// none (Namespaces in XML 1.0, 6.2).
func (r *reader) expand(name []byte, prefix int, isElement bool) (xml.Name, *fault) {
	if len(name) > maxName {
		return xml.Name{}, limit("a name is longer than %d bytes", maxName)
	}
	if prefix == 0 && !isElement {
		return xml.Name{Local: r.names.of(name)}, nil
	}
	uri, ok := r.spaces.uri(name[:prefix])
	if !ok {
		return xml.Name{}, malformed("the prefix of %s is not declared", shown(name))
	}
	if prefix > 0 {
		name = name[prefix+1:]
	}
	return xml.Name{Space: uri, Local: r.names.of(name)}, nil
}

// twice finds an attribute that has the name of an earlier one, or -1.
func twice(attributes []Attribute) int {
	if len(attributes) > 16 {
		seen := make(map[xml.Name]bool, len(attributes))
		for i, a := range attributes {
			if seen[a.Name] {
				return i
			}
			seen[a.Name] = true
		}
		return -1
	}
	for i := range attributes {
		for j := range i {
			if attributes[i].Name == attributes[j].Name {
				return i
			}
		}
	}
	return -1
}
