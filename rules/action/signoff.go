package action

import (
	"slices"

	"planfold/convert/step"
	"planfold/rules/document"
)

var signOffRow = &Row{
	Name: "signOff", For: []string{"operation", "step"}, Takes: "{role: text}",
	Does:    "adds a sign-off by a role, unless there is one by that role",
	adds:    true,
	compile: signOff,
}

func signOff(n *document.Node, kind string, _ float64, faults *document.Faults) Action {
	if !faults.Keys(n, "signOff", "role") {
		return Action{}
	}
	role := faults.Text(faults.Need(n, "role", "signOff"), "signOff.role")
	if role == "" {
		return Action{}
	}
	return Action{Says: role, Apply: func(o Object, by step.Origin) (string, step.Origin) {
		c := contentOf(o, kind)
		if !slices.ContainsFunc(c.SignOffs, func(s step.SignOff) bool { return s.Role.Value == role }) {
			c.SignOffs = append(c.SignOffs, step.SignOff{Role: step.Text{Value: role, Origin: by}})
		}
		return "", step.Origin{}
	}}
}
