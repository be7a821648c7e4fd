package action

import (
	"planfold/convert/step"
	"planfold/rules/document"
)

var holdRow = &Row{
	Name: "hold", For: []string{"plan"}, Takes: "reason", safety: true,
	Does: "the edition is issued as held, and says why",
	compile: func(n *document.Node, c *Compiler) Action {
		return setting(reason(n, "hold", c), func(o Object) []*step.Text { return []*step.Text{&o.Plan.Hold} })
	},
}
