package rules

import (
	"slices"
	"strings"
	"sync"

	"planfold/convert/diag"
	"planfold/convert/plan"
)

// counted is what a run found of what no one may miss, over all of its plans: a rule that
// looks for it in vain is most likely wrong, and nothing in a plan says so.
type counted struct {
	mu     sync.Mutex
	plans  bool                   // at least one was read
	read   map[diag.Position]bool // places of readings that read something
	names  map[nameOf]bool        // of elements in operations; true: no rule names them
	spoken map[string]bool        // names in the paths of the rules
}

// Counting is the same rules, which remember over the plans that they read what Unread
// tells.
func (s *Set) Counting() *Set {
	t := *s
	t.counted = &counted{read: map[diag.Position]bool{}, names: map[nameOf]bool{}, spoken: map[string]bool{}}
	note := func(path string) {
		for _, name := range token.FindAllString(path, -1) {
			t.counted.spoken[name] = true
		}
	}
	s.eachReading(func(r *reading) {
		for _, p := range r.paths {
			note(p.String())
		}
		if r.match != nil {
			note(r.match.String())
		}
	})
	for _, j := range s.joins {
		note(j.match.String())
		note(j.key.String())
	}
	return &t
}

// mustRead reports records that no one may miss.
func mustRead(k *kind) bool { return k == tighteningKind || slices.Contains(vitalKinds, k) }

// mustReadOrStep reports them, and the steps that have them.
func mustReadOrStep(k *kind) bool { return k == stepKind || mustRead(k) }

// counts is what one mapping counts; nil where nothing does.
type counts struct {
	read   map[*reading]bool
	walked int // operations whose names were noted
}

func (s *Set) counts() *counts {
	if s.counted == nil {
		return nil
	}
	return &counts{read: map[*reading]bool{}}
}

func (c *counts) reads(r *reading) {
	if c != nil && mustRead(r.kind) {
		c.read[r] = true
	}
}

// noteNames notes the names of elements in an operation. They serve a hint, so that those
// of the first operations are enough.
func (m *mapping) noteNames(e *plan.Element) {
	const most = 64
	if m.counts == nil || m.counts.walked == most {
		return
	}
	m.counts.walked++
	names := map[segment]bool{}
	var walk func(e *plan.Element)
	walk = func(e *plan.Element) {
		for _, n := range e.Content {
			if n.Element != nil {
				names[segment{name: n.Element.Name}] = true
				walk(n.Element)
			}
		}
	}
	walk(e)
	c := m.counted
	c.mu.Lock()
	defer c.mu.Unlock()
	for n := range names { // into a map: their order does not matter
		name := m.written(n)
		c.names[name] = !c.spoken[name.name]
	}
}

// countPlan takes over what was counted when a plan has been read.
func (m *mapping) countPlan() {
	if m.counts == nil {
		return
	}
	c := m.counted
	c.mu.Lock()
	defer c.mu.Unlock()
	c.plans = true
	for r := range m.counts.read {
		c.read[r.place] = true
	}
}

// Unread tells which reading rules for what no one may miss found nothing in any plan that
// was read: where no rule found such a record at all, or where a plan has something that
// is called nearly so and that no rule names. In a dialect that many sites use the first
// is normal.
func (s *Set) Unread() diag.List {
	c := s.counted
	if c == nil || !c.plans {
		return nil
	}
	found := map[*kind]bool{}
	s.eachReading(func(r *reading) { found[r.kind] = found[r.kind] || c.read[r.place] })
	var out diag.List
	told := map[diag.Position]bool{}
	s.eachReading(func(r *reading) {
		// Of a join, each plan's own messages say which keys or records lead nowhere.
		if !mustRead(r.kind) || r.join != nil || c.read[r.place] || told[r.place] {
			return
		}
		mean := ""
		if name, likely := meantIn(c.names, r.each.String()); likely {
			mean = "; did you mean \"" + name + "\"?"
		} else if found[r.kind] || s.shared[r.place.File] {
			return
		}
		told[r.place] = true
		out.Add(diag.RuleReadsNoVital.At(r.place, "nothing was found in any plan of this run for %s%s", strings.TrimPrefix(r.rule, "read."), mean))
	})
	inPlace(out)
	return out
}
