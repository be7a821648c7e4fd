package sketch

import (
	"fmt"
	"maps"
	"slices"
)

// joins writes those that fields lead through: lists of lines, and lists of files.
func (w *writer) joins() {
	w.join = map[*path]string{}
	for _, p := range w.survey.root.all() {
		for _, f := range p.facets {
			if w.leadsThrough(f) && w.join[w.guess.refers[f].to.owner()] == "" {
				w.addJoin(w.guess.refers[f].to)
			}
		}
	}
}

// leadsThrough reports that a field is read where a facet of the work or of an item
// refers to.
func (w *writer) leadsThrough(f *facet) bool {
	g := w.guess
	if slices.ContainsFunc(g.parts, func(p part) bool { return p.by == f }) {
		return true
	}
	return g.leads(f) != nil && f != g.itemID && (f.of.in(g.operation) || g.item != nil && f.of.in(g.item))
}

func (w *writer) addJoin(key *facet) {
	list := key.owner()
	name := list.name.Local
	for n := 2; !plainName.MatchString(name) || quoted(name) != name || slices.Contains(slices.Collect(maps.Values(w.join)), name); n++ {
		name = fmt.Sprintf("list%d", n)
	}
	if len(w.join) == 0 {
		w.line(0, "joins: # lists that others refer to by a key")
	}
	w.join[list] = name
	w.used[key] = true
	w.line(1, "%s: {match: %s, key: %s} # %s", name, quoted(w.absolute(list)), quoted(w.relative(list, key)), w.reason(key, "each once"))
}
