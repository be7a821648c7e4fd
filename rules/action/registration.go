package action

import (
	"planfold/convert/step"
	"planfold/rules/document"
)

var registrationRow = &Row{
	Name: "registration", For: []string{"step", "operation"}, Takes: "occurrence path",
	Does: "the occurrence that the overlay is aligned by; for an operation, in each of its steps",
	compile: func(n *document.Node, kind string, _ float64, faults *document.Faults) Action {
		return setting(faults.Text(n, "registration"), ofSteps(kind, func(s *step.Step) *step.Text { return &s.Registration }))
	},
}
