package rules

import (
	"cmp"
	"io"
	"maps"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/rules/action"
)

// Coverage is how much of the rules did something with the plans that were
// surveyed, and how much of the plans the rules look at. The worst comes first.
type Coverage struct {
	Rules   Covered `json:"rules"`   // assigning rules that fired
	Reading Covered `json:"reading"` // values of fields that gave something
	Plans   Looked  `json:"plans"`   // elements and attributes
}

// Covered are entries of rule files.
type Covered struct {
	Did     int     `json:"did"`
	Total   int     `json:"total"`
	Entries []Entry `json:"entries"`
}

// Entry of a rule file, and how often it did something.
type Entry struct {
	Name     string        `json:"name"`
	Position diag.Position `json:"position"`
	Times    int           `json:"times"`
}

// Looked says what the rules look at in plans.
type Looked struct {
	Did    int      `json:"did"`
	Total  int      `json:"total"`
	Unread []Unread `json:"unread"`
}

// Unread are the elements or attributes of one path that no rule looks at; Within
// counts what stands in them.
type Unread struct {
	Path   string        `json:"path"` // with the prefixes of the rules
	Times  int           `json:"times"`
	Within int           `json:"within,omitempty"`
	First  diag.Position `json:"first"`
}

// Percent is the lower of the rules that fired and of what is looked at in the plans,
// in whole per cent, rounded down.
func (c Coverage) Percent() int { return min(c.Rules.Percent(), c.Plans.Percent()) }

// Percent is rounded down; nothing of nothing is all.
func (c Covered) Percent() int { return percent(c.Did, c.Total) }

// Percent is rounded down; nothing of nothing is all.
func (l Looked) Percent() int { return percent(l.Did, l.Total) }

func percent(n, of int) int {
	if of == 0 {
		return 100
	}
	return n * 100 / of
}

// Look notes what the rules look at in a plan, for the coverage.
func (v *Survey) Look(open func() (io.ReadCloser, error), name string) error {
	p, err := v.set.touched(open, name)
	if err != nil || p == nil {
		return err
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	v.looked.merge(p)
	return nil
}

// Coverage of the plans so far. Rules that ask what only geometry teaches are not
// counted.
func (v *Survey) Coverage() Coverage {
	c := Coverage{Rules: Covered{Entries: []Entry{}}, Reading: Covered{Entries: []Entry{}}}
	for _, kind := range action.Kinds {
		for _, r := range v.set.rules[kind] {
			if !r.asksGeometry() {
				c.Rules.add(Entry{r.name, r.place, v.counts.rule(r.name).fired})
			}
		}
	}
	seen := map[diag.Position]bool{}
	v.set.eachReading(func(r *reading) {
		for _, b := range r.bindings {
			for i, x := range b.values {
				if seen[x.place] {
					continue // an alias
				}
				seen[x.place] = true
				c.Reading.add(Entry{strings.TrimPrefix(b.called(i), "read."), x.place, v.counts.read[x.place]})
			}
		}
	})
	c.Rules.sort()
	c.Reading.sort()
	c.Plans = Looked{Did: v.looked.read, Total: v.looked.total, Unread: []Unread{}}
	for _, path := range slices.Sorted(maps.Keys(v.looked.unread)) {
		u := v.looked.unread[path]
		c.Plans.Unread = append(c.Plans.Unread, Unread{path, u.times, u.within, u.first})
	}
	slices.SortStableFunc(c.Plans.Unread, func(a, b Unread) int { return cmp.Compare(b.Times+b.Within, a.Times+a.Within) })
	return c
}

func (c *Covered) add(e Entry) {
	c.Total++
	if e.Times > 0 {
		c.Did++
	}
	c.Entries = append(c.Entries, e)
}

func (c *Covered) sort() {
	slices.SortStableFunc(c.Entries, func(a, b Entry) int {
		return cmp.Or(cmp.Compare(a.Times, b.Times), comparePlaces(a.Position, b.Position))
	})
}
