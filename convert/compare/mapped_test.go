package compare

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/diag"
	"planfold/convert/step"
)

// emptied is the demo's mapping without steps.
func emptied(t testing.TB) *convert.Mapped {
	m := demoMapped(t)
	for _, o := range m.Operations {
		o.Steps = nil
	}
	m.Diagnostics.Add(diag.MapPlanHeld.At(diag.Position{}, "held by the rule %q: why", "gone"))
	return m
}

// Each thing that rules assign is seen, though it shows in scenes alone.
func TestWhatShowsInScenesAloneIsSeen(t *testing.T) {
	by := step.Origin{Rule: "new rule"}
	said := func(s string) step.Text { return step.Text{Value: s, Origin: by} }
	for what, change := range map[string]func(m *convert.Mapped){
		"view":   func(m *convert.Mapped) { m.Operations[0].Steps[0].View = said("V-9") },
		"budget": func(m *convert.Mapped) { m.Operations[0].Steps[0].Budget = step.Count{Value: 5, Origin: by} },
		"roles[x]": func(m *convert.Mapped) {
			m.Operations[0].Steps[0].Roles = []step.RoleChange{{Occurrence: "x", Role: said("focus")}}
		},
		"motions[x]": func(m *convert.Mapped) {
			m.Operations[0].Steps[0].Motions = []step.Motion{{Occurrence: "x", Distance: 1, Origin: by}}
		},
		"registration.occurrence": func(m *convert.Mapped) { m.Operations[0].Steps[0].Registration.Occurrence = said("cap-9") },
		"parts[].role":            func(m *convert.Mapped) { m.Operations[0].Steps[0].Parts[0].Role = said("hidden") },
		"parts[].budget":          func(m *convert.Mapped) { m.Operations[0].Steps[0].Parts[0].Budget = step.Count{Value: 5, Origin: by} },
		"parts[].motion": func(m *convert.Mapped) {
			m.Operations[0].Steps[0].Parts[0].Motion = &step.Motion{Distance: 1, Origin: by}
		},
		"items[].budget": func(m *convert.Mapped) { m.Plan.Items["P-4010"].Budget = step.Count{Value: 5, Origin: by} },
		"items[].look.color": func(m *convert.Mapped) {
			m.Plan.Items["P-1010"].Material3D = &step.Material{Color: [3]float64{1}, Origin: by}
		},
		"items[].geometry[].file": func(m *convert.Mapped) { m.Plan.Items["P-1010"].Geometry[0].File = said("other.stl") },
		"hold":                    func(m *convert.Mapped) { m.Plan.Hold = said("why") },
		"structure[][].item":      func(m *convert.Mapped) { firstStructure(m.Plan)[0].Item = said("P-9") },
		"frame.up":                func(m *convert.Mapped) { m.Plan.Frame.Up = 'Y' },
	} {
		t.Run(what, func(t *testing.T) {
			new := demoMapped(t)
			require.NotEmpty(t, new.Operations[0].Steps[0].Parts)
			change(new)
			got := Mappings(demoMapped(t), new).Changes
			require.NotEmpty(t, got)
			for _, c := range got {
				if !strings.Contains(what, "[x]") {
					c.What = inBrackets.ReplaceAllString(c.What, "[]")
				}
				assert.Equal(t, what, c.What)
			}
			if what != "frame.up" {
				rule, _ := got[0].rules()
				assert.Equal(t, "new rule", rule)
			}
		})
	}
}

func firstStructure(p *step.Plan) []*step.Occurrence {
	for _, list := range p.Structure {
		return list
	}
	return nil
}

// A mapping is the same as itself, also the long way.
func TestMappingIsTheSameAsItself(t *testing.T) {
	a, b := demoMapped(t), demoMapped(t)
	assert.True(t, Mappings(a, b).Same())
	assert.True(t, compareEditions(editionOf(a), editionOf(b)).Same())
}

func TestEqualValuesCostNoMemory(t *testing.T) {
	a, b := demoMapped(t), demoMapped(t)
	k := types()[reflect.TypeFor[step.Operation]()]
	for i := range a.Operations {
		x, y := reflect.ValueOf(a.Operations[i]).Elem(), reflect.ValueOf(b.Operations[i]).Elem()
		assert.Zero(t, testing.AllocsPerRun(3, func() { require.True(t, k.same(x, y)) }))
	}
}

// A part that a rule took out is put down to that rule.
func TestPartTakenOutNamesItsRule(t *testing.T) {
	new := demoMapped(t)
	s := new.Operations[0].Steps[0]
	gone := s.Parts[0]
	gone.Skip = step.Text{Value: "why", Origin: step.Origin{Rule: "no-such-part"}}
	s.Parts, s.LeftOut = s.Parts[1:], []step.Part{gone}
	for _, c := range Mappings(demoMapped(t), new).Changes {
		assert.Equal(t, "no-such-part", c.TakenBy, c.What)
		assert.Equal(t, Removed, c.Kind)
	}
	for _, c := range Mappings(new, demoMapped(t)).Changes {
		assert.Equal(t, "no-such-part", c.TakenBy, c.What)
		assert.Equal(t, Added, c.Kind)
	}
}

// Two findings that say the same of two places are two.
func TestEachDiagnosticIsTold(t *testing.T) {
	new := demoMapped(t)
	for line := range 3 {
		new.Diagnostics.Add(diag.MapRecordUnused.At(diag.Position{File: "plan.xml", Line: 7 + line}, "nothing refers to this record"))
	}
	old := demoMapped(t)
	old.Diagnostics.Add(new.Diagnostics[len(new.Diagnostics)-3])
	changes := Mappings(old, new).Changes
	require.Len(t, changes, 2)
	for i, c := range changes {
		assert.Equal(t, "diagnostics[MAP_RECORD_UNUSED]", c.What)
		assert.Equal(t, 8+i, c.NewOrigin.Line)
	}
}
