package sketch

import (
	"slices"
	"strings"
)

// called is the name that a facet's values go by.
func (f *facet) called() string {
	if f.attr.Local != "" {
		return f.attr.Local
	}
	return f.of.name.Local
}

// owner is the path whose elements a facet tells apart.
func (f *facet) owner() *path {
	if f.attr.Local == "" && f.of.parent != nil {
		return f.of.parent
	}
	return f.of
}

// identifier is the facet that tells elements of the path apart, or nil.
func identifier(p *path) *facet { return p.id }

// identify finds what tells the elements of each path apart: what is called an id; and
// where nothing is, or nothing refers to it, what others do refer to.
func identify(all []*path) {
	for _, p := range all {
		for _, f := range unique(p) {
			if idWords.ends(f.called()) && (p.id == nil || strings.EqualFold(f.called(), "id") && !strings.EqualFold(p.id.called(), "id")) {
				p.id = f
			}
		}
	}
	for _, p := range all {
		if p.count > 2 && (p.id == nil || referrers(all, p.id) == 0) {
			p.referredTo(all)
		}
	}
}

func (p *path) referredTo(all []*path) {
	most := 0
	for _, f := range unique(p) {
		if f.number() || f.lang == f.count || titleWords.suggests(f.called()) || names(f, all) {
			continue
		}
		if n := referrers(all, f); n > most {
			p.id, most = f, n
		}
	}
}

// names reports that all values are ids of other elements.
func names(f *facet, all []*path) bool {
	return slices.ContainsFunc(all, func(p *path) bool { return p.id != nil && p != f.owner() && f.within(p.id) })
}

// unique are the facets of which each element of the path has its own value.
func unique(p *path) []*facet {
	var out []*facet
	for _, v := range valuesIn(p, nil) {
		f := v.facet
		if !v.many && v.depth <= 1 && (f.attr.Local == "" || v.depth == 0) && f.unique(p.count) {
			out = append(out, f)
		}
	}
	return out
}

// referrers is how many values elsewhere are all of this facet's. Where each is found
// in the other, what has less to say refers to what has more.
func referrers(all []*path, id *facet) int {
	n := 0
	for _, p := range all {
		if p == id.owner() {
			continue
		}
		for _, f := range p.facets {
			if f.within(id) && f.short == f.count && telling(f, id) && !(id.within(f) && f.owner().content() >= id.owner().content()) {
				n += f.count
			}
		}
	}
	return n
}

// content is how many things elements of the path say.
func (p *path) content() int { return len(p.facets) + len(p.children) }

// reference is an identifier that a facet's values are values of, and how many of
// them, in hundredths.
type reference struct {
	to   *facet
	part int
}

// references finds the facets whose values are identifiers of other elements.
func references(all []*path) map[*facet]reference {
	var ids []*facet
	for _, p := range all {
		if p.id != nil && p.count > 1 {
			ids = append(ids, p.id)
		}
	}
	out := map[*facet]reference{}
	for _, p := range all {
		for _, f := range p.facets {
			for _, id := range ids {
				if n := f.found(id); n >= 50 && f != id && n > out[f].part && telling(f, id) && (f.count > 1 || idWords.ends(id.called())) {
					out[f] = reference{id, n}
				}
			}
		}
	}
	return out
}

// telling reports that equal values are no accident: short numbers are equal all the
// time, and say something only where the name does too.
func telling(f, id *facet) bool {
	if !id.number() || id.figures > 4 {
		return true
	}
	names := split(f.called())
	return slices.Contains(names, "ref") || precedeWords.suggests(f.called()) || slices.ContainsFunc(split(id.owner().name.Local), func(w string) bool { return slices.Contains(names, w) })
}
