package action

import (
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/document"
)

var roleRow = &Row{
	Name: "role", For: []string{"part", "step"}, Takes: "focus or context or hidden; for a step {role: focus or context or hidden, item: text} or {role: focus or context or hidden, occurrence: occurrence path}",
	Does:    "what the part is in the step's scene; for a step, what an item or an occurrence is that need not be one of its parts",
	compile: role,
}

var roles = []string{"focus", "context", "hidden"}

func role(n *document.Node, c *Compiler) Action {
	if c.Kind == "step" {
		return roleInStep(n, c)
	}
	r := c.Faults.OneOf(n, "role", roles...)
	if r == "" {
		return Action{}
	}
	return setting(&Text{Fixed: r}, func(o Object) []*step.Text { return []*step.Text{&o.Part.Role} })
}

func roleInStep(n *document.Node, c *Compiler) Action {
	if !c.Faults.Keys(n, "role", "role", "item", "occurrence") {
		return Action{}
	}
	if (n.Get("item") == nil) == (n.Get("occurrence") == nil) {
		c.Faults.Add(diag.RuleKeyMissing, n, "role needs one of \"item\" and \"occurrence\"")
		return Action{}
	}
	item, occurrence := c.Text(n.Get("item"), "role.item"), c.Text(n.Get("occurrence"), "role.occurrence")
	r := c.Faults.OneOf(c.Faults.Need(n, "role", "role"), "role.role", roles...)
	if r == "" || item == nil && occurrence == nil {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		m := made{o: o, by: by}
		change := step.RoleChange{Item: m.text(item).Value, Occurrence: m.text(occurrence).Value, Role: step.Text{Value: r, Origin: by}}
		if m.err != nil {
			return Done{}, m.err
		}
		kept, was := without(o.Step.Roles, func(e step.RoleChange) bool { return e.Item == change.Item && e.Occurrence == change.Occurrence })
		o.Step.Roles = append(kept, change)
		return Done{r + " " + change.Item + change.Occurrence, was.Role.Value, was.Role.Origin}, nil
	}}
}
