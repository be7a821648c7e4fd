package action

import (
	"planfold/convert/step"
	"planfold/rules/document"
)

var hideRow = &Row{
	Name: "hide", For: []string{"item", "occurrence"}, Takes: "reason",
	Does:    "the item or occurrence, with all that stands in it, is never drawn",
	compile: hide,
}

func hide(n *document.Node, c *Compiler) Action {
	return setting(reason(n, "hide", c), func(o Object) []*step.Text {
		if c.Kind == "item" {
			return []*step.Text{&o.Item.Hide}
		}
		return []*step.Text{&o.Occurrence.Hide}
	})
}
