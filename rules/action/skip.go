package action

import (
	"slices"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/document"
)

var skipRow = &Row{
	Name: "skip", For: []string{"operation", "step", "part"}, Takes: "reason",
	Does:    "leaves the object out, and says why",
	compile: skip,
}

func skip(n *document.Node, kind string, _ float64, faults *document.Faults) Action {
	at := ofSteps(kind, func(s *step.Step) *step.Text { return &s.Skip })
	if kind == "part" {
		at = func(o Object) []*step.Text { return []*step.Text{&o.Part.Skip} }
	}
	return setting(reason(n, "skip", faults), at)
}

// reason is why something is done. A yes is none.
func reason(n *document.Node, where string, faults *document.Faults) string {
	why := faults.Text(n, where)
	if !n.Quoted && slices.Contains([]string{"true", "false", "yes", "no"}, why) {
		faults.Add(diag.RuleValueInvalid, n, "%s takes the reason, in words for people, not %q; without the action nothing happens", where, why)
		return ""
	}
	return why
}
