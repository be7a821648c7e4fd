package rules

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/step"
)

// Expectations read off testdata/dialects/neutral/plan.xml by hand.

func TestNeutralHead(t *testing.T) {
	_, m := neutral(t)
	p := m.Plan
	assert.Equal(t, step.Text{Value: "GR-200", Origin: step.Origin{Line: 2, Column: 35, Rule: "read.plan.id"}}, p.ID)
	assert.Equal(t, "C", p.Revision.Value)
	assert.Equal(t, "released", p.Status.Value)
	assert.Equal(t, "M. Lindqvist", p.Approver.Value)
	assert.Equal(t, []string{"en", "de"}, languages(p.Title))
	assert.Equal(t, "Assemble gear reducer GR-200", p.Title.First())
	assert.Len(t, p.Items, 10)
	assert.Equal(t, step.Frame{Up: 'Z', Units: map[string]float64{"stl": 0.001, "obj": 0.001}}, p.Frame)

	housing := p.Items["P-1010"]
	require.Len(t, housing.Notes, 2, "a language that comes again begins the next note")
	assert.Equal(t, []string{"en", "de"}, languages(housing.Notes[0]))
	assert.Equal(t, "Keep in its tray.", housing.Notes[1].First())
	assert.Equal(t, "all", p.Items["P-1020"].Geometry[0].Use.Value)
	assert.Equal(t, "cover", p.Items["P-1020"].Geometry[0].Node.Value)
	assert.Equal(t, mesh.Vec{0, 0, -0.02}, p.Items["P-1020"].Geometry[0].Placement.Matrix.Point(mesh.Vec{}))
}

func languages(t step.Texts) []string {
	var out []string
	for _, l := range t {
		out = append(out, l.Lang)
	}
	return out
}

func TestNeutralStructureIsInMetresByRows(t *testing.T) {
	_, m := neutral(t)
	require.Len(t, m.Plan.Structure[""], 7, "what stands in the plan's product stands in the product")
	require.Len(t, m.Plan.Structure["SA-300"], 2)
	shaft := m.Plan.Structure[""][1]
	assert.Equal(t, "shaft-1", shaft.ID.Value)
	// A quarter turn about z: x goes to y, y to -x.
	assert.Equal(t, mesh.Vec{0, 1, 0.0425}, shaft.Placement.Matrix.Point(mesh.Vec{1, 0, 0}))
	assert.Equal(t, mesh.Vec{-1, 0, 0.0425}, shaft.Placement.Matrix.Point(mesh.Vec{0, 1, 0}))
	assert.Equal(t, "end-1", m.Plan.Structure[""][2].ID.Value)
	assert.Equal(t, "SA-300", m.Plan.Structure[""][3].Item.Value, "a sub-assembly used twice")
}

func TestNeutralView(t *testing.T) {
	_, m := neutral(t)
	v := m.Plan.Views["V-20-2"]
	require.NotNil(t, v.Camera)
	assert.InDelta(t, -0.3, v.Camera.Position[1], 1e-12)
	assert.InDelta(t, 0.085, v.Camera.Target[2], 1e-12)
	assert.Equal(t, [3]float64{0, 0, 1}, v.Camera.Up, "a direction has no unit")
	assert.InDelta(t, 35*math.Pi/180, v.Camera.FieldOfView, 1e-12)
	assert.Len(t, v.Visible, 4)
	require.Len(t, v.Displaced, 2)
	assert.InDelta(t, 0.155, v.Displaced[0].Placement.Matrix.Point(mesh.Vec{})[2], 1e-12)
}

func TestNeutralOperations(t *testing.T) {
	_, m := neutral(t)
	require.Len(t, m.Operations, 2)
	inner, outer := m.Operations[0], m.Operations[1]
	assert.Equal(t, "OP-10", inner.ID.Value, "an operation inside another ends first")
	assert.Equal(t, "OP-20", inner.Parent.Value)
	assert.Equal(t, 1, inner.Sequence)
	assert.Equal(t, 0, outer.Sequence)
	assert.Equal(t, "2", inner.Quantity.Value)
	assert.Equal(t, "SA-300", inner.Builds.Value)
	assert.Equal(t, "PT8M", inner.Duration.Value)
	assert.Equal(t, "OP-10", outer.Predecessors[0].Value)
	assert.Len(t, outer.Equipment, 2)
	assert.Equal(t, "Fitter", outer.Qualification.Value)
	require.Len(t, outer.Notes, 1)
	assert.Equal(t, []string{"en", "de"}, languages(outer.Notes[0]))
	assert.Equal(t, "CAUTION", outer.Common.Hazards[0].SignalWord.First())
	assert.Equal(t, "T-0", outer.Common.Tools[0].ID.Value)
	assert.Equal(t, "files/overview.pdf", outer.Common.Attachments[0].File.Value)
	assert.Len(t, outer.Steps, 2, "the step of the inner operation is not one of the outer")
}

func TestNeutralStep(t *testing.T) {
	_, m := neutral(t)
	s := m.operation(t, "OP-20").Steps[1]
	assert.Equal(t, "S-20-2", s.ID.Value)
	assert.Empty(t, s.IDFrom)
	assert.Equal(t, "V-20-2", s.View.Value)
	assert.Equal(t, "S-20-1", s.Predecessors[0].Value)
	assert.Equal(t, []string{"1", "bolt-1", "2", "bolt-2"}, []string{
		s.Tightening[0].Order.Value, s.Tightening[0].Occurrence.Value, s.Tightening[1].Order.Value, s.Tightening[1].Occurrence.Value,
	})
	h := s.Hazards[0]
	assert.Equal(t, "WARNING", h.SignalWord.First())
	assert.Equal(t, "WARNUNG", h.SignalWord[1].Text.Value)
	assert.Equal(t, "It can crush fingers.", h.Consequence.First())
	assert.Equal(t, "Use the lifting eye.", h.Avoidance.First())
	c := s.Characteristics[0]
	assert.Equal(t, []string{"24", "22.8", "25.20", "NU", "witness"},
		[]string{c.Nominal.Value, c.Lower.Value, c.Upper.Value, c.Unit.Value, c.Point.Value}, "limits keep their digits")
	assert.Equal(t, "fitter", s.SignOffs[0].Role.Value)
	assert.Equal(t, "files/crosswise.png", s.Attachments[0].File.Value)
	bolts := s.Parts[1]
	assert.Equal(t, "60", bolts.Find.Value)
	assert.Len(t, bolts.Occurrences, 2)
	assert.Equal(t, step.Origin{Line: 116, Column: 9, Rule: "read.operations.steps.parts"}, bolts.Origin)
}

func TestNeutralParts(t *testing.T) {
	_, m := neutral(t)
	seal := m.operation(t, "OP-10").Steps[0].Parts[1]
	assert.Equal(t, "lot", seal.Capture.Value)
	assert.Equal(t, "P60M", seal.ShelfLife.Value)
	assert.Equal(t, "keeps the oil in", seal.Purpose.First())
	assert.Equal(t, "P-3021", seal.Substitutes[0].Value)
	assert.Equal(t, "C62", seal.Unit.Value, "the unit comes from the item, by a join")
	assert.Empty(t, seal.PartsOf)
	parts := m.operation(t, "OP-20").Steps[0].Parts
	assert.Equal(t, "W1", parts[1].Designators[0].Value)
	assert.Equal(t, "OP-10", parts[2].Operation.Value)
	assert.Equal(t, "2.50", parts[3].Quantity.Value)
	assert.Equal(t, "GRM", parts[3].Unit.Value)
	assert.Equal(t, "Joint face, full run.", parts[3].Notes[0].First())
}

func TestNeutralTexts(t *testing.T) {
	_, m := neutral(t)
	press := m.operation(t, "OP-10").Steps[0].Text[0]
	assert.Equal(t, "Press the seal in until it is flush.\nLip to the inside.", press.Text.Value)
	assert.Equal(t, "Press the seal in until it is <b>flush</b>.<br/>Lip to the inside.", press.Rich)
	lay := m.operation(t, "OP-20").Steps[0].Text[0]
	assert.Equal(t, "Lay the shaft into the lower housing.\n\nSlide both end shields on.", lay.Text.Value)
	assert.Empty(t, lay.Rich)
}

func TestNeutralAssignment(t *testing.T) {
	_, m := neutral(t)
	assert.False(t, m.Plan.Hold.Given(), "the plan is released")
	assert.Equal(t, "seals-are-black", m.Plan.Items["P-3020"].Material3D.Origin.Rule)
	assert.Nil(t, m.Plan.Items["N-0812"].Material3D)
	s := m.operation(t, "OP-20").Steps[1]
	assert.Equal(t, "housing-1", s.Registration.Occurrence.Value)
	assert.False(t, m.operation(t, "OP-10").Steps[0].Registration.By().Given())
	require.Len(t, s.Evidence, 2)
	assert.Equal(t, step.Text{Value: "photo", Origin: step.Origin{Rule: "torque-is-photographed"}}, s.Evidence[1].Kind)
	assert.Equal(t, "inspector", s.SignOffs[1].Role.Value)
	bolts := s.Parts[1]
	require.NotNil(t, bolts.Motion)
	assert.Equal(t, [3]float64{0, 0, -1}, bolts.Motion.Direction)
	assert.InDelta(t, 0.06, bolts.Motion.Distance, 1e-12)
	assert.Equal(t, 3.0, bolts.Motion.Turns)
	assert.Equal(t, 800, bolts.Budget.Value)
	assert.Nil(t, s.Parts[0].Motion)
}

func TestUnknownFactsLetNoRuleFire(t *testing.T) {
	s := compiled(t, neutralRules, reducerRules)
	m := s.of(t, "plan.xml", readFile(t, dialects+"neutral/plan.xml"), nil)
	assert.Empty(t, m.Faults)
	assert.True(t, m.operation(t, "OP-20").Steps[1].Parts[1].Budget.IsZero())
}
