package action

import (
	"strconv"

	"planfold/convert/step"
	"planfold/rules/document"
)

var budgetRow = &Row{
	Name: "budget", For: []string{"item", "part", "step"}, Takes: "whole number",
	Does:    "triangles allowed: for each occurrence of the item or part, or for the step's whole scene",
	compile: budget,
}

func budget(n *document.Node, c *Compiler) Action {
	count := c.Faults.Whole(n, "budget", 1)
	if count == 0 {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		var to *step.Count
		switch c.Kind {
		case "step":
			to = &o.Step.Budget
		case "part":
			to = &o.Part.Budget
		case "item":
			to = &o.Item.Budget
		}
		was := *to
		*to = step.Count{Value: count, Origin: by}
		return Done{n.Text, strconv.Itoa(was.Value), was.Origin}, nil
	}}
}
