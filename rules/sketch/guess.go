package sketch

import (
	"slices"
	"strings"
)

// guess says which paths are what. step is the operation's path where each operation
// is one step.
type guess struct {
	operation, step, item *path
	itemID                *facet
	refers                map[*facet]reference
	parts                 []part
}

// reference is an identifier that a facet's values are values of, and how many of
// them, in hundredths.
type reference struct {
	to   *facet
	part int
}

// part is where a line consumed is found: the elements that hold it, in a record,
// and the facet that names the item.
type part struct {
	record, holder *path
	item           *facet
	refers         bool // to the items of the export
}

func guessed(s *survey) guess {
	all := s.root.all()
	g := guess{refers: references(all)}
	g.step = best(all, func(p *path) int { return stepScore(s, p) })
	if g.step != nil {
		g.operation = operationAround(g.step)
	} else if g.operation = best(all, func(p *path) int { return operationScore(s, p) }); g.operation != nil {
		g.step = g.operation
	}
	if g.operation == nil {
		return g
	}
	g.findItem(all)
	g.findParts()
	return g
}

// best is the path with the highest score above 3.
func best(all []*path, score func(*path) int) *path {
	var found *path
	least := 3
	for _, p := range all {
		if n := score(p); n > least {
			found, least = p, n
		}
	}
	return found
}

func stepScore(s *survey, p *path) int {
	name := p.name.Local
	if p == s.root || p.recursive || aside(p) || len(p.facets) == 0 && len(p.children) == 0 {
		return 0
	}
	score := 0
	called := stepWords.suggests(name) || stepListWords.ends(p.parent.name.Local)
	if called {
		score += 4
	}
	if p.most > 1 {
		score += 2
	}
	if wordy(p) {
		score += 2
	}
	switch o := operationAround(p); {
	case o != s.root && operationWords.suggests(o.name.Local):
		score++
	case itemWords.suggests(o.name.Local):
		score -= 2 // how an item is made or kept
	}
	if score < 6 && !called {
		// Repeated text alone is any list of remarks; steps stand in something repeated.
		if o := operationAround(p); score < 4 || o == s.root || p.leaf() {
			return 0
		}
	}
	if itemWords.suggests(name) {
		score -= 3
	}
	return score
}

func operationScore(s *survey, p *path) int {
	if p == s.root || aside(p) || p.leaf() && !operationWords.suggests(p.name.Local) {
		return 0
	}
	score := 0
	if operationWords.suggests(p.name.Local) {
		score += 3
	}
	if p.count > 1 {
		score += 2
	}
	if p.recursive {
		score++
	}
	if identifier(p) != nil || wordy(p) {
		score++
	}
	if itemWords.suggests(p.name.Local) {
		score -= 2
	}
	return score
}

// aside reports what is said besides the work: remarks, hazards, what is measured.
func aside(p *path) bool {
	for ; p != nil && p.parent != nil; p = p.parent {
		for _, r := range []role{noteWords, hazardWords, titleWords, measureWords} {
			if r.suggests(p.name.Local) {
				return true
			}
		}
	}
	return false
}

// wordy reports text of several words right in the path.
func wordy(p *path) bool {
	return slices.ContainsFunc(valuesIn(p, nil), func(v value) bool { return v.facet.wordy() >= 4 })
}

// operationAround is the nearest path around a step that is repeated, or called an
// operation; else the one right around it.
func operationAround(step *path) *path {
	for p := step.parent; p != nil && p.parent != nil; p = p.parent {
		if p.count > 1 && !stepWords.suggests(p.name.Local) || operationWords.suggests(p.name.Local) && identifier(p) != nil {
			return p
		}
	}
	if step.parent == nil {
		return step
	}
	return step.parent
}

// value is a facet that a record can take a field from.
type value struct {
	facet *facet
	depth int
	many  bool // several in one record
}

// valuesIn are the facets of a path and of what stands once in it, two deep, and the
// texts that are repeated in it; nearest first. What is in without is passed over.
func valuesIn(p *path, without []*path) []value {
	var out []value
	level := []*path{p}
	for depth := 0; depth <= 2 && len(level) > 0; depth++ {
		var next []*path
		for _, q := range level {
			many := q != p && q.most > 1
			for _, f := range q.facets {
				if f.count > 0 {
					out = append(out, value{f, depth, many})
				}
			}
			if many {
				continue
			}
			for _, c := range q.children {
				if (c.most <= 1 || c.leaf()) && c != q && !slices.Contains(without, c) && !q.leaf() {
					next = append(next, c)
				}
			}
		}
		level = next
	}
	return out
}

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
func identifier(p *path) *facet {
	var found *facet
	for _, v := range valuesIn(p, nil) {
		f := v.facet
		if v.many || v.depth > 1 || f.attr.Local != "" && v.depth > 0 || !f.unique(p.count) || !idWords.ends(f.called()) {
			continue
		}
		if found == nil || strings.EqualFold(f.called(), "id") && !strings.EqualFold(found.called(), "id") {
			found = f
		}
	}
	return found
}

// references finds the facets whose values are identifiers of other elements.
func references(all []*path) map[*facet]reference {
	var ids []*facet
	for _, p := range all {
		if f := identifier(p); f != nil && p.count > 1 {
			ids = append(ids, f)
		}
	}
	out := map[*facet]reference{}
	for _, p := range all {
		for _, f := range p.facets {
			for _, id := range ids {
				if n := f.found(id); f != id && n >= 50 && n > out[f].part && telling(f, id) {
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

// findItem takes what is referred to most from the work, and is none of it.
func (g *guess) findItem(all []*path) {
	times := map[*facet]int{}
	for _, p := range all {
		for _, f := range p.facets {
			if r, refers := g.refers[f]; refers && f.of.in(g.operation) {
				times[r.to] += f.count
			}
		}
	}
	score := func(id *facet) int {
		n := times[id]
		if o := id.owner(); n == 0 || o.in(g.operation) || g.operation.in(o) {
			return 0
		} else if itemWords.suggests(o.name.Local) {
			n += 1_000_000
		}
		return n
	}
	for _, p := range all {
		if id := identifier(p); id != nil && score(id) > 0 && (g.itemID == nil || score(id) > score(g.itemID)) {
			g.item, g.itemID = p, id
		}
	}
}

// findParts takes what refers to items from the work; where the export defines none,
// what is called an item and has a quantity.
func (g *guess) findParts() {
	for _, p := range g.operation.all() {
		for _, f := range p.facets {
			holder := f.owner()
			r, refers := g.refers[f]
			refers = refers && r.to == g.itemID
			named := g.item == nil && itemWords.suggests(f.called()) && idWords.suggests(f.called()) && quantity(holder) != nil
			if !refers && !named || aside(holder) || holder == g.operation || holder == g.step && !itemWords.suggests(f.called()) {
				continue
			}
			record := g.operation
			if holder.in(g.step) {
				record = g.step
			}
			if !slices.ContainsFunc(g.parts, func(o part) bool { return o.record == record }) || quantity(holder) != nil {
				g.parts = slices.DeleteFunc(g.parts, func(o part) bool { return o.record == record && quantity(o.holder) == nil })
				if !slices.ContainsFunc(g.parts, func(o part) bool { return o.holder == holder }) {
					g.parts = append(g.parts, part{record, holder, f, refers})
				}
			}
		}
	}
}

func quantity(holder *path) *facet {
	return pick(valuesIn(holder, nil), func(v value) bool {
		return !v.many && v.facet.number() && quantityWords.suggests(v.facet.called())
	})
}

// pick is the first facet that suits, or nil.
func pick(values []value, suits func(value) bool) *facet {
	for _, v := range values {
		if suits(v) {
			return v.facet
		}
	}
	return nil
}
