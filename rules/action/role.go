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

func role(n *document.Node, kind string, _ float64, faults *document.Faults) Action {
	if kind == "step" {
		return roleInStep(n, faults)
	}
	return setting(faults.OneOf(n, "role", roles...), func(o Object) []*step.Text { return []*step.Text{&o.Part.Role} })
}

func roleInStep(n *document.Node, faults *document.Faults) Action {
	if !faults.Keys(n, "role", "role", "item", "occurrence") {
		return Action{}
	}
	item, occurrence := n.Get("item"), n.Get("occurrence")
	if (item == nil) == (occurrence == nil) {
		faults.Add(diag.RuleKeyMissing, n, "role needs one of \"item\" and \"occurrence\"")
		return Action{}
	}
	c := step.RoleChange{Item: faults.Text(item, "role.item"), Occurrence: faults.Text(occurrence, "role.occurrence")}
	r := faults.OneOf(faults.Need(n, "role", "role"), "role.role", roles...)
	if r == "" || c.Item+c.Occurrence == "" {
		return Action{}
	}
	return Action{Says: r + " " + c.Item + c.Occurrence, Apply: func(o Object, by step.Origin) (string, step.Origin) {
		kept, was := without(o.Step.Roles, func(e step.RoleChange) bool { return e.Item == c.Item && e.Occurrence == c.Occurrence })
		o.Step.Roles = append(kept, step.RoleChange{Item: c.Item, Occurrence: c.Occurrence, Role: step.Text{Value: r, Origin: by}})
		return was.Role.Value, was.Role.Origin
	}}
}
