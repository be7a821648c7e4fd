package rules

import (
	"math"

	"cel.dev/cel-go/cel"

	"planfold/convert/step"
	"planfold/rules/action"
)

// assignedField is a value that rules set and later conditions see, beside the
// fields that are read.
type assignedField struct {
	kind, name string
	typ        *cel.Type
	says       string
	get        func(record any) any
}

// shows makes a row of the table.
func shows[T any](kind, name string, typ *cel.Type, says string, get func(*T) any) assignedField {
	return assignedField{kind, name, typ, says, func(r any) any { return get(r.(*T)) }}
}

// assignedFields lists them, in the order of the kinds. What is not set is "", 0,
// false or an empty list, as with fields that are read.
var assignedFields = []assignedField{
	shows("plan", "hold", cel.StringType, "why the edition is held", func(p *step.Plan) any { return p.Hold.Value }),
	shows("item", "budget", cel.IntType, "triangles allowed for each occurrence", func(i *step.Item) any { return i.Budget.Value }),
	shows("item", "look", cel.StringType, "its colour, as the rule writes it", func(i *step.Item) any {
		if i.Material3D == nil {
			return ""
		}
		return action.Color(i.Material3D.Color)
	}),
	shows("item", "hide", cel.StringType, "why it is never drawn", func(i *step.Item) any { return i.Hide.Value }),
	shows("occurrence", "hide", cel.StringType, "why it is never drawn", func(o *step.Occurrence) any { return o.Hide.Value }),
	shows("step", "skip", cel.StringType, "why it is left out", func(s *step.Step) any { return s.Skip.Value }),
	shows("step", "chosen", cel.BoolType, "it counts of its alternatives", func(s *step.Step) any { return s.Chosen.Given() }),
	shows("step", "budget", cel.IntType, "triangles allowed for its scene", func(s *step.Step) any { return s.Budget.Value }),
	shows("step", "registration", cel.StringType, "what the overlay is aligned by: an occurrence, or the largest part in words", func(s *step.Step) any { return s.Registration.String() }),
	shows("step", "roles", listType("roleChange"), "roles given to items and occurrences, later ones over earlier ones", func(s *step.Step) any { return objects("roleChange", s.Roles) }),
	shows("step", "motions", listType("motion"), "how occurrences travel home", func(s *step.Step) any { return objects("motion", s.Motions) }),
	shows("roleChange", "role", cel.StringType, "focus, context or hidden", func(r *step.RoleChange) any { return r.Role.Value }),
	shows("roleChange", "item", cel.StringType, "whose role it is", func(r *step.RoleChange) any { return r.Item }),
	shows("roleChange", "occurrence", cel.StringType, "whose role it is", func(r *step.RoleChange) any { return r.Occurrence }),
	shows("motion", "occurrence", cel.StringType, "what travels; of a part empty: each of its occurrences", func(m *step.Motion) any { return m.Occurrence }),
	shows("motion", "direction", cel.ListType(cel.DoubleType), "of travel, of length 1", func(m *step.Motion) any { return m.Direction[:] }),
	shows("motion", "distance", cel.DoubleType, "in mm", func(m *step.Motion) any { return millimetres(m.Distance) }),
	shows("motion", "turns", cel.DoubleType, "about the direction", func(m *step.Motion) any { return m.Turns }),
	shows("part", "skip", cel.StringType, "why it is left out", func(p *step.Part) any { return p.Skip.Value }),
	shows("part", "chosen", cel.BoolType, "it counts of its alternatives", func(p *step.Part) any { return p.Chosen.Given() }),
	shows("part", "role", cel.StringType, "focus, context or hidden", func(p *step.Part) any { return p.Role.Value }),
	shows("part", "budget", cel.IntType, "triangles allowed for each occurrence", func(p *step.Part) any { return p.Budget.Value }),
	shows("part", "motions", listType("motion"), "how its occurrences travel home: one or none", func(p *step.Part) any {
		if p.Motion == nil {
			return []any{}
		}
		return objects("motion", []step.Motion{*p.Motion})
	}),
	shows("characteristic", "skip", cel.StringType, "why it is left out", func(c *step.Characteristic) any { return c.Skip.Value }),
	shows("attachment", "skip", cel.StringType, "why it is left out", func(a *step.Attachment) any { return a.Skip.Value }),
}

func listType(kind string) *cel.Type { return cel.ListType(cel.ObjectType(typeName(kind))) }

func objects[T any](kind string, list []T) []any {
	out := make([]any, len(list))
	for i := range list {
		out[i] = &object{kind: kind, record: &list[i]}
	}
	return out
}

// millimetres are rounded, so that a distance equals the one that the rule gives.
func millimetres(metres float64) float64 { return math.Round(metres*1e9) / 1e6 }
