package rules

import (
	"cmp"
	"slices"
	"sync"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// Survey follows a set of rules over plans: it holds their expectations against
// what comes out, and says afterwards which rules did nothing. Plans may be
// surveyed at the same time; their order changes nothing.
type Survey struct {
	set *Set

	mu     sync.Mutex
	plans  int
	ids    map[string]bool
	counts tally
	names  names
	looked *paths
}

// tally counts what rules did.
type tally struct {
	read  map[diag.Position]int // by the place of a reading or value: how often it gave something
	paths map[diag.Position]led // by the place of a value, or of its where, lang or by
	rules map[string]*did       // assigning rules, by name
	held  map[*expectation]int  // objects that an expectation was held against
}

// led is how often a path was followed, and led to something, to a text of which a
// pattern takes nothing, or nowhere.
type led struct{ found, unmatched, vain int }

// did is what an assigning rule did.
type did struct{ fired, set, lost int }

func newTally(s *Set) tally {
	t := tally{map[diag.Position]int{}, map[diag.Position]led{}, map[string]*did{}, map[*expectation]int{}}
	s.eachReading(func(r *reading) {
		t.read[r.place] = 0
		for _, b := range r.bindings {
			for _, v := range b.values {
				t.read[v.place] = 0
			}
		}
	})
	for _, j := range s.joins {
		t.read[j.matchAt], t.read[j.keyAt] = 0, 0
	}
	return t
}

func (t tally) rule(name string) *did {
	d := t.rules[name]
	if d == nil {
		d = &did{}
		t.rules[name] = d
	}
	return d
}

// event reads the trace.
func (t tally) event(e Event) {
	_, reading := t.read[e.Place]
	switch {
	case e.Kind == PathFollowed:
		l := t.paths[e.Place]
		switch e.Value {
		case "":
			l.vain++
		case unmatched:
			l.unmatched++
		default:
			l.found++
		}
		t.paths[e.Place] = l
	case e.Kind == RuleFired:
		t.rule(e.Rule).fired++
	case e.Kind == ValueOverridden:
		t.rule(e.Origin.Rule).lost++
	case e.Kind == ValueSet && !reading:
		t.rule(e.Rule).set++
	case e.Kind == ValueSet, e.Kind == ElementRead, e.Kind == ElementJoined:
		t.read[e.Place]++
	}
}

func (t tally) merge(other tally) {
	for at, n := range other.read {
		t.read[at] += n
	}
	for at, n := range other.paths {
		l := t.paths[at]
		t.paths[at] = led{l.found + n.found, l.unmatched + n.unmatched, l.vain + n.vain}
	}
	for name, d := range other.rules {
		to := t.rule(name)
		to.fired, to.set, to.lost = to.fired+d.fired, to.set+d.set, to.lost+d.lost
	}
	for x, n := range other.held {
		t.held[x] += n
	}
}

// Survey begins a survey.
func (s *Set) Survey() *Survey {
	return &Survey{set: s, ids: map[string]bool{}, counts: newTally(s), names: namesFor(s.mentions), looked: newPaths()}
}

// Surveyed maps one plan under a survey: it is a mapper, to be handed what it made.
type Surveyed struct {
	*Set
	survey *Survey
	counts tally
	names  names
	expecting
}

// Plan begins with a plan.
func (v *Survey) Plan() *Surveyed {
	p := &Surveyed{survey: v, counts: newTally(v.set), names: namesFor(v.set.mentions)}
	p.expecting = expecting{set: v.set, held: p.counts.held, history: map[thing][]Event{}}
	p.Set = v.set.Traced(p.counts.event, p.expecting.event)
	return p
}

// Operation is handed each operation when it is assigned.
func (p *Surveyed) Operation(of *step.Plan, o *step.Operation) {
	if len(p.names) > 0 {
		p.names.note(operationKind, o)
	}
	p.expecting.operation(of, o)
}

// End is handed the plan, nil if it was refused. It returns the expectations that
// failed.
func (p *Surveyed) End(of *step.Plan) diag.List {
	if of == nil {
		return nil
	}
	if len(p.names) > 0 {
		p.names.note(planKind, of)
		for _, i := range of.Items {
			p.names.note(itemKind, i)
		}
		for _, list := range of.Structure {
			for _, o := range list {
				p.names.note(occurrenceKind, o)
			}
		}
	}
	p.expecting.end(of)
	v := p.survey
	v.mu.Lock()
	defer v.mu.Unlock()
	v.plans++
	v.ids[of.ID.Value] = true
	v.counts.merge(p.counts)
	v.names.merge(p.names)
	return p.expecting.failed
}

// Findings are what the rules did not do in all the plans: warnings first, each by
// its place.
func (v *Survey) Findings() diag.List {
	if v.plans == 0 {
		return nil
	}
	out := slices.Concat(v.idle(), v.unread(), v.unmet())
	inPlace(out)
	slices.SortStableFunc(out, func(a, b diag.Diagnostic) int { return cmp.Compare(b.Severity, a.Severity) })
	return slices.CompactFunc(out, diag.Diagnostic.Same)
}
