package action

import (
	"slices"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/document"
)

var skipRow = &Row{
	Name: "skip", For: []string{"operation", "step", "part", "characteristic", "attachment"}, Takes: "reason",
	Does:    "leaves the object out, and says why",
	compile: skip,
}

func skip(n *document.Node, c *Compiler) Action {
	at := ofSteps(c.Kind, func(s *step.Step) *step.Text { return &s.Skip })
	switch c.Kind {
	case "part":
		at = func(o Object) []*step.Text { return []*step.Text{&o.Part.Skip} }
	case "characteristic":
		at = func(o Object) []*step.Text { return []*step.Text{&o.Characteristic.Skip} }
	case "attachment":
		at = func(o Object) []*step.Text { return []*step.Text{&o.Attachment.Skip} }
	}
	return setting(reason(n, "skip", c), at)
}

// reason is why something is done. A yes is none.
func reason(n *document.Node, where string, c *Compiler) *Text {
	if !n.Quoted && slices.Contains([]string{"true", "false", "yes", "no"}, n.Text) {
		c.Faults.Add(diag.RuleValueInvalid, n, "%s takes the reason, in words for people, not %q; without the action nothing happens", where, n.Text)
		return nil
	}
	return c.Text(n, where)
}
