package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// An export whose parts, steps and documents stand in tables of their own.
const tabled = `
planfold: 1
joins:
  lines: {match: //line, key: "@id"}
  ofOperation: {match: //use, key: "@op"}
  steps: {match: //instruction, key: "@id"}
  docs: {match: //doc, key: "@id"}
  items: {match: //item, key: "@id"}
read:
  plan: {match: /plan, id: "@id"}
  items:
    match: //item
    id: "@id"
    attachments: {each: see, join: docs, by: "@doc", file: "@file", title: name}
  operations:
    match: //op
    id: "@id"
    parts: {each: ., join: ofOperation, by: "@id", item: "@item", quantity: "@qty"}
    steps:
      each: do
      join: steps
      by: "@step"
      id: "@id"
      order: {path: "@n", here: true}
      text: text
      parts:
        - {each: needs, join: lines, by: "@line", item: "@item", quantity: {path: "@qty", here: true}, unit: {join: items, by: "@item", path: "@unit"}, notes: note}
        - {each: glue, item: "@item"}
`

const tables = `<plan id="P">
<item id="i1" unit="C62"><see doc="d1"/><see doc="d2"/></item><item id="i2" unit="GRM"/>
<op id="A"><do step="s2" n="20"/><do step="s1" n="10"/></op><op id="B"/>
<instruction id="s1"><text>First</text><needs line="L1" qty="2"/></instruction>
<instruction id="s2"><text>Then</text><needs line="L2" qty="2.5"/><glue item="i9"/><needs line="L1" qty="1"/></instruction>
<line id="L1" item="i1"><note>Oil it.</note></line><line id="L2" item="i2"/>
<use op="A" item="i1" qty="7"/><use op="A" item="i2" qty="8"/>
<doc id="d1" file="a.pdf"><name xml:lang="en">Sheet</name></doc><doc id="d2" file="b.pdf"/>
</plan>`

func TestRecordsStandElsewhere(t *testing.T) {
	m := rulesOf(t, tabled).of(t, "plan.xml", []byte(tables), nil)
	var codes []string
	for _, d := range m.Faults {
		codes = append(codes, d.Code)
	}
	assert.Equal(t, []string{"MAP_REF_MISSING"}, codes, "of the glue alone")
	a := m.operation(t, "A")
	require.Len(t, a.Common.Parts, 2, "all that name the operation")
	assert.Equal(t, []string{"7", "8"}, []string{a.Common.Parts[0].Quantity.Value, a.Common.Parts[1].Quantity.Value})
	assert.Empty(t, m.operation(t, "B").Common.Parts)
	require.Len(t, a.Steps, 2)
	assert.Equal(t, []string{"s1", "s2"}, []string{a.Steps[0].ID.Value, a.Steps[1].ID.Value}, "by the number beside the reference")
	assert.Equal(t, 5, a.Steps[1].ID.Origin.Line)
	parts := a.Steps[1].Parts
	require.Len(t, parts, 3)
	assert.Equal(t, []string{"i2", "i9", "i1"}, []string{parts[0].Item.Value, parts[1].Item.Value, parts[2].Item.Value}, "in the order of what refers to them")
	assert.Equal(t, []string{"2.5", "", "1"}, []string{parts[0].Quantity.Value, parts[1].Quantity.Value, parts[2].Quantity.Value})
	assert.Equal(t, "GRM", parts[0].Unit.Value, "a join within the record of a join")
	assert.Equal(t, "Oil it.", parts[2].Notes[0].First())
	docs := m.Plan.Items["i1"].Attachments
	require.Len(t, docs, 2)
	assert.Equal(t, "a.pdf", docs[0].File.Value)
	assert.Equal(t, []string{"en=Sheet"}, tagged(docs[0].Title))
}

func TestARecordThatIsNotThereHoldsTheEdition(t *testing.T) {
	m := rulesOf(t, tabled).of(t, "plan.xml", []byte(`<plan id="P"><item id="i1"/><op id="A"><do step="s1"/></op><instruction id="s1"><needs line="L9" qty="2"/></instruction><line id="L1" item="i1"/></plan>`), nil)
	require.Len(t, m.Faults, 2)
	assert.Equal(t, diag.MapRecordMissing.Name, m.Faults[0].Code)
	assert.True(t, m.Faults[0].Holds)
	assert.Equal(t, "s1", m.Faults[0].Step)
	assert.Len(t, m.operation(t, "A").Steps[0].Diagnostics, 1)
	assert.Equal(t, diag.MapVitalUnused.Name, m.Faults[1].Code, "a line that nothing takes is not lost in silence")
}

// A reference may be an attribute of the step itself: then it must lead, unless it is
// empty. Only those that name the step, by its id, may be none.
func TestAReferenceInTheStepItselfMustLead(t *testing.T) {
	rules := rulesOf(t, `
planfold: 1
joins:
  lines: {match: //line, key: "@id"}
  uses: {match: //use, key: "@step"}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op
    id: "@id"
    steps:
      each: step
      id: ["@name", "@id"]
      parts:
        - {each: ., join: lines, by: "@line", item: "@item"}
        - {each: ., join: uses, by: "@id", item: "@item"}
`)
	for of, want := range map[string]string{
		`line="L9"`: `plan.xml:1:49: error MAP_RECORD_MISSING: the part is "L9" by the join "lines", which finds no such record`,
		`line=" "`:  "",
		``:          "",
		`line="L1"`: "",
	} {
		m := rules.of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><step id="S" name="Cap" `+of+`/></op><line id="L1" item="i"/><use step="T" item="i"/></plan>`), nil)
		var said string
		for _, d := range m.Faults {
			if d.Code == diag.MapRecordMissing.Name {
				said += d.String()
				assert.True(t, d.Holds)
			}
		}
		assert.Equal(t, want, said, of)
	}
}

// One list of references may lead to records of several kinds: where looks at the
// record that is found.
func TestRecordsOfAJoinAreToldApartByWhere(t *testing.T) {
	m := rulesOf(t, `
planfold: 1
joins: {lines: {match: //line, key: "@id"}}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op
    id: "@id"
    steps:
      each: step
      parts: {each: needs, join: lines, by: "@line", where: "@kind = 'part'", item: "@item"}
      tools: {each: needs, join: lines, by: "@line", where: "@kind = 'tool'", id: "@item"}
`).of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><step><needs line="1"/><needs line="2"/></step></op>
<line id="1" kind="tool" item="Wrench"/><line id="2" kind="part" item="Cap"/></plan>`), nil)
	assert.Empty(t, m.Faults)
	s := m.operation(t, "A").Steps[0]
	require.Len(t, s.Parts, 1)
	require.Len(t, s.Tools, 1)
	assert.Equal(t, []string{"Cap", "Wrench"}, []string{s.Parts[0].Item.Value, s.Tools[0].ID.Value})
}

// One attribute may list several references, as IDREFS does (XML 1.0, 3.3.1).
func TestReferencesMayBeListedInOneText(t *testing.T) {
	rules := rulesOf(t, `
planfold: 1
joins:
  lines: {match: //line, key: "@id"}
  items: {match: //item, key: "@id"}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op
    id: "@id"
    predecessors: {path: "@after", pattern: '[^ ,]+'}
    equipment: "@after"
    notes: {join: [lines, items], by: ["@lines", "@items"], path: "@says"}
    parts: {each: ., join: lines, by: "@lines", item: "@id"}
`)
	of := func(op string) (*step.Operation, []string) {
		m := rules.of(t, "plan.xml", []byte(`<plan id="P"><op id="X" `+op+`/><line id="L1" items="i j"/><line id="L2"/><line id="L 3"/><item id="i" says="Oil it."/><item id="j" says="Dry it."/></plan>`), nil)
		var said []string
		for _, d := range m.Faults {
			if d.Code == diag.MapRecordMissing.Name {
				said = append(said, d.Message)
			}
		}
		return m.operation(t, "X"), said
	}
	items := func(o *step.Operation) (out []string) {
		for _, p := range o.Common.Parts {
			out = append(out, p.Item.Value)
		}
		return out
	}
	o, said := of(`after="FEET, BASE" lines=" L1  L2 "`)
	assert.Empty(t, said)
	assert.Equal(t, []string{"FEET", "BASE"}, []string{o.Predecessors[0].Value, o.Predecessors[1].Value})
	assert.Equal(t, "FEET, BASE", o.Equipment[0].Value, "no pattern, no list")
	assert.Equal(t, []string{"L1", "L2"}, items(o))
	assert.Equal(t, []string{"Oil it.", "Dry it."}, []string{o.Notes[0].First(), o.Notes[1].First()})
	o, said = of(`lines="L 3"`)
	assert.Empty(t, said)
	assert.Equal(t, []string{"L 3"}, items(o), "the whole is a key")
	o, said = of(`lines="L1 L9"`)
	assert.Equal(t, []string{`the part is "L9" by the join "lines", which finds no such record`}, said)
	assert.Equal(t, []string{"L1"}, items(o))
	_, said = of(`lines="L8 L9"`)
	assert.Equal(t, []string{`the part is "L8 L9" by the join "lines", which finds no such record`}, said)
}

func TestEveryMatchInAListLeavesOneRest(t *testing.T) {
	o := rulesOf(t, `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations: {match: //op, id: "@id", equipment: {path: "@on", pattern: 'M[0-9]+', rest: notes}}
`).of(t, "plan.xml", []byte(`<plan id="P"><op id="X" on="bench M1 or M2 by day"/></plan>`), nil).operation(t, "X")
	require.Len(t, o.Equipment, 2)
	require.Len(t, o.Notes, 1)
	assert.Equal(t, "bench or by day", o.Notes[0].First())
}

// People look for a part where the step names it; a constant stands in what it was set for.
func TestRecordsAndConstantsHaveAPlace(t *testing.T) {
	s := rulesOf(t, `
planfold: 1
decimalComma: true
joins:
  lines: {match: //line, key: "@id"}
  uses: {match: //use, key: "@op"}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op
    id: "@id"
    parts: {each: ., join: uses, by: "@id", item: "@item"}
    steps:
      each: step
      parts:
        each: take
        join: lines
        by: "@line"
        item: "@item"
        quantity: {path: "@q", default: "1.5", plus: {value: "1"}}
        unit: {path: "@unit", default: C62}
`)
	var places []string
	m := s.Traced(func(e Event) {
		if e.Kind == ElementRead && e.Object.Kind == "part" {
			places = append(places, placed(e.Record))
		}
	}).of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><step>
<take line="L1"/></step></op>
<line id="L1" item="i"/>
<use op="A" item="j"/></plan>`), nil)
	assert.Empty(t, m.Faults)
	o := m.operation(t, "A")
	part := o.Steps[0].Parts[0]
	assert.Equal(t, step.Origin{Line: 2, Column: 1, Rule: "read.operations.steps.parts"}, part.Origin, "where it is referred to")
	assert.Equal(t, step.Origin{Line: 3, Column: 15, Rule: "read.operations.steps.parts.item"}, part.Item.Origin, "where it stands")
	assert.Equal(t, step.Text{Value: "2.5", Origin: step.Origin{Line: 2, Column: 1, Rule: "read.operations.steps.parts.quantity"}}, part.Quantity)
	assert.Equal(t, step.Text{Value: "C62", Origin: step.Origin{Line: 2, Column: 1, Rule: "read.operations.steps.parts.unit"}}, part.Unit)
	assert.Equal(t, 4, o.Common.Parts[0].Origin.Line, "what names the operation stands for itself")
	assert.Equal(t, []string{" at 4:1", " at 2:1"}, places)
}

func TestWhereIsAskedWhereThePathBegins(t *testing.T) {
	m := rulesOf(t, `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op
    id: "@id"
    steps: {each: step, parts: {each: take, item: [{path: "@item", up: 1, where: "@of = 'step'"}, {path: "@item", where: "@of = 'take'"}]}}
`).of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><step of="step" item="i"><take of="take" item="j"/></step></op></plan>`), nil)
	assert.Equal(t, "i", m.operation(t, "A").Steps[0].Parts[0].Item.Value)
}

// A plan may carry a library and use nothing of it. It is held where something names what
// the rules do not find.
func TestALibraryOfWhichNothingIsUsed(t *testing.T) {
	rules := rulesOf(t, `
planfold: 1
joins: {risks: {match: //risk, key: "@key"}}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op
    id: "@id"
    builds: "@builds"
    steps: {each: step, id: "@id", text: text, hazards: {each: ., join: risks, by: "@risk", signalWord: "@level", hazard: .}}
`)
	const library = `<risk key="R1" level="DANGER">Heavy</risk><risk key="R 2" level="DANGER">Hot</risk><risk key="3" level="DANGER">Wet</risk>`
	for op, want := range map[string]string{
		`<step id="S"><text>Lift.</text></step>`:                          "MAP_RECORD_UNUSED",
		`<step id="S" rev="3"><text>Lift.</text></step>`:                  "MAP_RECORD_UNUSED", // may be any number
		`<step id="S" says="see R1"><text>Lift.</text></step>`:            "MAP_RECORD_UNUSED",
		`<step id="S"><text>R1</text></step>`:                             "MAP_RECORD_UNUSED", // it is read
		`<step id="S"><text>Lift.</text><risk key="R4"/></step>`:          "MAP_RECORD_UNUSED", // only its own
		`<step id="S" hz="R1"><text>Lift.</text></step>`:                  "MAP_VITAL_UNUSED",
		`<step id="S" hz="R1 3"><text>Lift.</text></step>`:                "MAP_VITAL_UNUSED",
		`<step id="S"><text>Lift.</text><hz> R 2 </hz></step>`:            "MAP_VITAL_UNUSED",
		`<step id="R1"><text>Lift.</text></step>`:                         "MAP_VITAL_UNUSED", // a record may name its step
		`<step id="S" risk="R9"><text>Lift.</text></step>`:                "MAP_RECORD_MISSING MAP_VITAL_UNUSED",
		`<step id="S" risk="3" hz="R1"><text>Lift.</text></step>`:         "MAP_RECORD_UNUSED MAP_RECORD_UNUSED",
		`<step id="S"/><op id="B"><step id="T"><hz is="R1"/></step></op>`: "MAP_VITAL_UNUSED",
	} {
		m := rules.of(t, "plan.xml", []byte(`<plan id="P"><op id="A" builds="R1">`+op+`</op>`+library+`</plan>`), nil)
		assert.Equal(t, want, strings.Join(m.codes(), " "), op)
	}
}
