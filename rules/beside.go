package rules

import (
	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/convert/step"
)

// beside reports a text outside of all operations that begins with a signal word, and that
// nothing reads: no step shows it.
func (o *operations) beside(e *plan.Element, text string, line, column int) {
	m := o.m
	if !step.BeginsWithSignalWord(text) || m.noHazards != nil && m.noHazards.Matches(e) {
		return
	}
	w := warned{text: text, at: step.Origin{Line: line, Column: column}, element: e}
	places := []lineColumn{{line, column}}
	for p := e; p != nil; p = p.Parent {
		if m.isJoined(p) {
			return
		}
		places = append(places, lineColumn{p.Line, p.Column})
	}
	said := saying{at: map[lineColumn]bool{}}
	planKind.saying(o.plan, nil, &said)
	if said.has(w, places) {
		return
	}
	d := diag.MapHazardOutside.At(w.at.At(m.file), "%s begins with a signal word, stands outside of all operations, and no rule reads it", quoted(text))
	d.Plan = o.plan.ID.Value
	m.faults.Add(d)
}
