package rules

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

func opening(b []byte) func() (io.ReadCloser, error) {
	return func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(b)), nil }
}

func TestMalformedPlanIsRefusedBeforeAnythingIsEmitted(t *testing.T) {
	s := rulesOf(t, small)
	p, faults, err := s.Read(opening([]byte("<plan id='X'><operation id='A'/>\n<operation id='B'></plan>")), "plan.xml",
		func(*step.Plan, *step.Operation) error { t.Error("emitted"); return nil })
	require.NoError(t, err)
	assert.Nil(t, p)
	require.Len(t, faults, 1)
	assert.Equal(t, diag.PlanMalformed.Name, faults[0].Code)
	assert.Equal(t, 2, faults[0].Position.Line)
}

func TestErrorsOfTheMachineEndTheReading(t *testing.T) {
	s := rulesOf(t, small)
	full := errors.New("disk full")
	_, _, err := s.Read(opening([]byte(smallPlan)), "plan.xml", func(*step.Plan, *step.Operation) error { return full })
	assert.ErrorIs(t, err, full)
	_, _, err = s.Read(func() (io.ReadCloser, error) { return nil, full }, "plan.xml", nil)
	assert.ErrorIs(t, err, full)
}

func TestEmitIsGivenTheCompleteHead(t *testing.T) {
	// The item stands behind the operation.
	xml := `<plan id="X"><operation id="A"><step/></operation><item id="late"/></plan>`
	called := false
	_, _, err := rulesOf(t, small).Read(opening([]byte(xml)), "plan.xml", func(p *step.Plan, o *step.Operation) error {
		called = true
		assert.Contains(t, p.Items, "late")
		return nil
	})
	require.NoError(t, err)
	assert.True(t, called)
}

func TestDecimalCommaIsReadOnlyWhereDeclared(t *testing.T) {
	xml := []byte(`<plan id="X"><operation id="A"><step id="S"><part quantity="2,5" unit="GRM"/><part quantity="1.500" unit="GRM"/></step></operation></plan>`)
	for declared, want := range map[string][2]string{"false": {"", "1.500"}, "true": {"2.5", ""}} {
		m := rulesOf(t, strings.ReplaceAll(small, "}, signOffs", ", unit: '@unit'}, signOffs")+"decimalComma: "+declared+"\n").of(t, "plan.xml", xml, nil)
		parts := m.Operations[0].Steps[0].Parts
		assert.Equal(t, want, [2]string{parts[0].Quantity.Value, parts[1].Quantity.Value})
		require.Len(t, m.Faults, 1, "the other one is refused, never 25 nor 1500")
		assert.Equal(t, diag.MapQuantityInvalid.Name, m.Faults[0].Code)
	}
}

func TestQuantitiesThatDifferAreRefused(t *testing.T) {
	xml := []byte(`<plan id="X"><operation id="A"><step id="S">
	<part><n>2</n><n>3</n></part><part><n>4</n><n>4</n></part></step></operation></plan>`)
	m := rulesOf(t, strings.ReplaceAll(small, `quantity: "@quantity"`, "quantity: n")).of(t, "plan.xml", xml, nil)
	parts := m.Operations[0].Steps[0].Parts
	assert.Equal(t, []string{"", "4"}, []string{parts[0].Quantity.Value, parts[1].Quantity.Value})
	require.Len(t, m.Faults, 1)
	assert.Equal(t, diag.MapQuantityInvalid.Name, m.Faults[0].Code)
	assert.True(t, m.Faults[0].Holds)
}

func TestAPlanThatChangesWhileItIsReadIsAnErrorOfTheMachine(t *testing.T) {
	passes := 0
	_, _, err := rulesOf(t, small).Read(func() (io.ReadCloser, error) {
		passes++
		return io.NopCloser(strings.NewReader(smallPlan[:len(smallPlan)-passes/2])), nil
	}, "plan.xml", func(*step.Plan, *step.Operation) error { return nil })
	assert.ErrorContains(t, err, "plan.xml changed while it was read")
}

func TestMatrixByColumnsAndAxes(t *testing.T) {
	rules := `
planfold: 1
frame: {unit: in, up: Y, matrix: column}
read:
  plan: {match: /plan, id: "@id"}
  occurrences: {match: //occurrence, id: "@id", item: "@item", placement: .}
  views: {match: //view, id: "@id", position: "@from", target: "@to"}
  operations: {match: //operation}
`
	xml := `<plan id="X"><occurrence id="a" item="i">0 1 0 -1 0 0 0 0 1 10 20 30</occurrence>
	<occurrence id="b" item="i">0 1 0 0 -1 0 0 0 0 0 1 0 10 20 30 1</occurrence><view id="v" from="1 1 1" to="0 0 0"/></plan>`
	m := rulesOf(t, rules).of(t, "plan.xml", []byte(xml), nil)
	assert.Empty(t, m.Faults)
	for _, o := range m.Plan.Structure[""] {
		p := o.Placement.Matrix.Point([3]float64{1, 0, 0})
		assert.InDelta(t, 0.254, p[0], 1e-12)
		assert.InDelta(t, 1.508, p[1], 1e-12)
		assert.InDelta(t, 0.762, p[2], 1e-12)
	}
	assert.Equal(t, [3]float64{0, 1, 0}, m.Plan.Views["v"].Camera.Up)
	assert.Equal(t, byte('Y'), m.Plan.Frame.Up)
}

func TestValuesAreFoundInEveryWay(t *testing.T) {
	rules := `
planfold: 1
joins:
  names: {match: //name, key: "@of"}
read:
  plan: {match: /plan, id: {file: '^(\w+)-(\w+)', group: 2}, revision: [{path: "@rev"}, {path: "@revision"}, {value: "0"}], status: {path: "@status", default: draft}}
  operations:
    match: //op
    id: "@id"
    title: {join: names, by: "@id", path: .}
    workCentre: {path: "@at", pattern: 'bench (\d+)', rest: notes}
    number: {where: "@id = 'A'", value: "10"}
    steps:
      - {each: "note[@kind='do']", text: .}
      - {each: note | check, title: .}
    tools: {each: "@tools", title: .}
`
	xml := `<plan revision=" B "><op id="A" at="hall 2, bench 7" tools="hammer"><check>two</check><note kind="do">one</note><note>three</note></op>
	<op id="B" at="hall 2"/><name of="A" xml:lang="en">First</name><name of="A" xml:lang="x-!">Erste</name></plan>`
	m := rulesOf(t, rules).of(t, "export/work-GR7.xml", []byte(xml), nil)
	require.Len(t, m.Faults, 1)
	assert.Equal(t, diag.MapLanguageUnknown.Name, m.Faults[0].Code)
	assert.Equal(t, "GR7", m.Plan.ID.Value)
	assert.Equal(t, "B", m.Plan.Revision.Value)
	assert.Equal(t, step.Text{Value: "draft", Origin: step.Origin{Line: 1, Column: 1, Rule: "read.plan.status"}}, m.Plan.Status)
	a, b := m.operation(t, "A"), m.operation(t, "B")
	assert.Equal(t, []string{"en", ""}, languages(a.Title), "what is no language tag is none")
	assert.Equal(t, "7", a.WorkCentre.Value)
	assert.Equal(t, "hall 2, bench", a.Notes[0].First(), "the rest of the text is not lost")
	assert.False(t, b.WorkCentre.Given())
	assert.Empty(t, b.Notes)
	assert.Equal(t, []string{"10", ""}, []string{a.Number.Value, b.Number.Value})
	require.Len(t, a.Steps, 3, "an element makes one step, by the first reading that takes it")
	assert.Equal(t, []string{"", "one", ""}, []string{a.Steps[0].Text.First(), a.Steps[1].Text.First(), a.Steps[2].Text.First()})
	assert.Equal(t, "two", a.Steps[0].Title.First(), "several readings keep the document's order")
	assert.Equal(t, "hammer", a.Common.Tools[0].Title.First())
}

func TestAPathUpDoesNotLeaveTheRecord(t *testing.T) {
	rules := small + "joins: {}\n"
	rules = strings.Replace(rules, `quantity: "@quantity"}
    steps`, `quantity: "@quantity", notes: {path: "@id", up: 2}, findNumber: {path: "@id", up: 1}}
    steps`, 1)
	m := rulesOf(t, rules).of(t, "plan.xml", []byte(smallPlan), nil)
	part := m.Operations[0].Common.Parts[0]
	assert.Equal(t, "A", part.Find.Value)
	assert.Empty(t, part.Notes)
}

func TestTextsOfOneLanguageFollowEachOther(t *testing.T) {
	rules := strings.Replace(small, "title: title,", "title: title | subtitle,", 1)
	xml := `<plan id="X"><operation id="A"><step><title>One &lt; <b>two</b></title><subtitle>three &amp; four</subtitle></step></operation></plan>`
	m := rulesOf(t, rules).of(t, "plan.xml", []byte(xml), nil)
	title := m.Operations[0].Steps[0].Title
	require.Len(t, title, 1)
	assert.Equal(t, "One < two\nthree & four", title[0].Text.Value)
	assert.Equal(t, "One &lt; <b>two</b><br/>three &amp; four", title[0].Rich)
}

// bigPlan writes a plan of many operations with ten steps each.
func bigPlan(operations int) []byte {
	var b bytes.Buffer
	b.WriteString(`<plan xmlns="urn:planfold:plan:1" id="BIG" status="released" product="P"><items><item id="P"/><item id="B" class="bolt"/></items><operations>`)
	for i := range operations {
		fmt.Fprintf(&b, `<operation id="OP-%d" number="%d"><title xml:lang="en">Operation %d</title>`, i, i, i)
		for j := range 10 {
			fmt.Fprintf(&b, `<step id="S-%d-%d"><title xml:lang="en">Step %d</title><text xml:lang="en">Put the <b>part</b> where it belongs, and tighten it.</text>`+
				`<part item="P" quantity="1"/><part item="B" quantity="4" find="%d"/><attachment file="files/%d.png"/></step>`, i, j, j, j, j)
		}
		b.WriteString("</operation>\n")
	}
	b.WriteString(`</operations></plan>`)
	return b.Bytes()
}

// A plan of 100,000 steps took no more when this was written.
func TestStepsDoNotStandInMemoryTogether(t *testing.T) {
	const operations = 2000
	xml := bigPlan(operations)
	s := compiled(t, neutralRules, reducerRules)
	var before, now runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	steps, seen, most := 0, 0, uint64(0)
	_, faults, err := s.Read(opening(xml), "plan.xml", func(p *step.Plan, o *step.Operation) error {
		s.Assign(p, o, nil)
		steps += len(o.Steps)
		if seen++; seen%500 == 0 {
			runtime.GC()
			runtime.ReadMemStats(&now)
			most = max(most, now.HeapAlloc-min(before.HeapAlloc, now.HeapAlloc))
		}
		return nil
	})
	require.NoError(t, err)
	assert.Empty(t, faults)
	assert.Equal(t, 10*operations, steps)
	assert.Less(t, most, uint64(8<<20), "all steps together take some 60 MB")
}

func BenchmarkRead(b *testing.B) {
	xml := bigPlan(200)
	s := compiled(b, neutralRules, reducerRules)
	b.SetBytes(int64(len(xml)))
	b.ReportAllocs()
	for b.Loop() {
		_, _, err := s.Read(opening(xml), "plan.xml", func(*step.Plan, *step.Operation) error { return nil })
		require.NoError(b, err)
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/2000, "µs/step")
}

func BenchmarkAssign(b *testing.B) {
	s := compiled(b, neutralRules, reducerRules)
	var p *step.Plan
	var all []*step.Operation
	_, _, err := s.Read(opening(bigPlan(200)), "plan.xml", func(q *step.Plan, o *step.Operation) error {
		p, all = q, append(all, o)
		return nil
	})
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		for _, o := range all {
			s.Assign(p, o, nil)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/2000, "µs/step")
}

func BenchmarkCompile(b *testing.B) {
	text := readFile(b, neutralRules)
	b.ReportAllocs()
	for b.Loop() {
		Compile([]File{{Name: "rules.yaml", Data: text}})
	}
}

func TestNumbersThatNoPatternTakesHoldThePlan(t *testing.T) {
	rules := strings.ReplaceAll(small, `quantity: "@quantity"`, `quantity: {path: ., pattern: '(\d+)'}`)
	xml := []byte(`<plan id="X"><operation id="A"><step id="S"><part>a pair</part><part>2 of them</part><part/></step></operation></plan>`)
	m := rulesOf(t, rules).of(t, "plan.xml", xml, nil)
	parts := m.Operations[0].Steps[0].Parts
	require.Len(t, parts, 3)
	assert.Equal(t, "2", parts[1].Quantity.Value)
	require.Len(t, m.Faults, 2)
	assert.Equal(t, diag.MapQuantityMissing.Name, m.Faults[1].Code, "nothing stands in the third")
	assert.Equal(t, diag.MapQuantityInvalid.Name, m.Faults[0].Code)
	assert.Contains(t, m.Faults[0].Message, `"a pair"`)
	assert.True(t, m.Faults[0].Holds)
}

func TestReferencesThatNoJoinFindsAreNamed(t *testing.T) {
	rules := strings.ReplaceAll(small, `item: "@item"`, `item: {join: lines, by: "@line", path: "@item"}`) + "joins: {lines: {match: //line, key: \"@id\"}}\n"
	xml := []byte(`<plan id="X"><item id="B"/><line id="1" item="B"/><operation id="A"><step id="S"><part line="1" quantity="3"/><part line="2" quantity="3"/></step></operation></plan>`)
	m := rulesOf(t, rules).of(t, "plan.xml", xml, nil)
	parts := m.Operations[0].Steps[0].Parts
	assert.Equal(t, []string{"B", ""}, []string{parts[0].Item.Value, parts[1].Item.Value})
	require.Len(t, m.Faults, 1)
	assert.Equal(t, diag.MapRefMissing.Name, m.Faults[0].Code)
	assert.Contains(t, m.Faults[0].Message, `"2"`)
}
