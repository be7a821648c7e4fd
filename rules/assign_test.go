package rules

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

const small = `
planfold: 1
name: small
read:
  plan: {match: /plan, id: "@id", status: "@status"}
  items: {match: //item, id: "@id", class: "@class"}
  operations:
    match: //operation
    id: "@id"
    parts: {each: part, item: "@item", quantity: "@quantity"}
    steps: {each: step, id: "@id", title: title, parts: {each: part, item: "@item", quantity: "@quantity"}, signOffs: {each: signOff, role: "@role"}}
`

const smallPlan = `<plan id="X" status="draft">
  <item id="B" class="bolt"/><item id="N" class="nut"/>
  <operation id="A">
    <part item="B" quantity="1"/>
    <step id="S"><title>Tighten</title><signOff role="fitter"/><part item="B" quantity="4"/><part item="N" quantity="4.0"/><part quantity="9"/></step>
    <step id="T"/>
  </operation>
</plan>`

func small1(t *testing.T, rules string, facts step.Facts) mapped {
	t.Helper()
	return rulesOf(t, small+"rules:\n"+rules).of(t, "plan.xml", []byte(smallPlan), facts)
}

func TestLaterRulesOverrideThingByThing(t *testing.T) {
	m := small1(t, `
  - {name: first, for: part, set: {role: context, motion: {direction: [0, 0, -2], distance: 10}}}
  - {name: second, for: part, when: item.class == "bolt", set: {role: focus}}
`, nil)
	parts := m.Operations[0].Steps[0].Parts
	assert.Equal(t, step.Text{Value: "focus", Origin: step.Origin{Rule: "second"}}, parts[0].Role)
	assert.Equal(t, "first", parts[0].Motion.Origin.Rule, "what the later rule does not set stays")
	assert.Equal(t, "context", parts[1].Role.Value)
	assert.Equal(t, [3]float64{0, 0, -1}, parts[0].Motion.Direction)
	assert.InDelta(t, 0.01, parts[0].Motion.Distance, 1e-15)
}

func TestStopEndsTheRulesForAnObject(t *testing.T) {
	m := small1(t, `
  - {name: first, for: part, when: item.class == "bolt", set: {role: focus}, stop: true}
  - {name: second, for: part, set: {role: context}}
`, nil)
	parts := m.Operations[0].Steps[0].Parts
	assert.Equal(t, "focus", parts[0].Role.Value)
	assert.Equal(t, "context", parts[1].Role.Value, "a rule that does not fire does not stop")
}

func TestConditionsSeeTheModel(t *testing.T) {
	for condition, fires := range map[string]bool{
		`plan.id == "X" && operation.id == "A" && step.id == "S"`:          true,
		`step.title == "Tighten"`:                                          true,
		`step.parts.size() == 3 && operation.parts.size() == 1`:            true,
		`decimal(part.quantity) >= 4 && decimal(part.quantity) < 4.5`:      true,
		`part.quantity == "4"`:                                             true,
		`step.parts.exists(p, p.item.class == "nut")`:                      true,
		`step.signOffs.all(s, s.role == "fitter")`:                         true,
		`has(part.unit) || has(part.occurrences) || has(part.purpose)`:     false,
		`part.item.class == item.class && item.id == part.item.id`:         true,
		`facts.triangles.hasValue()`:                                       true,
		`facts.triangles.orValue(0) == 12`:                                 true,
		`facts.bounds.optMap(b, b[2] > 2.5).orValue(false)`:                true,
		`facts.digest.orValue("") == "d1"`:                                 true,
		`item.id.startsWith("B") && item.id.lowerAscii() == "b"`:           true,
		`part.partsOf == "operation"`:                                      false,
		`step.parts.map(p, p.item.id).join(",") == "B,N,"`:                 true,
		`step == step && part != step.parts[1] && part == step.parts[0]`:   true,
		`step.predecessors.size() == 0 && step.hazards == []`:              true,
		`step.parts[0].item.geometry.size() == 0 && item.notes.size() < 1`: true,
	} {
		m := small1(t, "  - {name: r, for: part, when: '"+condition+"', set: {role: focus}}\n",
			step.Facts{"B": {Triangles: 12, Bounds: [3]float64{1, 2, 3}, Digest: "d1"}})
		assert.Equal(t, fires, m.Operations[0].Steps[0].Parts[0].Role.Given(), condition)
	}
}

func TestConditionThatFailsHoldsTheEdition(t *testing.T) {
	m := small1(t, "  - {name: r, for: part, when: 'decimal(part.item.id == \"\" ? \"none\" : part.quantity) > 1.0', set: {role: focus}}\n", nil)
	require.Len(t, m.Faults, 1)
	assert.Equal(t, diag.MapConditionFailed.Name, m.Faults[0].Code)
	assert.True(t, m.Faults[0].Holds)
	assert.Equal(t, m.Faults, m.Operations[0].Steps[0].Diagnostics)
	assert.False(t, m.Operations[0].Steps[0].Parts[2].Role.Given())
}

func TestConditionIsBoundInWork(t *testing.T) {
	m := small1(t, "  - {name: r, for: plan, when: '"+
		"[0,1,2,3,4,5,6,7,8,9].all(a, [0,1,2,3,4,5,6,7,8,9].all(b, [0,1,2,3,4,5,6,7,8,9].all(c, [0,1,2,3,4,5,6,7,8,9].all(d, [0,1,2,3,4,5,6,7,8,9].all(e, a + b + c + d + e >= 0)))))"+
		"', set: {hold: x}}\n", nil)
	require.Len(t, m.Faults, 1)
	assert.Contains(t, m.Faults[0].Message, "cost limit")
}

func TestRulesForEachKindOfObject(t *testing.T) {
	m := small1(t, `
  - {name: draft, for: plan, when: plan.status == "draft", set: {hold: still a draft}}
  - {name: bolts, for: item, when: item.class == "bolt", set: {budget: 200, look: {color: "#ff8000"}}}
  - {name: all, for: operation, set: {registration: jig, signOff: {role: lead}, evidence: {kind: value}}}
  - {name: tee, for: step, when: step.id == "T", set: {registration: table, budget: 9000, skip: not here}}
  - {name: jig, for: step, set: {role: {item: N, role: hidden}, motion: {occurrence: b-1, direction: [1, 0, 0], distance: 1, turns: 2}, signOff: {role: fitter}}}
  - {name: jig again, for: step, set: {role: {item: N, role: context}, motion: {occurrence: b-1, direction: [0, 1, 0], distance: 1}}}
  - {name: nuts, for: part, when: item.class == "nut", set: {skip: from the bin, budget: 5}}
`, nil)
	assert.Equal(t, "still a draft", m.Plan.Hold.Value)
	bolt := m.Plan.Items["B"]
	assert.Equal(t, 200, bolt.Budget.Value)
	// sRGB 0x80 is 0.2159 linear (IEC 61966-2-1).
	assert.Equal(t, [3]float64{1, 0.2159, 0}, bolt.Material3D.Color)
	o := m.Operations[0]
	assert.Equal(t, "lead", o.Common.SignOffs[0].Role.Value)
	assert.Equal(t, "value", o.Common.Evidence[0].Kind.Value)
	s, tee := o.Steps[0], o.Steps[1]
	assert.Equal(t, step.Text{Value: "jig", Origin: step.Origin{Rule: "all"}}, s.Registration.Occurrence)
	assert.Equal(t, step.Text{Value: "table", Origin: step.Origin{Rule: "tee"}}, tee.Registration.Occurrence)
	assert.Equal(t, "not here", tee.Skip.Value)
	assert.Equal(t, 9000, tee.Budget.Value)
	assert.Equal(t, []step.RoleChange{{Item: "N", Role: step.Text{Value: "context", Origin: step.Origin{Rule: "jig again"}}}}, s.Roles)
	require.Len(t, s.Motions, 1)
	assert.Equal(t, [3]float64{0, 1, 0}, s.Motions[0].Direction)
	assert.Len(t, s.SignOffs, 1, "the plan asks for that sign-off already")
	require.Len(t, s.Parts, 2, "the nuts are left out")
	assert.Equal(t, diag.MapPlanHeld.Name, m.Faults[0].Code)
	assert.Equal(t, diag.MapPartLeftOut.Name, m.Faults[1].Code)
	assert.Contains(t, m.Faults[1].Message, "from the bin")
}

// Run with -race: items are read by all operations.
func TestOperationsAreAssignedAtTheSameTime(t *testing.T) {
	s := rulesOf(t, small+`
rules:
  - {name: r, for: item, set: {budget: 3}}
  - {name: p, for: part, when: item.class == "bolt", set: {role: focus}}
`)
	p := s.of(t, "plan.xml", []byte(smallPlan), nil).Plan
	var wait sync.WaitGroup
	for range 8 {
		o := &step.Operation{Steps: []*step.Step{{Content: step.Content{Parts: []step.Part{{Item: step.Text{Value: "B"}}}}}}}
		wait.Add(1)
		go func() {
			defer wait.Done()
			s.Assign(p, o, nil)
			assert.Equal(t, "focus", o.Steps[0].Parts[0].Role.Value)
		}()
	}
	wait.Wait()
	assert.Equal(t, 3, p.Items["B"].Budget.Value)
}
