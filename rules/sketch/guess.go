package sketch

import (
	"slices"
)

// guess says which paths are what. step is the operation's path where each operation
// is one step.
type guess struct {
	all                   []*path
	operation, step, item *path
	itemID                *facet
	refers                map[*facet]reference
	parts                 []part
}

func guessed(s *survey) guess {
	all := s.root.all()
	identify(all)
	g := guess{all: all, refers: references(all)}
	most := 0
	for _, p := range all {
		most = max(most, sentences(p))
	}
	g.step = best(all, func(p *path) int {
		score := stepScore(s, p)
		if score > 0 && sentences(p) == most {
			score++
		}
		if score > 0 && g.referred(p) {
			score -= 2
		}
		return score
	})
	if g.step != nil {
		g.operation = operationAround(g.step)
	} else if g.operation = best(all, func(p *path) int { return operationScore(s, p) }); g.operation != nil {
		g.step = g.operation
	}
	if g.operation == nil {
		return g
	}
	g.findItem()
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
	if p == s.root || p.recursive || aside(p) || p.leaf() && language(p) != nil || len(p.facets) == 0 && len(p.children) == 0 {
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
		if warns(p) {
			return true
		}
		for _, r := range []role{noteWords, hazardWords, titleWords, measureWords} {
			if r.suggests(p.name.Local) {
				return true
			}
		}
	}
	return false
}

// warns reports that each element has a signal word, or is a text that begins with one.
func warns(p *path) bool {
	for _, v := range valuesIn(p, nil) {
		f := v.facet
		word := f.wordy() <= 1 && f.owner() == p && f.count == p.count
		if f.warns > 0 && f.warns == f.count && (word || p.leaf() && f.attr.Local == "") {
			return true
		}
	}
	return false
}

// wordy reports text of several words right in the path.
func wordy(p *path) bool { return sentences(p) > 0 }

// sentences is how many words stand in texts right in the path.
func sentences(p *path) int {
	n := 0
	for _, v := range valuesIn(p, nil) {
		if v.facet.wordy() >= 4 && !aside(v.facet.of) {
			n += v.facet.words
		}
	}
	return n
}

// referred reports that lines with a quantity refer to elements of the path: these are
// things and no work.
func (g *guess) referred(p *path) bool {
	return p.id != nil && slices.ContainsFunc(g.all, func(q *path) bool {
		return !q.in(p) && slices.ContainsFunc(q.facets, func(f *facet) bool { return g.refers[f].to == p.id && counted(f.owner()) != nil })
	})
}

// language is the attribute that says the language of the texts of a path, or nil.
func language(p *path) *facet {
	return pick(valuesIn(p, nil), func(v value) bool {
		f := v.facet
		return f.of == p && f.attr.Local != "" && f.count == p.count && (f.attr.Space == xmlSpace && f.attr.Local == "lang" ||
			f.lang == f.count && (p.most > 1 || langWords.ends(f.called())))
	})
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

// pick is the first facet that suits, or nil.
func pick(values []value, suits func(value) bool) *facet {
	for _, v := range values {
		if suits(v) {
			return v.facet
		}
	}
	return nil
}
