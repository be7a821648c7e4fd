package action

import (
	"errors"

	"planfold/convert/step"
	"planfold/rules/document"
)

var chooseRow = &Row{
	Name: "choose", For: []string{"step", "part"}, Takes: "true",
	Does:    "of the alternatives of one group, in one operation or step, this one counts; the others are left out",
	compile: choose,
}

func choose(n *document.Node, c *Compiler) Action {
	if c.Faults.OneOf(n, "choose", "true") == "" {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		var group, chosen *step.Text
		if c.Kind == "part" {
			group, chosen = &o.Part.Alternative, &o.Part.Chosen
		} else {
			group, chosen = &o.Step.Alternative, &o.Step.Chosen
		}
		if !group.Given() {
			return Done{}, errors.New("it is no alternative of others")
		}
		was := *chosen
		*chosen = step.Text{Value: group.Value, Origin: by}
		return Done{"true", was.Value, was.Origin}, nil
	}}
}
