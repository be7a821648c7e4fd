package action

import (
	"planfold/convert/step"
	"planfold/rules/document"
)

var signOffRow = &Row{
	Name: "signOff", For: []string{"operation", "step", "part"}, Takes: "{role: text}", safety: true,
	Does:    "adds a sign-off by a role, unless there is one by that role",
	adds:    true,
	compile: signOff,
}

func signOff(n *document.Node, c *Compiler) Action {
	if !c.Faults.Keys(n, "signOff", "role") {
		return Action{}
	}
	role := c.needed(n, "role", "signOff")
	if role == nil {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		r, err := role.of(o)
		if err != nil {
			return Done{}, err
		}
		s := step.SignOff{Role: step.Text{Value: r, Origin: by}}
		return add(o, r, func(c *step.Content) *[]step.SignOff { return &c.SignOffs }, s, func(x step.SignOff) bool {
			return len(x.Effectivity) == 0 && x.Role.Value == r
		})
	}}
}
