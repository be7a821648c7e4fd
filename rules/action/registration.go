package action

import (
	"planfold/convert/step"
	"planfold/rules/document"
)

var registrationRow = &Row{
	Name: "registration", For: []string{"step", "operation"}, Takes: "occurrence path",
	Does: "the occurrence that the overlay is aligned by; for an operation, in each of its steps",
	compile: func(n *document.Node, c *Compiler) Action {
		return setting(c.Text(n, "registration"), ofSteps(c.Kind, func(s *step.Step) *step.Text { return &s.Registration }))
	},
}
