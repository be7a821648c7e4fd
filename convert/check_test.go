package convert_test

import (
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/diag"
	"planfold/convert/step"
)

func check(t *testing.T, text string, m mapper) *convert.Checked {
	t.Helper()
	open := func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }
	c, err := convert.Check(m, convert.Source{Name: text, Base: "plan.xml", Open: open}, "", func(*step.Plan, *step.Operation) error { return nil })
	require.NoError(t, err)
	return c
}

// TestCheckSaysWhatARunSays holds what check finds against what a run reports of the
// same defect, for all that needs no other file than the plan.
func TestCheckSaysWhatARunSays(t *testing.T) {
	rule := func(line int) step.Origin { return step.Origin{Line: line, Rule: "r"} }
	harms := map[string]func(p *step.Plan, o *step.Operation){
		"SCENE_PART_WITHOUT_ITEM": func(_ *step.Plan, o *step.Operation) { o.Steps[0].Parts[0] = step.Part{Quantity: text("2")} },
		"SCENE_ITEM_UNKNOWN": func(_ *step.Plan, o *step.Operation) {
			o.Steps[0].Roles = []step.RoleChange{{Item: "GONE", Role: step.Text{Value: "focus", Origin: rule(7)}}}
		},
		"SCENE_OCCURRENCE_UNKNOWN": func(_ *step.Plan, o *step.Operation) {
			o.Steps[0].Registration.Occurrence = step.Text{Value: "gone", Origin: rule(7)}
		},
		"SCENE_REGISTRATION_HIDDEN": func(p *step.Plan, o *step.Operation) {
			o.Steps[0].Registration.Occurrence = step.Text{Value: "plate", Origin: rule(7)}
			p.Structure[""][0].Hide = text("never drawn")
		},
		"SCENE_OCCURRENCE_TWICE": func(p *step.Plan, _ *step.Operation) { p.Structure[""][1].ID = text("plate") },
	}
	for code, d := range defects {
		// Of what is consumed the outline, which is all that check keeps, knows occurrences only.
		if strings.HasPrefix(code, "ORDER_") && !strings.HasPrefix(code, "ORDER_UNBUILT") || code == "RUN_PLAN_EMPTY" || code == "RUN_REVISION_FROM_DIGEST" || code == "ITEM_UNUSED" {
			harms[code] = func(p *step.Plan, o *step.Operation) { d.harm(p, o, nil) }
		}
	}
	for code, harm := range harms {
		t.Run(code, func(t *testing.T) {
			m := func(id string) (*step.Plan, []*step.Operation) {
				plan, operations := bracket(id)
				harm(plan, operations[0])
				return plan, operations
			}
			tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: m}
			said := findCode(tr.run(t, t.Context()).Plans[0].Diagnostics, code)
			require.NotNil(t, said)
			found := findCode(check(t, "P-1", m).Diagnostics, code)
			require.NotNil(t, found)
			assert.Equal(t, said.Message, found.Message)
			assert.Equal(t, said.Position.Line, found.Position.Line)
		})
	}
}

func TestCheckOfAGoodPlanFindsNothing(t *testing.T) {
	assert.Empty(t, check(t, "P-1", bracket).Diagnostics)
}

func TestCheckTwice(t *testing.T) {
	list := []*convert.Checked{check(t, "P-1", bracket), check(t, "P-2", bracket), check(t, "p-1", bracket), {}}
	convert.CheckTwice(list)
	assert.NotNil(t, findCode(list[0].Diagnostics, diag.RunPlanTwice.Name))
	assert.Empty(t, list[1].Diagnostics)
	assert.Contains(t, findCode(list[2].Diagnostics, diag.RunPlanTwice.Name).Message, `is also in "P-1"`)
}
