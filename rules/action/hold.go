package action

import (
	"planfold/convert/step"
	"planfold/rules/document"
)

var holdRow = &Row{
	Name: "hold", For: []string{"plan"}, Takes: "reason",
	Does: "the edition is issued as held, and says why",
	compile: func(n *document.Node, _ string, _ float64, faults *document.Faults) Action {
		return setting(reason(n, "hold", faults), func(o Object) []*step.Text { return []*step.Text{&o.Plan.Hold} })
	},
}
