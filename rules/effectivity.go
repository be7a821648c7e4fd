package rules

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/convert/step"
)

// Effectivity says for which serial numbers, or on which dates, a record holds
// (ISO 10303-44). Without one asked for, all records are kept and show theirs. What
// cannot be decided is kept, and the edition held: a step too many is seen, one that
// is missing is not.

var effectivityKind = &kind{name: "effectivity", make: fresh[step.Effectivity], check: effectivityRead, fields: []*field{
	put("from", text, func(e *step.Effectivity) *step.Text { return &e.From }),
	put("to", text, func(e *step.Effectivity) *step.Text { return &e.To }),
}}

func effectivity[T any](at func(*T) *[]step.Effectivity) *field {
	return within("effectivity", effectivityKind, at)
}

// For is the same rules, leaving out what does not hold for a serial number or a date
// (YYYY-MM-DD). "" leaves nothing out.
func (s *Set) For(effective string) *Set {
	t := *s
	t.effective = effective
	t.planPasses()
	return &t
}

// measure is how a limit counts.
type measure int

const (
	unclear measure = iota
	bySerial
	byDate
)

var likeADate = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}`)

func measureOf(limit string) measure {
	if !likeADate.MatchString(limit) {
		return bySerial
	}
	if _, err := time.Parse(time.DateOnly, limit); err != nil {
		return unclear
	}
	return byDate
}

// compareLimits compares two serial numbers, by the digits that they end with, or two
// dates, and reports whether it can.
func compareLimits(a, b string) (int, bool) {
	if measureOf(a) != measureOf(b) {
		return 0, false
	}
	if a == b || measureOf(a) == byDate {
		return cmp.Compare(a, b), measureOf(a) != unclear
	}
	x, y := strings.TrimRight(a, "0123456789"), strings.TrimRight(b, "0123456789")
	if x != y || x == a || y == b {
		return 0, false
	}
	return compareDecimals(a[len(x):], b[len(y):]), true
}

// effectivityRead drops an effectivity without limits, which restricts nothing.
func effectivityRead(m *mapping, rec any, at step.Origin) bool {
	e := rec.(*step.Effectivity)
	e.Origin = at
	for _, limit := range []step.Text{e.From, e.To} {
		if limit.Given() && measureOf(limit.Value) == unclear {
			e.Unclear = true
			m.fault(diag.MapEffectivityInvalid, limit.Origin, "the effectivity has the limit %q, which is no date, such as 2026-05-31", limit.Value)
		}
	}
	if e.From.Given() && e.To.Given() && !e.Unclear && measureOf(e.From.Value) == measureOf(e.To.Value) {
		c, can := compareLimits(e.From.Value, e.To.Value)
		if e.Unclear = !can || c > 0; e.Unclear {
			m.fault(diag.MapEffectivityInvalid, at, "the effectivity from %q to %q holds for nothing that can be told", e.From.Value, e.To.Value)
		}
	}
	return e.From.Given() || e.To.Given()
}

// verdict is what effectivities say of what is asked for.
type verdict struct {
	holds, fails bool              // neither: they do not say
	undecided    *step.Effectivity // that cannot be compared
	other        *step.Effectivity // that limits what is not asked for
}

func (m *mapping) judge(effectivities []any) verdict {
	var v verdict
	asked := measureOf(m.effective)
	for _, x := range effectivities {
		e := x.(*step.Effectivity)
		restricts, in, can := false, true, !e.Unclear
		for i, limit := range []step.Text{e.From, e.To} {
			switch {
			case !limit.Given() || e.Unclear:
			case measureOf(limit.Value) != asked:
				v.other = e
			default:
				c, comparable := compareLimits(m.effective, limit.Value)
				restricts, can, in = true, can && comparable, in && (i == 0 && c >= 0 || i == 1 && c <= 0)
			}
		}
		switch {
		case !can:
			v.undecided = e
		case restricts && in:
			v.holds = true
		case restricts:
			v.fails = true
		}
	}
	return v
}

// effectiveness is why a record does not hold for what is asked for; not given where
// it holds, or may.
func (m *mapping) effectiveness(k *kind, rec any) step.Text {
	f := k.field("effectivity")
	if f == nil || m.effective == "" {
		return step.Text{}
	}
	effectivities := f.entries(rec)
	switch v := m.judge(effectivities); {
	case v.holds && v.other == nil:
	case !v.holds && v.undecided != nil:
		if !v.undecided.Unclear {
			m.fault(diag.MapEffectivityInvalid, v.undecided.Origin, "the %s is effective %s, which cannot be compared with %q", k.said(), v.undecided, m.effective)
		}
	case !v.holds && v.fails:
		var all []string
		for _, e := range effectivities {
			all = append(all, e.(*step.Effectivity).String())
		}
		return step.Text{Value: fmt.Sprintf("not effective for %s, but %s", m.effective, strings.Join(all, ", ")), Origin: effectivities[0].(*step.Effectivity).Origin}
	case v.other != nil:
		m.fault(diag.MapEffectivityUnasked, v.other.Origin, "the %s is effective %s, which does not restrict it for %q", k.said(), v.other, m.effective)
	}
	return step.Text{}
}

// leaveOut leaves a record out that does not hold, and reports whether there is
// nothing to keep of it. A step stays for what comes after it, but consumes nothing;
// an operation stays as long as its outline has it.
func (m *mapping) leaveOut(k *kind, rec any, e *plan.Element) bool {
	why := m.effectiveness(k, rec)
	if !why.Given() {
		return false
	}
	switch r := rec.(type) {
	case *step.Operation:
		return false
	case *step.Step:
		r.Skip, r.Parts = why, nil
		return false
	case *step.Occurrence:
		m.left[r.ID.Value] = true
	}
	m.absent = append(m.absent, absent{k, at(e)}, absent{k, m.place(e)})
	m.fault(diag.MapNotEffective, why.Origin, "a %s is left out: %s", k.said(), why.Value)
	return true
}

// absent is a record that was left out, and where it stands or is referred to.
type absent struct {
	kind  *kind
	place step.Origin
}

// outlineEffectiveness is that of an operation which is not read yet.
func (m *mapping) outlineEffectiveness(r *reading, e *plan.Element) step.Text {
	b := r.binding("effectivity")
	if b == nil || m.effective == "" {
		return step.Text{}
	}
	reported := len(m.faults)
	defer func() { m.faults = m.faults[:reported] }()
	var o step.Operation
	m.inside(&o, b, e)
	return m.effectiveness(operationKind, &o)
}

// leftOut is why an operation, or one around it, does not hold.
func (o *outline) leftOut() step.Text {
	// Two that name each other as parent must not keep it going.
	for seen := map[*outline]bool{}; o != nil && !seen[o]; o = o.parent {
		if o.skip.Given() {
			return o.skip
		}
		seen[o] = true
	}
	return step.Text{}
}

// leaveOutSteps leaves the steps of an operation out, if it does not hold.
func leaveOutSteps(o *step.Operation, why step.Text) {
	if !why.Given() {
		return
	}
	o.Common.Parts = nil
	for _, s := range o.Steps {
		s.Parts = nil
		if !s.Skip.Given() {
			s.Skip = why
		}
	}
}

// refersToLeftOut reports whether a path leads to an occurrence that was left out, so
// that it is no fault of the plan that it is not there.
func (m *mapping) refersToLeftOut(path step.Text) bool {
	return len(m.left) > 0 && slices.ContainsFunc(strings.Split(path.Value, "/"), func(id string) bool { return m.left[id] })
}

// narrowViews takes out of the saved views what was left out.
func (h *head) narrowViews() {
	for _, o := range h.occurrences {
		delete(h.m.left, o.ID.Value) // another of that id stands
	}
	for _, v := range h.views {
		v.Visible = slices.DeleteFunc(v.Visible, h.m.refersToLeftOut)
		v.Displaced = slices.DeleteFunc(v.Displaced, func(d step.Displaced) bool { return h.m.refersToLeftOut(d.Occurrence) })
	}
}
