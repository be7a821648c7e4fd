package action

import (
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/document"
)

var registrationRow = &Row{
	Name: "registration", For: []string{"step", "operation"}, Takes: "occurrence path or {class: text} or {largest: true}",
	Does:    "what the overlay is aligned by: an occurrence, or the largest part that is there, of a class of items or of all; for an operation, in each of its steps",
	compile: registration,
}

func registration(n *document.Node, c *Compiler) Action {
	var occurrence, class, largest *Text
	switch {
	case n.Kind != document.Mapping:
		occurrence = c.Text(n, "registration")
	case !c.Faults.Keys(n, "registration", "class", "largest"):
	case (n.Get("class") == nil) == (n.Get("largest") == nil):
		c.Faults.Add(diag.RuleKeyMissing, n, "registration needs one of \"class\" and \"largest\", or an occurrence path instead")
	case n.Get("class") != nil:
		class = c.Text(n.Get("class"), "registration.class")
	case c.Faults.OneOf(n.Get("largest"), "registration.largest", "true") != "":
		largest = &Text{Fixed: "true"}
	}
	if occurrence == nil && class == nil && largest == nil {
		return Action{}
	}
	at := ofSteps(c.Kind, func(s *step.Step) *step.Registration { return &s.Registration })
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		m := made{o: o, by: by}
		r := step.Registration{Occurrence: m.text(occurrence), Class: m.text(class), Largest: m.text(largest)}
		if m.err != nil {
			return Done{}, m.err
		}
		var was step.Registration
		for i, s := range at(o) {
			if i == 0 {
				was = *s
			}
			*s = r
		}
		return Done{r.String(), was.String(), was.By().Origin}, nil
	}}
}
