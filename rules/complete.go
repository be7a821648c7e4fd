package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/action"
)

// complete reports hazard statements that do not say how bad it is, or what, and
// characteristics that no measurement can be held against.
func (a *assignment) complete(s *step.Step, c *step.Content) {
	for _, h := range c.Hazards {
		switch {
		case len(h.SignalWord) == 0:
			a.fault(diag.MapHazardIncomplete, h.Origin, "the hazard statement %q has no signal word", cmp.Or(h.ID.Value, h.Hazard.First(), h.Avoidance.First()))
		case len(h.Hazard)+len(h.Consequence)+len(h.Avoidance) == 0:
			a.fault(diag.MapHazardEmpty, h.Origin, "the hazard statement %q says nothing but that", cmp.Or(h.ID.Value, h.SignalWord.First()))
		case len(h.Hazard) == 0:
			a.fault(diag.MapHazardIncomplete, h.Origin, "the hazard statement %q does not say what the hazard is", cmp.Or(h.ID.Value, h.Avoidance.First(), h.Consequence.First()))
		}
	}
	refused := s != nil && slices.ContainsFunc(s.Diagnostics, func(d diag.Diagnostic) bool { return d.Code == diag.MapCharacteristicInvalid.Name })
	for _, x := range c.Characteristics {
		a.measurable(s, x, refused)
	}
}

// measurable reports a characteristic without a number, and numbers without a unit. Where
// a number is refused, that is said.
func (a *assignment) measurable(s *step.Step, x step.Characteristic, refused bool) {
	var numbers []string
	at, by := x.ID.Origin, ""
	for i, n := range []step.Text{x.Nominal, x.Lower, x.Upper} {
		if n.Given() {
			if numbers = append(numbers, [...]string{"nominal", "lower", "upper"}[i]+" "+n.Value); n.Origin.Line > 0 {
				at = n.Origin
			}
		}
	}
	if refused && numbers == nil || numbers != nil && x.Unit.Given() {
		return
	}
	if at.Rule != "" && at.Line == 0 {
		by = fmt.Sprintf(", which the rule %q adds,", at.Rule)
	} else if at.Line == 0 && len(x.Title) > 0 {
		at = x.Title[0].Text.Origin
	}
	if at.Line == 0 {
		at = recordOf(action.Object{Plan: a.plan, Operation: a.operation, Step: s})
	}
	if name := cmp.Or(x.ID.Value, x.Title.First()); numbers == nil {
		a.fault(diag.MapCharacteristicEmpty, at, "the characteristic %q%s has neither a nominal value nor a limit", name, by)
	} else {
		a.fault(diag.MapUnitNone, at, "the characteristic %q%s has numbers (%s) and no unit", name, by, strings.Join(numbers, ", "))
	}
}
