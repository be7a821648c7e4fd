package plan

const (
	xmlSpace   = "http://www.w3.org/XML/1998/namespace"
	xmlnsSpace = "http://www.w3.org/2000/xmlns/"
)

// spaces are the namespaces in force, by prefix; "" is the default one (Namespaces
// in XML 1.0).
type spaces struct {
	byPrefix map[string]binding
	shadowed []binding // what the declarations in force have hidden, in their order
}

// binding is a prefix with its namespace and the element that declares it.
type binding struct {
	prefix, uri string
	element     int
	none        bool // the prefix is not bound
}

func newSpaces() spaces {
	return spaces{byPrefix: map[string]binding{"xml": {"xml", xmlSpace, -1, false}}}
}

// bind puts a declaration of an element in force; it returns what is wrong with it.
func (s *spaces) bind(element int, prefix, uri string) (wrong string) {
	before, bound := s.byPrefix[prefix]
	switch {
	case prefix == "xmlns":
		return "the prefix xmlns must not be declared"
	case (prefix == "xml") != (uri == xmlSpace):
		return "the prefix xml and its namespace belong to each other alone"
	case uri == xmlnsSpace:
		return "the namespace " + xmlnsSpace + " must not be declared"
	case prefix != "" && uri == "":
		return "the prefix " + prefix + " is declared without a namespace"
	case bound && before.element == element:
		return "a namespace is declared twice for one prefix"
	case !bound:
		before = binding{prefix: prefix, none: true}
	}
	s.shadowed = append(s.shadowed, before)
	s.byPrefix[prefix] = binding{prefix, uri, element, false}
	return ""
}

// undo takes the last declarations back.
func (s *spaces) undo(n int) {
	for ; n > 0; n-- {
		last := s.shadowed[len(s.shadowed)-1]
		s.shadowed = s.shadowed[:len(s.shadowed)-1]
		if last.none {
			delete(s.byPrefix, last.prefix)
		} else {
			s.byPrefix[last.prefix] = last
		}
	}
}

func (s *spaces) inForce() int { return len(s.shadowed) }

// uri is the namespace of a prefix. Names without one are in none by default.
func (s *spaces) uri(prefix []byte) (string, bool) {
	b, ok := s.byPrefix[string(prefix)]
	return b.uri, ok || len(prefix) == 0
}
