package action

import (
	"planfold/convert/step"
	"planfold/rules/document"
)

var titleRow = &Row{
	Name: "title", For: []string{"operation", "step", "attachment"}, Takes: "texts",
	Does:    "the object's title, instead of the plan's",
	compile: title,
}

func title(n *document.Node, c *Compiler) Action {
	texts := c.texts(n, "title")
	if len(texts) == 0 {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		t, err := texts.of(o, by)
		if err != nil {
			return Done{}, err
		}
		var to *step.Texts
		switch c.Kind {
		case "operation":
			to = &o.Operation.Title
		case "step":
			to = &o.Step.Title
		case "attachment":
			to = &o.Attachment.Title
		}
		done := Done{Says: t.First(), Was: to.First()}
		if len(*to) > 0 {
			done.Replaced = (*to)[0].Text.Origin
		}
		*to = t
		return done, nil
	}}
}
