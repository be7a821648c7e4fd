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
	if s == nil && len(a.operation.Steps) == 0 {
		return // that no step could show it is said
	}
	for _, h := range c.Hazards {
		switch {
		case len(h.SignalWord) == 0:
			a.fault(diag.MapHazardIncomplete, h.Origin, "the hazard statement %q has no signal word", cmp.Or(h.ID.Value, h.Hazard.First(), h.Avoidance.First()))
		case len(h.Hazard)+len(h.Consequence)+len(h.Avoidance) == 0:
			a.fault(diag.MapHazardEmpty, h.Origin, "the hazard statement %q says nothing but that", cmp.Or(h.ID.Value, h.SignalWord.First()))
		case len(h.Hazard) == 0:
			a.fault(diag.MapHazardIncomplete, h.Origin, "the hazard statement %q does not say what the hazard is", cmp.Or(h.ID.Value, h.Avoidance.First(), h.Consequence.First()))
		}
		a.inEachLanguage(s, h)
	}
	refused := s != nil && slices.ContainsFunc(s.Diagnostics, func(d diag.Diagnostic) bool { return d.Code == diag.MapCharacteristicInvalid.Name })
	for _, x := range c.Characteristics {
		a.measurable(s, x, refused)
	}
}

// inEachLanguage reports a text of a hazard statement that lacks a language which another
// has: who reads that one would be shown a foreign text. A signal word in one language
// alone is often all that a plan has, and has its colour.
func (a *assignment) inEachLanguage(s *step.Step, h step.Hazard) {
	texts := []step.Texts{h.Hazard, h.Consequence, h.Avoidance, h.SignalWord}
	var all []string
	for _, t := range texts {
		for _, l := range t {
			if tag := primary(l.Lang); tag != "" && !slices.Contains(all, tag) {
				all = append(all, tag)
			}
		}
	}
	for i, t := range texts {
		if len(t) == 0 || i == 3 && len(t) == 1 || t[0].Lang == "" {
			continue
		}
		lacks := slices.DeleteFunc(slices.Clone(all), func(tag string) bool {
			return slices.ContainsFunc(t, func(l step.Localized) bool { return primary(l.Lang) == tag || l.Lang == "" })
		})
		if len(lacks) > 0 {
			at := t[0].Text.Origin
			if at.Line == 0 {
				at = recordOf(action.Object{Plan: a.plan, Operation: a.operation, Step: s})
			}
			a.fault(diag.MapHazardLanguages, at, "the hazard statement %q has other texts in %s, and its %s not",
				cmp.Or(h.ID.Value, h.Hazard.First(), h.SignalWord.First()), strings.Join(lacks, ", "), [...]string{"hazard", "consequence", "avoidance", "signal word"}[i])
		}
	}
}

// primary is the language of a tag, without region and script.
func primary(tag string) string {
	language, _, _ := strings.Cut(strings.ToLower(tag), "-")
	return language
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
