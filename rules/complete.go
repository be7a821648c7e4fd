package rules

import (
	"cmp"
	"fmt"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/action"
)

// complete reports hazard statements that do not say how bad it is, or what, and
// characteristics without a number to hold a measurement against.
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
		if refused || x.Nominal.Given() || x.Lower.Given() || x.Upper.Given() {
			continue // where a number is refused, that is said
		}
		at, by := x.ID.Origin, ""
		if at.Rule != "" && at.Line == 0 {
			by = fmt.Sprintf(", which the rule %q adds,", at.Rule)
		} else if at.Line == 0 && len(x.Title) > 0 {
			at = x.Title[0].Text.Origin
		}
		if at.Line == 0 {
			at = recordOf(action.Object{Plan: a.plan, Operation: a.operation, Step: s})
		}
		a.fault(diag.MapCharacteristicEmpty, at, "the characteristic %q%s has neither a nominal value nor a limit", cmp.Or(x.ID.Value, x.Title.First()), by)
	}
}
