package rules

import (
	"maps"
	"math"

	"cel.dev/cel-go/cel"

	"planfold/convert/step"
	"planfold/rules/action"
)

// What expectations see beyond what conditions do: what rules assigned. Conditions
// do not see it, since it would depend on how many rules have had their turn.

// withResults is the model with what rules assign.
func (m *model) withResults() *model {
	r := &model{Registry: m.Registry, fields: maps.Clone(m.fields), missed: map[string]string{}, asked: m.asked}
	for kind, fields := range r.fields {
		r.fields[kind] = maps.Clone(fields)
	}
	r.add("plan", "hold", cel.StringType, func(o *object) any { return o.record.(*step.Plan).Hold.Value })
	r.add("item", "budget", cel.IntType, func(o *object) any { return o.record.(*step.Item).Budget.Value })
	r.add("item", "look", cel.StringType, func(o *object) any { return lookOf(o.record.(*step.Item)) })
	r.add("step", "budget", cel.IntType, func(o *object) any { return o.record.(*step.Step).Budget.Value })
	r.add("step", "registration", cel.StringType, func(o *object) any { return o.record.(*step.Step).Registration.Value })
	r.add("step", "roles", listType("roleChange"), func(o *object) any {
		return objects("roleChange", o.record.(*step.Step).Roles, o.plan)
	})
	r.add("step", "motions", listType("motion"), func(o *object) any { return objects("motion", o.record.(*step.Step).Motions, o.plan) })
	r.add("part", "budget", cel.IntType, func(o *object) any { return o.record.(*step.Part).Budget.Value })
	r.add("part", "role", cel.StringType, func(o *object) any { return o.record.(*step.Part).Role.Value })
	r.add("part", "motions", listType("motion"), func(o *object) any {
		if m := o.record.(*step.Part).Motion; m != nil {
			return objects("motion", []step.Motion{*m}, o.plan)
		}
		return []any{}
	})
	r.add("roleChange", "item", cel.StringType, func(o *object) any { return o.record.(*step.RoleChange).Item })
	r.add("roleChange", "occurrence", cel.StringType, func(o *object) any { return o.record.(*step.RoleChange).Occurrence })
	r.add("roleChange", "role", cel.StringType, func(o *object) any { return o.record.(*step.RoleChange).Role.Value })
	r.add("motion", "occurrence", cel.StringType, func(o *object) any { return o.record.(*step.Motion).Occurrence })
	r.add("motion", "direction", cel.ListType(cel.DoubleType), func(o *object) any { return o.record.(*step.Motion).Direction[:] })
	r.add("motion", "distance", cel.DoubleType, func(o *object) any { return millimetres(o.record.(*step.Motion).Distance) })
	r.add("motion", "turns", cel.DoubleType, func(o *object) any { return o.record.(*step.Motion).Turns })
	return r
}

func listType(kind string) *cel.Type { return cel.ListType(cel.ObjectType(typeName(kind))) }

func objects[T any](kind string, list []T, p *step.Plan) []any {
	out := make([]any, len(list))
	for i := range list {
		out[i] = &object{kind, &list[i], p}
	}
	return out
}

// lookOf is the colour that a rule gave, as the rule writes it.
func lookOf(i *step.Item) string {
	if i.Material3D == nil {
		return ""
	}
	return action.Color(i.Material3D.Color)
}

// millimetres are rounded, so that a distance equals the one that the rule gives.
func millimetres(metres float64) float64 { return math.Round(metres*1e9) / 1e6 }
