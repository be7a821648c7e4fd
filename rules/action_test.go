package rules

import (
	"slices"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

const acting = `
planfold: 1
language: en
read:
  plan: {match: /plan, id: "@id"}
  items: {match: //item, id: "@id", class: "@class"}
  occurrences: {match: //occurrence, id: "@id", item: "@item"}
  operations:
    match: //operation
    id: "@id"
    title: title
    steps:
      each: step
      id: "@id"
      title: title
      alternative: "@group"
      hazards: {each: hazard, signalWord: word, hazard: what}
      parts: {each: part, item: "@item", quantity: "@quantity", alternative: "@group"}
      characteristics: {each: characteristic, id: "@id", title: title}
      attachments: {each: document, file: "@file"}
parameters: {torque: 4.50, unit: NU}
tables:
  torque: {file: torque.csv, key: class}
  hazards: {file: hazards.csv, key: class}
rules:
`

const actingPlan = `<plan id="X">
  <item id="B" class="bolt"/><item id="O" class="oil"/>
  <occurrence id="b1" item="B"/>
  <operation id="A"><title>Close</title>
    <step id="S"><title>Fill</title><part item="O" quantity="1.50"/><part item="B" quantity="4"/><document file="a.pdf"/></step>
    <step id="T" group="way"><title>By hand</title><part item="B" quantity="4" group="bolt"/><part item="O" quantity="1" group="bolt"/></step>
    <step id="U" group="way"><title>By robot</title></step>
  </operation>
</plan>`

var actingTables = fstest.MapFS{
	"torque.csv": {Data: []byte("class,nominal,lower\nbolt,25,23.10\n")},
	"hazards.csv": {Data: []byte("class,signalWord,signalWord.de,hazard,hazard.de,consequence,avoidance.de\n" +
		"oil,WARNING,WARNUNG,Hot oil,Heißes Öl,Burns,Handschuhe tragen\n")},
}

func acted(t *testing.T, rules string, readers ...TraceReader) mapped {
	t.Helper()
	s, faults := Compile([]File{{Name: "rules.yaml", Data: []byte(acting + rules), Beside: actingTables}})
	require.Empty(t, faults)
	return s.Traced(readers...).of(t, "plan.xml", []byte(actingPlan), nil)
}

func TestHazardsAreSpelledByTheTable(t *testing.T) {
	m := acted(t, `
  - {name: warn, for: part, when: item.class in tables.hazards, set: {hazard: {table: hazards, key: "${item.class}"}}}
  - {name: again, for: step, when: step.id == "S", set: {hazard: {table: hazards, key: oil}}}
`)
	require.False(t, m.Faults.HasError(), m.Faults)
	by := step.Origin{Rule: "again"}
	words := func(lang, text string) step.Localized {
		return step.Localized{Lang: lang, Text: step.Text{Value: text, Origin: by}}
	}
	assert.Equal(t, []step.Hazard{{
		ID:         step.Text{Value: "oil", Origin: by},
		SignalWord: step.Texts{words("en", "WARNING"), words("de", "WARNUNG")}, Hazard: step.Texts{words("en", "Hot oil"), words("de", "Heißes Öl")},
		Consequence: step.Texts{words("en", "Burns")}, Avoidance: step.Texts{words("de", "Handschuhe tragen")}, Origin: by,
	}}, m.Operations[0].Steps[0].Hazards, "the same statement stands once")
	assert.Len(t, m.Operations[0].Steps[1].Hazards, 1)
	assert.Empty(t, m.Operations[0].Steps[2].Hazards)
}

// What rules say about safety and no step could show is no less lost than if no rule
// had said it.
func TestNothingForSafetyIsAddedToAnOperationWithoutSteps(t *testing.T) {
	s, faults := Compile([]File{{Name: "rules.yaml", Beside: actingTables, Data: []byte(acting + `
  - {name: all, for: operation, set: {hazard: {table: hazards, key: oil}, signOff: {role: lead}, characteristic: {id: c, title: t, upper: 1, unit: MMT}}}
`)}})
	require.Empty(t, faults)
	m := s.of(t, "plan.xml", []byte(`<plan id="X"><operation id="A"/><operation id="B"><step id="S"/></operation></plan>`), nil)
	lost := slices.DeleteFunc(m.Faults, func(d diag.Diagnostic) bool { return d.Code == diag.MapHazardLanguages.Name }) // of B
	assert.Len(t, lost, 3)
	for _, d := range lost {
		assert.Equal(t, diag.MapSafetyNotSet.Name, d.Code)
		assert.True(t, d.Holds)
		assert.Contains(t, d.Message, "operation A: ")
		assert.Contains(t, d.Message, "it has no step that could show it")
	}
}

// A sign-off for some serial numbers is none for the others.
func TestWhatHoldsForSomeStandsForNoneThatRulesAdd(t *testing.T) {
	s := rulesOf(t, `planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //operation
    id: "@id"
    steps: {each: step, signOffs: {each: by, role: "@role", effectivity: {each: ., from: "@from"}}}
rules:
- {name: all, for: step, set: {signOff: {role: lead}}}
`)
	for from, want := range map[string]int{` from="10"`: 2, "": 1} {
		m := s.of(t, "plan.xml", []byte(`<plan id="X"><operation id="A"><step><by role="lead"`+from+`/></step></operation></plan>`), nil)
		assert.Len(t, m.Operations[0].Steps[0].SignOffs, want, from)
	}
}

func TestCharacteristicsAreExact(t *testing.T) {
	m := acted(t, `
  - name: tighten
    for: part
    when: item.class in tables.torque
    set:
      characteristic:
        id: "torque-${part.item.id}"
        title: {en: "Torque of ${part.quantity} bolts", de: "Anzugsmoment"}
        nominal: "${parameters.torque}"
        lower: "${tables.torque[item.class].lower}"
        upper: "+27."
        unit: "${parameters.unit}"
        point: hold
  - {name: count, for: operation, set: {characteristic: {id: count, title: Count, nominal: "${operation.steps.size()}"}}}
  - {name: site, for: operation, set: {characteristic: {id: count, title: "Count $${n}", upper: .5}}}
`)
	o := m.Operations[0]
	c := o.Steps[0].Characteristics
	require.Len(t, c, 1)
	assert.Equal(t, []string{"torque-B", "25", "hold"}, []string{c[0].ID.Value, "25", c[0].Point.Value})
	assert.Equal(t, "4.50", c[0].Nominal.Value, "as the rule file writes it")
	assert.Equal(t, "23.10", c[0].Lower.Value, "as the table writes it")
	assert.Equal(t, "+27", c[0].Upper.Value)
	assert.Equal(t, "NU", c[0].Unit.Value)
	assert.Equal(t, "N·m", c[0].UnitSymbol)
	assert.Equal(t, "Torque of 4 bolts", c[0].Title.First())
	assert.Equal(t, "de", c[0].Title[1].Lang)
	require.Len(t, o.Common.Characteristics, 1, "a later rule's stands in for an earlier one's")
	assert.Equal(t, "Count ${n}", o.Common.Characteristics[0].Title.First())
	assert.Equal(t, "0.5", o.Common.Characteristics[0].Upper.Value)
	assert.False(t, o.Common.Characteristics[0].Nominal.Given())
}

func TestTitlesAndAttachmentsAreMadeByTemplates(t *testing.T) {
	m := acted(t, `
  - {name: name, for: operation, set: {title: "${operation.title} the ${plan.id}"}}
  - {name: sheet, for: step, when: step.id == "S", set: {attachment: {file: "sheets/${step.id}.pdf", title: Sheet}, title: "${operation.title}: ${step.title}"}}
  - {name: twice, for: step, set: {attachment: {file: a.pdf}}}
  - {name: call, for: attachment, when: attachment.title == "", set: {title: "File ${attachment.file.split('.')[0]}"}}
`)
	require.False(t, m.Faults.HasError(), m.Faults)
	o := m.Operations[0]
	assert.Equal(t, "Close the X", o.Title.First())
	s := o.Steps[0]
	assert.Equal(t, "Close the X: Fill", s.Title.First(), "a rule sees what an earlier one made")
	assert.Equal(t, step.Origin{Rule: "sheet"}, s.Title[0].Text.Origin)
	var got [][2]string
	for _, a := range s.Attachments {
		got = append(got, [2]string{a.File.Value, a.Title.First()})
	}
	assert.Equal(t, [][2]string{{"a.pdf", "File a"}, {"sheets/S.pdf", "Sheet"}}, got)
	assert.Equal(t, 5, s.Attachments[0].File.Origin.Line, "the plan's own stays")
}

func TestChosenAlternativesLeaveOutTheOthers(t *testing.T) {
	m := acted(t, `
  - {name: robot, for: step, when: step.title == "By robot", set: {choose: true}}
  - {name: bolts, for: part, when: part.alternative == "bolt" && item.class == "bolt", set: {choose: true}}
`)
	s := m.Operations[0].Steps
	assert.False(t, s[0].Skip.Given(), "it is in no group")
	assert.Equal(t, step.Text{Value: `of the alternatives "way", step U is chosen`, Origin: step.Origin{Rule: "robot"}}, s[1].Skip)
	assert.False(t, s[2].Skip.Given())
	require.Len(t, s[1].Parts, 1)
	assert.Equal(t, "B", s[1].Parts[0].Item.Value)
}

func TestConditionsSeeWhatRulesSet(t *testing.T) {
	m := acted(t, `
  - {name: hold, for: plan, set: {hold: x}}
  - {name: item, for: item, set: {budget: 3, hide: wax, look: {color: "#000000"}}}
  - {name: item again, for: item, when: item.budget == 3 && item.hide == "wax" && item.look == "#000000" && plan.hold == "x", set: {budget: 4}}
  - {name: place, for: occurrence, when: item.budget == 4 && occurrence.item == "B" && occurrence.hide == "" && facts.triangles.orValue(0) == 0, set: {hide: "${item.hide}"}}
  - name: step
    for: step
    set: {budget: 7, skip: later, registration: b1, role: {item: "${'B'}", role: hidden}, motion: {occurrence: "b${1}", direction: [1, 0, 0], distance: 1}, choose: true}
  - {name: part, for: part, set: {budget: 8, role: focus, motion: {direction: [1, 0, 0], distance: 1}}}
  - name: part again
    for: part
    when: >
      step.budget == 7 && step.skip == "later" && step.registration == "b1" && step.motions.exists_one(m, m.occurrence == "b1" && m.distance == 1.0) &&
      step.roles.exists(r, r.item == "B" && r.role == "hidden" && r.occurrence == "") && step.roles.size() == 1 &&
      part.budget == 8 && part.role == "focus" && part.motions.size() == 1 && !part.chosen && !has(part.skip) && step.chosen == (step.id != "S")
    set: {budget: 9}
`)
	assert.Equal(t, "wax", m.Plan.Structure[""][0].Hide.Value)
	for _, s := range m.Operations[0].Steps {
		for _, p := range s.Parts {
			assert.Equal(t, 9, p.Budget.Value, s.ID.Value)
		}
	}
}

func TestTheTraceHearsOfTemplatesAndWhatTheyReplace(t *testing.T) {
	var events []Event
	acted(t, `
  - {name: first, for: step, when: step.id == "S", set: {title: "To ${step.title}", characteristic: {id: c, title: C, upper: 1}}}
  - {name: second, for: step, when: step.id == "S", set: {title: "${step.title}!", characteristic: {id: c, title: C, upper: 2}, signOff: {role: "${step.alternative}"}}}
`, func(e Event) {
		if (e.Kind == ValueSet || e.Kind == ValueOverridden) && (e.Rule == "first" || e.Rule == "second") {
			events = append(events, Event{Kind: e.Kind, Field: e.Field, Value: e.Value, Rule: e.Rule, Origin: e.Origin})
		}
	})
	first, second := step.Origin{Rule: "first"}, step.Origin{Rule: "second"}
	assert.Equal(t, []Event{
		{Kind: ValueOverridden, Field: "title", Value: "Fill", Rule: "first", Origin: step.Origin{Line: 5, Column: 18, Rule: "read.operations.steps.title"}},
		{Kind: ValueSet, Field: "title", Value: "To Fill", Rule: "first", Origin: first},
		{Kind: ValueSet, Field: "characteristic", Value: "c: to 1", Rule: "first", Origin: first},
		{Kind: ValueOverridden, Field: "title", Value: "To Fill", Rule: "second", Origin: first},
		{Kind: ValueSet, Field: "title", Value: "To Fill!", Rule: "second", Origin: second},
		{Kind: ValueOverridden, Field: "characteristic", Value: "c: to 1", Rule: "second", Origin: first},
		{Kind: ValueSet, Field: "characteristic", Value: "c: to 2", Rule: "second", Origin: second},
	}, events, "an action that fails sets nothing")
}

func TestTemplatesAreBoundInWork(t *testing.T) {
	m := acted(t, `
  - name: r
    for: plan
    set:
      hold: "${[0,1,2,3,4,5,6,7,8,9].all(a, [0,1,2,3,4,5,6,7,8,9].all(b, [0,1,2,3,4,5,6,7,8,9].all(c, [0,1,2,3,4,5,6,7,8,9].all(d, [0,1,2,3,4,5,6,7,8,9].all(e, a + b + c + d + e >= 0))))) ? 'x' : 'y'}"
`)
	require.NotEmpty(t, m.Faults)
	assert.Equal(t, "MAP_SAFETY_NOT_SET", m.Faults[0].Code)
	assert.True(t, m.Faults[0].Holds, "a hold that cannot say why holds all the same")
	assert.Contains(t, m.Faults[0].Message, "cost limit")
}

func TestRegistrationByOccurrenceClassOrSize(t *testing.T) {
	of := func(argument string) step.Registration {
		m := acted(t, "\n  - {name: align, for: operation, set: {registration: "+argument+"}}\n")
		return m.Operations[0].Steps[0].Registration
	}
	by := step.Origin{Rule: "align"}
	assert.Equal(t, step.Registration{Occurrence: step.Text{Value: "b1", Origin: by}}, of("b1"))
	assert.Equal(t, step.Registration{Class: step.Text{Value: "housing", Origin: by}}, of(`{class: "hou${'sing'}"}`))
	assert.Equal(t, "the largest housing", of("{class: housing}").String())
	assert.Equal(t, step.Registration{Largest: step.Text{Value: "true", Origin: by}}, of("{largest: true}"))
}
