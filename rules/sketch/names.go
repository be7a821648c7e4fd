package sketch

import (
	"encoding/xml"
	"fmt"
	"slices"
	"strings"
)

// prefix is that of a namespace in the rules: the export's own are not kept.
func prefix(i int) string {
	if i == 0 {
		return "p"
	}
	return fmt.Sprintf("p%d", i+1)
}

// named is a name as paths write it.
func (w *writer) named(n xml.Name) string {
	switch {
	case n.Space == xmlSpace:
		return "xml:" + n.Local
	case n.Space == "":
		return n.Local
	}
	return prefix(slices.Index(w.survey.spaces, n.Space)) + ":" + n.Local
}

func (w *writer) attribute(f *facet) string { return "@" + w.named(f.attr) }

// absolute is the record pattern of a path.
func (w *writer) absolute(p *path) string {
	var s strings.Builder
	for _, q := range chain(nil, p) {
		s.WriteString("/")
		if q.recursive {
			s.WriteString("/")
		}
		s.WriteString(w.named(q.name))
	}
	return s.String()
}

// below is the path from a record to elements in it.
func (w *writer) below(record, p *path) string {
	if record == p {
		return "."
	}
	var names []string
	for _, q := range chain(record, p) {
		names = append(names, w.named(q.name))
	}
	return strings.Join(names, "/")
}

// relative is the path from a record to a facet in it.
func (w *writer) relative(record *path, f *facet) string {
	switch to := w.below(record, f.of); {
	case f.attr.Local == "":
		return to
	case to == ".":
		return w.attribute(f)
	default:
		return to + "/" + w.attribute(f)
	}
}

// place is where a facet is found, from the root.
func (w *writer) place(f *facet) string {
	if f.attr.Local == "" {
		return w.absolute(f.of)
	}
	return w.absolute(f.of) + "/" + w.attribute(f)
}

// chain is the paths from below one down to another.
func chain(from, to *path) []*path {
	var out []*path
	for ; to != from && to != nil; to = to.parent {
		out = append(out, to)
	}
	slices.Reverse(out)
	return out
}
