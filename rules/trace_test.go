package rules

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// events are those of a plan, without what explains them, by their object.
func events(t testing.TB, s *Set, xml string) map[Object][]Event {
	t.Helper()
	out := map[Object][]Event{}
	s.Traced(func(e Event) {
		e.Why = nil
		out[e.Object] = append(out[e.Object], e)
	}).of(t, "plan.xml", []byte(xml), nil)
	return out
}

// placeIn is where a piece of a text stands.
func placeIn(t testing.TB, file, text, piece string) diag.Position {
	t.Helper()
	before, _, found := strings.Cut(text, piece)
	require.True(t, found, piece)
	return diag.Position{File: file, Line: strings.Count(before, "\n") + 1, Column: len(before) - strings.LastIndexByte(before, '\n')}
}

func TestTraceTellsWhatHappened(t *testing.T) {
	text := small + `
rules:
  - {name: first, for: part, set: {role: context}}
  - {name: second, for: part, when: item.class == "bolt", set: {role: focus}}
`
	got := events(t, rulesOf(t, text), smallPlan)
	rule := func(piece string) diag.Position { return placeIn(t, "rules.yaml", text, piece) }
	inPlan := func(piece string) step.Origin {
		p := placeIn(t, "", smallPlan, piece)
		return step.Origin{Line: p.Line, Column: p.Column}
	}
	place := inPlan("<step")
	theStep := Object{Kind: "step", ID: "S", N: 1, Operation: "A", Step: "S"}
	require.NotEmpty(t, got[theStep])
	assert.Equal(t, Event{
		Kind: ElementRead, Object: theStep, Record: place, Rule: "read.operations.steps",
		Place: rule("step, id"), Origin: step.Origin{Line: 5, Column: 5, Rule: "read.operations.steps"},
	}, got[theStep][0])
	assert.Contains(t, got[theStep], Event{
		Kind: ValueSet, Object: theStep, Record: place, Field: "title", Value: "Tighten", Rule: "read.operations.steps.title",
		Place: rule("title, parts"), Origin: step.Origin{Line: 5, Column: 18, Rule: "read.operations.steps.title"},
	})

	part := Object{Kind: "part", ID: "B", N: 1, Operation: "A", Step: "S"}
	place = inPlan(`<part item="B" quantity="4"`)
	first, second := rule("{name: first"), rule("{name: second")
	assigned := slices.DeleteFunc(slices.Clone(got[part]), func(e Event) bool { return strings.HasPrefix(e.Rule, "read.") })
	assert.Equal(t, []Event{
		{Kind: RuleFired, Object: part, Record: place, Rule: "first", Place: first, Sets: []string{"role"}},
		{Kind: ValueSet, Object: part, Record: place, Field: "role", Value: "context", Rule: "first", Place: first, Origin: step.Origin{Rule: "first"}},
		{Kind: RuleFired, Object: part, Record: place, Rule: "second", Place: second, Sets: []string{"role"}},
		{Kind: ValueOverridden, Object: part, Record: place, Field: "role", Value: "context", Rule: "second", Place: second, Origin: step.Origin{Rule: "first"}},
		{Kind: ValueSet, Object: part, Record: place, Field: "role", Value: "focus", Rule: "second", Place: second, Origin: step.Origin{Rule: "second"}},
	}, assigned)
	assert.Contains(t, got[Object{Kind: "part", ID: "N", N: 2, Operation: "A", Step: "S"}], Event{
		Kind: RuleNotFired, Object: Object{Kind: "part", ID: "N", N: 2, Operation: "A", Step: "S"},
		Record: inPlan(`<part item="N"`), Rule: "second", Place: second, Sets: []string{"role"},
	})
	assert.Contains(t, got, Object{Kind: "part", ID: "B", N: 1, Operation: "A"}, "a part of the operation")
}

// An object's name is one, whether it is read or assigned, and whatever gives it.
func TestTraceNamesObjectsOnce(t *testing.T) {
	text := strings.Replace(small, "  operations:", "  occurrences: {match: //occurrence, id: '@id', item: '@item', within: '@in'}\n  operations:", 1) +
		"rules:\n  - {name: all, for: step, set: {budget: 1}}\n  - {name: parts, for: part, set: {role: focus}}\n"
	got := events(t, rulesOf(t, text), `<plan id="X"><item id="B" class="bolt"/><occurrence id="b-1" item="B" in="P"/><item id="B" class="nut"/>
  <operation id="A"><step/><step id="A.1"/><part item="B"/></operation>
  <operation id="A"><step id="S"><signOff/><signOff role="r"/></step><part item="B"/></operation>
  <operation id="C"><part item="B"/></operation>
</plan>`)
	var names []string
	for o := range got {
		if o == (Object{}) {
			continue // a path that was followed
		}
		left := ""
		if o.LeftOut {
			left = " left out"
		}
		names = append(names, fmt.Sprintf("%s [%s %d %s %s]%s", o, o.ID, o.N, o.Operation, o.Step, left))
	}
	slices.Sort(names)
	assert.Equal(t, []string{
		"item B [B 0  ]", "item B [B 0  ] left out",
		"occurrence b-1 [b-1 0  ]", "operation A [A 0 A ]", "operation A.2 [A.2 0 A.2 ]", "operation C [C 0 C ]",
		"part 1 of operation A [B 1 A ]", "part 1 of operation A.2 [B 1 A.2 ]", "part 1 of operation C [B 1 C ]",
		"plan [X 0  ]",
		"sign-off 1 of step S [r 1 A.2 S]", "sign-off of step S [ 0 A.2 S] left out",
		"step A.1 [A.1 1 A A.1]", "step A.2 [A.2 2 A A.2]", "step C.1 [C.1 1 C C.1]", "step S [S 1 A.2 S]",
	}, names)
	assert.Contains(t, got, Object{Kind: "occurrence", ID: "b-1", Item: "P"})
}

func TestTraceSaysWhatWasTriedForAValue(t *testing.T) {
	rules := `
planfold: 1
joins: {lines: {match: //line, key: "@id"}}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //operation
    id: "@id"
    number:
      - "@number"
      - {path: "@label", pattern: 'No\. (\d+)'}
      - {path: "@label", where: "@kind = 'x'"}
      - {path: "@n", join: lines, by: "@line"}
    quantity: "@times"
`
	tried := map[string][]string{}
	rulesOf(t, rules).Traced(func(e Event) {
		if e.Kind == ValueMissing {
			tried[e.Field] = e.Why()
		}
	}).of(t, "plan.xml", []byte(`<plan id="X"><line id="1"/><operation id="A" label="seven" line="1" times="two"/></plan>`), nil)
	assert.Equal(t, []string{
		`rules.yaml:10:9 @number: found nothing`,
		`rules.yaml:11:9 @label: "seven" at 1:46 does not match No\. (\d+)`,
		`rules.yaml:12:9 @label: where @kind = 'x' is not true`,
		`rules.yaml:13:9 @n: found nothing in the record "1" of the join "lines"`,
	}, tried["number"])
	assert.Equal(t, []string{`rules.yaml:14:15 @times: found "two" at 1:69, which was refused`}, tried["quantity"])
}

// A step that has no hazard statement may have been meant to have one: where they were
// looked for is said, and what became of those that were found.
func TestTraceSaysWhatWasTriedForRecords(t *testing.T) {
	rules := `
planfold: 1
joins: {lines: {match: //line, key: "@id"}}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //operation
    id: "@id"
    hazards: {each: warning, hazard: text}
    tools: {each: tool, id: "@id"}
    steps:
      each: step
      id: "@id"
      hazards:
        - {each: warning, hazard: text}
        - {each: note, where: "@kind = 'danger'", hazard: "."}
      tools: {join: lines, each: use, by: "@line", id: "@id"}
`
	xml := `<plan id="X"><operation id="A"><tool id="T"/><step id="S"><warning/><note>n</note><use line="2"/></step></operation></plan>`
	tried := map[string][]string{}
	rulesOf(t, rules).Traced(func(e Event) {
		if e.Kind == ValueMissing {
			tried[e.Object.Kind+"."+e.Field] = e.Why()
		}
	}).of(t, "plan.xml", []byte(xml), nil)
	assert.Equal(t, map[string][]string{
		"operation.hazards": {`rules.yaml:9:21 warning: found nothing`},
		"step.hazards":      {`rules.yaml:15:18 warning: found 1, the first at 1:59, and each was left out`, `rules.yaml:16:18 note: found 1, and where @kind = 'danger' is not true of any`},
		"hazard.hazard":     {`rules.yaml:15:35 text: found nothing`},
		"step.tools":        {`rules.yaml:17:34 use: found 1, which lead to no record of the join "lines"`},
	}, tried)
}

func TestTraceLooksAgainFromWhereARecordWasRead(t *testing.T) {
	rules := `
planfold: 1
joins: {lines: {match: //line, key: "@id"}}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //operation
    id: "@id"
    effectivity: {each: limit, from: "@from"}
    steps:
      each: step
      id: "@id"
      text: text
      attachments: {each: file, file: "@name"}
      parts: {join: lines, each: use, by: "@line", item: "@item", unit: {here: true, path: "@unit"}, findNumber: {here: true, up: 1, path: "@nr"}}
`
	xml := `<plan id="X"><line id="1" item="B"/><operation id="A"><limit from="5"/><step id="S">
<text>See <a href="a.pdf">the sheet</a>.</text><use line="1"/><file name="b.pdf"/></step></operation></plan>`
	tried := map[string][]string{}
	of := map[string]Object{}
	rulesOf(t, rules).For("7").Traced(func(e Event) {
		if e.Kind == ElementJoined || e.Kind == PathFollowed {
			return // of no object yet
		}
		of[e.Object.String()] = e.Object
		if e.Kind == ValueMissing {
			tried[e.Field] = e.Why()
		}
	}).of(t, "plan.xml", []byte(xml), nil)
	assert.Equal(t, []string{"rules.yaml:15:73 @unit: found nothing"}, tried["unit"])
	assert.Equal(t, []string{"rules.yaml:15:114 @nr: found nothing"}, tried["findNumber"])
	assert.Equal(t, Object{Kind: "attachment", ID: "a.pdf", N: 2, Operation: "A", Step: "S"}, of["attachment 2 of step S"])
	assert.Len(t, of, 7, "plan, operation, effectivity, step, part, two attachments: %v", of)
}

func TestTraceSaysWhichOperandWasFalse(t *testing.T) {
	for when, want := range map[string][]string{
		`item.class == "nut"`:                                          {`item.class == "nut" is false: item.class is "bolt"`},
		`part.quantity == "4" && item.class == "nut"`:                  {`item.class == "nut" is false: item.class is "bolt"`},
		`item.class == "nut" && part.quantity == "5"`:                  {`item.class == "nut" is false: item.class is "bolt"`},
		`item.class == "nut" || part.quantity == "5"`:                  {`item.class == "nut" is false: item.class is "bolt"`, `part.quantity == "5" is false: part.quantity is "4"`},
		`!(item.class == "bolt")`:                                      {`item.class == "bolt" is true: item.class is "bolt"`},
		`!(item.class == "nut" || part.quantity == "4")`:               {`part.quantity == "4" is true: part.quantity is "4"`},
		`step.id == "S" ? item.class == "nut" : true`:                  {`item.class == "nut" is false: item.class is "bolt"`},
		`item.material == "steel"`:                                     {`item.material == "steel" is false: item.material is not given`},
		`item.class in ["nut", "pin"]`:                                 {`item.class in ["nut", "pin"] is false: item.class is "bolt"`},
		`item.class.startsWith("n")`:                                   {`item.class.startsWith("n") is false: item.class is "bolt"`},
		`has(item.material)`:                                           {`has(item.material) is false`},
		`facts.triangles.orValue(0) > 100`:                             {`facts.triangles.orValue(0) > 100 is false: facts.triangles is not known`},
		`decimal(part.quantity) > 5.0`:                                 {`decimal(part.quantity) > 5.0 is false: decimal(part.quantity) is 4`},
		`step.parts.size() == 2`:                                       {`step.parts.size() == 2 is false: step.parts.size() is 3`},
		`step.parts.exists(p, p.item.class == "pin")`:                  {`step.parts.exists(p, p.item.class == "pin") is false: step.parts is [part "B", part "N", part "9"]`},
		`step.characteristics.exists(c, c.unit == "NU")`:               {`step.characteristics.exists(c, c.unit == "NU") is false: step.characteristics is empty`},
		`step.parts.all(p, p.item.class == "bolt")`:                    {`step.parts.all(p, p.item.class == "bolt") is false: p.item.class == "bolt" is false: p.item.class is "nut"`},
		`!step.parts.exists(p, p.item.class == "bolt")`:                {`step.parts.exists(p, p.item.class == "bolt") is true: p.item.class == "bolt" is true: p.item.class is "bolt"`},
		`!step.characteristics.all(c, c.unit == "NU")`:                 {`step.characteristics.all(c, c.unit == "NU") is true: step.characteristics is empty`},
		`decimal(item.material) > 1.0`:                                 {`could not be answered: decimal(""): not a decimal number`},
		`[item.class, item.material].exists(x, x.startsWith("steel"))`: {`[item.class, item.material].exists(x, x.startsWith("steel")) is false: [item.class, item.material] is ["bolt", ""]`},
		`false`: {`false is false`},
	} {
		var why []string
		rulesOf(t, small+"rules:\n  - name: r\n    for: part\n    when: '"+strings.ReplaceAll(when, "'", "''")+"'\n    set: {role: focus}\n").Traced(func(e Event) {
			if e.Kind == RuleNotFired && e.Object.ID == "B" && e.Object.Step == "S" {
				why = e.Why()
			}
		}).of(t, "plan.xml", []byte(smallPlan), nil)
		assert.Equal(t, want, why, when)
	}
}

func TestTraceTellsOfRulesThatAreNotReached(t *testing.T) {
	var why []string
	rulesOf(t, small+`rules:
  - {name: first, for: step, stop: true, set: {}}
  - {name: second, for: step, set: {budget: 1}}
`).Traced(func(e Event) {
		if e.Rule == "second" {
			assert.Equal(t, RuleNotFired, e.Kind)
			why = append(why, e.Why()...)
		}
	}).of(t, "plan.xml", []byte(smallPlan), nil)
	assert.Equal(t, []string{`not reached: "first" fired and stops`, `not reached: "first" fired and stops`}, why)
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

// The trace costs nothing where no one reads it: compare "without" with the
// benchmark of a commit before, "with" shows what a reader costs.
func BenchmarkTrace(b *testing.B) {
	s := compiled(b, neutralRules, reducerRules)
	xml := readFile(b, dialects+"neutral/plan.xml")
	for name, set := range map[string]*Set{"without": s, "with": s.Traced(func(Event) {}), "why": s.Traced(func(e Event) {
		if e.Why != nil {
			e.Why()
		}
	})} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				set.of(b, "plan.xml", xml, nil)
			}
		})
	}
}
