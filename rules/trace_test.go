package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

func TestTraceTellsWhatHappened(t *testing.T) {
	var events []Event
	s := rulesOf(t, small+`
rules:
  - {name: first, for: part, set: {role: context}}
  - {name: second, for: part, when: item.class == "bolt", set: {role: focus}}
`).Traced(func(e Event) { events = append(events, e) })
	s.of(t, "plan.xml", []byte(smallPlan), nil)

	at := func(line, column int) diag.Position {
		return diag.Position{File: "rules.yaml", Line: line, Column: column}
	}
	first, second := at(14, 5), at(15, 5)
	assert.Contains(t, events, Event{
		Kind: ElementRead, Object: "step", Record: step.Origin{Line: 5, Column: 5}, Rule: "read.operations.steps", Place: at(11, 19),
		Origin: step.Origin{Line: 5, Column: 5, Rule: "read.operations.steps"},
	})
	assert.Contains(t, events, Event{
		Kind: ValueSet, Object: "step", Record: step.Origin{Line: 5, Column: 5}, Field: "title", Value: "Tighten", Rule: "read.operations.steps.title", Place: at(11, 43),
		Origin: step.Origin{Line: 5, Column: 18, Rule: "read.operations.steps.title"},
	})
	var ofPart []Event
	for _, e := range events {
		if e.Object == "part 1 of step S" {
			ofPart = append(ofPart, e)
		}
	}
	assert.Equal(t, []Event{
		{Kind: RuleFired, Object: "part 1 of step S", Rule: "first", Place: first},
		{Kind: ValueSet, Object: "part 1 of step S", Field: "role", Value: "context", Rule: "first", Place: first, Origin: step.Origin{Rule: "first"}},
		{Kind: RuleFired, Object: "part 1 of step S", Rule: "second", Place: second},
		{Kind: ValueOverridden, Object: "part 1 of step S", Field: "role", Value: "context", Rule: "second", Place: second, Origin: step.Origin{Rule: "first"}},
		{Kind: ValueSet, Object: "part 1 of step S", Field: "role", Value: "focus", Rule: "second", Place: second, Origin: step.Origin{Rule: "second"}},
	}, ofPart)
	assert.Contains(t, events, Event{Kind: RuleNotFired, Object: "part 2 of step S", Rule: "second", Place: second})
}

func TestEveryReaderOfTheTraceIsTold(t *testing.T) {
	s := rulesOf(t, small)
	var a, b int
	both := s.Traced(func(Event) { a++ }).Traced(func(Event) { b++ })
	both.of(t, "plan.xml", []byte(smallPlan), nil)
	assert.Positive(t, a)
	assert.Equal(t, a, b)
	before := a
	s.of(t, "plan.xml", []byte(smallPlan), nil)
	assert.Equal(t, before, a, "the set itself stays without readers")
}

func TestTraceWithoutReadersMakesNoEvents(t *testing.T) {
	s := rulesOf(t, small+"rules:\n  - {name: a, for: step, set: {budget: 3}}\n")
	m := s.of(t, "plan.xml", []byte(smallPlan), nil)
	o := m.Operations[0]
	quiet := testing.AllocsPerRun(50, func() { s.Assign(m.Plan, o, nil) })
	told := s.Traced(func(Event) {})
	loud := testing.AllocsPerRun(50, func() { told.Assign(m.Plan, o, nil) })
	assert.LessOrEqual(t, quiet, loud)
	require.Equal(t, 3, o.Steps[0].Budget.Value)
}
