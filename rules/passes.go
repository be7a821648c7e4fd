package rules

import (
	"slices"

	"planfold/convert/plan"
	"planfold/rules/selector"
)

// passes says how little of a plan its passes need to build. What takes time and
// memory in a large plan is its operations, and only the last pass needs their
// content.
type passes struct {
	joinsAtTag   bool // of its records, every join needs the start tag alone
	joinsForHead bool // a value of the head comes by a join
	outlineAtTag bool // of an operation, the head needs the start tag alone
	plan         []*selector.Path
	planWhole    bool // a value of the plan looks for more than its paths say
	cutsNumbers  bool // a pattern takes a quantity or a limit out of a text
}

func (s *Set) planPasses() {
	s.passes = passes{}
	var outline []*value
	var paths []*selector.Path
	for _, r := range s.operations {
		if r.where != nil {
			paths = append(paths, r.where)
		}
		for _, field := range outlineFields {
			if b := r.binding(field); b != nil {
				outline = append(outline, b.all()...)
			}
		}
	}
	if s.effective != "" {
		for _, r := range s.operations {
			if b := r.binding("effectivity"); b != nil {
				outline = append(outline, valuesOf(b.inside)...)
				for _, in := range b.inside {
					paths = append(paths, in.paths...)
				}
			}
		}
	}
	for _, v := range outline {
		paths = append(paths, v.paths...)
	}
	s.passes.outlineAtTag = atStartTag(paths)
	s.passes.joinsAtTag = !slices.ContainsFunc(s.joins, needsContent)
	head := slices.Concat(outline, valuesOf(s.plan), valuesOf(s.items), valuesOf(s.occurrences), valuesOf(s.views))
	s.passes.joinsForHead = slices.ContainsFunc(head, func(v *value) bool { return v.join != nil }) ||
		leads(slices.Concat(s.plan, s.items, s.occurrences, s.views))
	s.passes.planWhole = slices.ContainsFunc(valuesOf(s.plan), func(v *value) bool { return v.up > 0 })
	for _, r := range s.plan {
		s.passes.plan = append(s.passes.plan, r.paths...)
	}
	s.eachReading(func(r *reading) {
		for _, b := range r.bindings {
			s.passes.cutsNumbers = s.passes.cutsNumbers || slices.ContainsFunc(b.values, func(v *value) bool { return cutsNumbers(b.field, v) })
		}
	})
}

// joinsWithHead reports whether one pass serves joins and the head.
func (p *passes) joinsWithHead() bool { return p.joinsAtTag && !p.joinsForHead }

func atStartTag(paths []*selector.Path) bool {
	return !slices.ContainsFunc(paths, func(p *selector.Path) bool { return !p.AtStartTag() })
}

// needsContent reports whether a join needs more of its records than start tags.
func needsContent(j *join) bool {
	if j.whole {
		return true
	}
	paths := []*selector.Path{j.key}
	for _, v := range j.values {
		paths = append(paths, slices.DeleteFunc(slices.Clone(v.paths), func(p *selector.Path) bool { return p == v.by || p == v.where })...)
	}
	return !atStartTag(paths)
}

// valuesOf are the values of readings and of those inside.
func valuesOf(readings []*reading) []*value {
	var out []*value
	for _, r := range readings {
		for _, b := range r.bindings {
			out = append(append(out, b.all()...), valuesOf(b.inside)...)
		}
	}
	return out
}

// all are the values of a binding, and those that are added to them.
func (b *binding) all() []*value {
	var out []*value
	for _, v := range b.values {
		for ; v != nil; v = v.plus {
			out = append(out, v)
		}
	}
	return out
}

// leads reports whether some of the readings, or of those inside, go through a join.
func leads(readings []*reading) bool {
	return slices.ContainsFunc(readings, func(r *reading) bool {
		return r.join != nil || slices.ContainsFunc(r.bindings, func(b *binding) bool { return leads(b.inside) })
	})
}

// answer of a start tag to whether an element is a record.
type answer int

const (
	no      answer = iota
	perhaps        // its content decides
	yes
)

// atTag asks the readings of one kind about an element at its start tag.
func atTag(readings []*reading, e *plan.Element) answer {
	for _, r := range readings {
		switch {
		case !r.match.Matches(e):
		case r.where == nil:
			return yes
		case !r.where.AtStartTag():
			return perhaps
		case r.where.Bool(e):
			return yes
		}
	}
	return no
}

// recordAs says which kinds of record an element is.
type recordAs struct{ operation, plan, referred answer }

func (s *Set) recordAs(e *plan.Element) recordAs {
	return recordAs{atTag(s.operations, e), atTag(s.plan, e), max(atTag(s.items, e), atTag(s.occurrences, e), atTag(s.views, e))}
}

func (s *Set) pickJoined(e *plan.Element) plan.Take {
	switch {
	case !s.isJoined(e):
		return plan.Inside
	case s.passes.joinsAtTag:
		return plan.Start
	}
	return plan.Whole
}

// pick takes what the head needs, and what joins need if they go with it.
func (h *head) pick(e *plan.Element) plan.Take {
	s := h.m.Set
	if e.Parent == nil {
		h.document = e
	}
	if s.passes.joinsWithHead() && s.isJoined(e) {
		h.m.takeJoined(e)
	}
	is := s.recordAs(e)
	if s.passes.outlineAtTag && is == (recordAs{operation: yes}) {
		return plan.Start
	}
	return s.passes.pick(e, is, &h.open)
}

// pick takes each record whole, but of the plan, which may hold all others, only what
// is read. open is the sequence of the plan's element.
func (p *passes) pick(e *plan.Element, is recordAs, open *int) plan.Take {
	switch {
	case is == recordAs{plan: yes} && !p.planWhole:
		*open = e.Sequence
		return plan.Whole
	case is != recordAs{}:
		return plan.Whole
	case e.Parent != nil && e.Parent.Sequence == *open && !slices.ContainsFunc(p.plan, func(p *selector.Path) bool { return p.Reads(e) }):
		return plan.Aside
	}
	return plan.Inside
}

// pickOperation takes operations, and cuts out of them the same records as the pass
// for the head. The root, unless it is an operation, is of no more use.
func (s *Set) pickOperation(e *plan.Element) plan.Take {
	switch is := s.recordAs(e); {
	case is.operation != no:
		return plan.Whole
	case is == recordAs{} || e.Parent == nil:
		return plan.Inside
	case is.plan == yes || is.referred == yes:
		return plan.Start
	}
	return plan.Whole
}
