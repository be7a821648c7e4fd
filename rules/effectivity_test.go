package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

const limited = `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  items: {match: //item, id: "@id"}
  occurrences: {match: //occ, id: "@id", item: "@item", effectivity: &e {each: e | self::*, from: "@from", to: "@to"}}
  views: {match: //view, id: "@id", visible: show}
  operations:
    match: //op
    id: "@id"
    effectivity: *e
    parts: {each: part, item: "@item", effectivity: *e}
    steps:
      each: step
      id: "@id"
      view: "@view"
      effectivity: *e
      parts: {each: part, item: "@item", occurrences: use/@ref, effectivity: *e}
      tightening: {each: t, order: "@n", occurrence: "@ref"}
      hazards: {each: hazard, signalWord: {value: WARNING}, hazard: ., effectivity: *e}
      tools: {each: tool, id: "@id", effectivity: *e}
      characteristics: {each: limit, id: "@id", upper: {value: "1"}, unit: {value: MMT}, effectivity: *e}
      signOffs: {each: sign, role: "@role", effectivity: *e}
      evidence: {each: photo, kind: {value: photo}, effectivity: *e}
      attachments: {each: doc, file: "@file", effectivity: *e}
`

func effective(t *testing.T, asked, xml string) mapped {
	t.Helper()
	return rulesOf(t, limited).For(asked).of(t, "plan.xml", []byte("<plan id='P'>"+xml+"</plan>"), nil)
}

func TestEffectivityLeavesOutWhatDoesNotHold(t *testing.T) {
	invalid, unasked := []string{"MAP_EFFECTIVITY_INVALID"}, []string{"MAP_EFFECTIVITY_UNASKED"}
	for name, c := range map[string]struct {
		limits, asked string
		kept          bool
		codes         []string // at the step
	}{
		"nothing asked":           {`from="SN10" to="SN20"`, "", true, nil},
		"in":                      {`from="SN10" to="SN20"`, "SN15", true, nil},
		"the first":               {`from="SN10" to="SN20"`, "SN10", true, nil},
		"the last":                {`from="SN10" to="SN20"`, "SN020", true, nil},
		"before":                  {`from="SN10" to="SN20"`, "SN9", false, nil},
		"after, by value":         {`from="SN10" to="SN20"`, "SN100", false, nil},
		"open at the end":         {`from="SN10"`, "SN100", true, nil},
		"open at the beginning":   {`to="SN10"`, "SN100", false, nil},
		"digits alone":            {`from="7" to="12"`, "10", true, nil},
		"beyond any machine word": {`from="99999999999999999999998"`, "99999999999999999999997", false, nil},
		"the one of that name":    {`from="PROTO" to="PROTO"`, "PROTO", true, nil},
		"date in":                 {`from="2024-01-31" to="2024-02-29"`, "2024-02-29", true, nil},
		"date after":              {`from="2024-01-31" to="2024-02-29"`, "2024-03-01", false, nil},
		"without limits":          {``, "SN1", true, nil},
		"another beginning":       {`from="SN10"`, "XA15", true, invalid},
		"no number":               {`from="SN10"`, "SNX", true, invalid},
		"no date":                 {`from="2024-02-30"`, "2024-03-01", true, invalid},
		"a time":                  {`from="2024-02-03T10:00:00"`, "2024-03-01", true, invalid},
		"ends before it begins":   {`from="SN20" to="SN10"`, "SN5", true, invalid},
		"unreadable, not asked":   {`from="SN20" to="XA10"`, "", true, invalid},
		"dates, a serial asked":   {`from="2024-01-31"`, "SN5", true, unasked},
		"both, a serial asked":    {`from="SN1" to="2024-02-29"`, "SN5", true, unasked},
		"both, and fails":         {`from="SN6" to="2024-02-29"`, "SN5", false, nil},
	} {
		t.Run(name, func(t *testing.T) {
			m := effective(t, c.asked, `<op id="A"><step id="S" `+c.limits+`/><step id="T"/></op>`)
			s := m.Operations[0].Steps[0]
			assert.Equal(t, c.kept, !s.Skip.Given(), "%s", s.Skip.Value)
			var codes []string
			for _, d := range m.Faults {
				codes = append(codes, d.Code)
				assert.Equal(t, "S", d.Step)
				assert.Equal(t, d.Code == diag.MapEffectivityInvalid.Name, d.Holds)
			}
			assert.Equal(t, c.codes, codes)
			assert.Len(t, s.Diagnostics, len(codes))
		})
	}
}

func TestSeveralEffectivitiesAreToChooseFrom(t *testing.T) {
	two := `<op id="A"><step id="S"><e from="SN1" to="SN3"/><e from="SN8"/></step></op>`
	for asked, kept := range map[string]bool{"SN2": true, "SN5": false, "SN9": true} {
		s := effective(t, asked, two).Operations[0].Steps[0]
		assert.Equal(t, kept, !s.Skip.Given(), asked)
	}
	s := effective(t, "SN5", two).Operations[0].Steps[0]
	assert.Equal(t, "not effective for SN5, but from SN1 to SN3, from SN8", s.Skip.Value)
	assert.Equal(t, "read.operations.steps.effectivity", s.Skip.Origin.Rule)
	both := effective(t, "SN2", `<op id="A"><step id="S"><e from="SN1" to="SN3"/><e from="2024-01-01"/></step></op>`)
	assert.False(t, both.Operations[0].Steps[0].Skip.Given())
	require.Len(t, both.Faults, 1)
	assert.Equal(t, diag.MapEffectivityUnasked.Name, both.Faults[0].Code)
}

func TestAnOperationThatDoesNotHoldTakesAllInsideWithIt(t *testing.T) {
	m := effective(t, "SN5", `<op id="A" from="SN6"><part item="i"/><step id="S"><part item="i"/></step><op id="B"><op id="C"><step id="T"/></op></op></op><op id="D"><step id="U"/></op>`)
	for id, kept := range map[string]bool{"A": false, "C": false, "D": true} {
		assert.Equal(t, kept, !m.operation(t, id).Steps[0].Skip.Given(), id)
	}
	assert.Empty(t, m.operation(t, "A").Common.Parts, "what it consumes is not there later")
	assert.Empty(t, m.operation(t, "A").Steps[0].Parts)
	alone := effective(t, "SN5", `<op id="A"><step id="S" from="SN6"><part item="i"/></step></op>`).Operations[0].Steps[0]
	assert.True(t, alone.Skip.Given())
	assert.Empty(t, alone.Parts, "nor what a step of its own consumes")
}

func TestEveryKindOfRecordIsLeftOut(t *testing.T) {
	inside := func(limit string) string {
		return `<part item="i"` + limit + `/><hazard` + limit + `>h</hazard><tool id="t"` + limit + `/><limit id="c"` + limit +
			`/><sign role="r"` + limit + `/><photo` + limit + `/><doc file="f"` + limit + `/>`
	}
	m := effective(t, "SN5", `<item id="i"/><op id="A"><step id="S">`+inside(` from="SN6"`)+inside(` to="SN6"`)+`</step></op>`)
	s := m.Operations[0].Steps[0]
	assert.Equal(t, []int{1, 1, 1, 1, 1, 1, 1}, []int{len(s.Parts), len(s.Hazards), len(s.Tools), len(s.Characteristics), len(s.SignOffs), len(s.Evidence), len(s.Attachments)})
	for name, kept := range map[string][]step.Effectivity{
		"part": s.Parts[0].Effectivity, "hazard": s.Hazards[0].Effectivity, "tool": s.Tools[0].Effectivity, "characteristic": s.Characteristics[0].Effectivity,
		"sign-off": s.SignOffs[0].Effectivity, "evidence": s.Evidence[0].Effectivity, "attachment": s.Attachments[0].Effectivity,
	} {
		require.Len(t, kept, 1, name)
		assert.Equal(t, "SN6", kept[0].To.Value, "%s shows for what it holds", name)
	}
	require.Len(t, m.Faults, 7, "nothing goes in silence")
	for _, d := range m.Faults {
		assert.Equal(t, diag.MapNotEffective.Name, d.Code)
		assert.False(t, d.Holds)
	}
}

func TestWhatRefersToAnOccurrenceThatIsLeftOutGoesWithIt(t *testing.T) {
	xml := `<item id="i"/><occ id="new" item="i" from="SN6"/><occ id="old" item="i" to="SN5"/><view id="V"><show>new</show><show>old</show></view>
	<op id="A"><step id="S" view="V"><part item="i"><use ref="new"/><use ref="old"/></part><t n="1" ref="new"/><t n="2" ref="old"/></step></op>`

	m := effective(t, "SN5", xml)
	require.Len(t, m.Plan.Structure[""], 1)
	s := m.Operations[0].Steps[0]
	require.Len(t, s.Parts[0].Occurrences, 1)
	assert.Equal(t, "old", s.Parts[0].Occurrences[0].Value)
	require.Len(t, s.Tightening, 1)
	assert.Equal(t, "old", s.Tightening[0].Occurrence.Value)
	require.Len(t, m.Plan.Views["V"].Visible, 1)
	assert.False(t, m.Faults.HasError())
	assert.Len(t, effective(t, "", xml).Plan.Structure[""], 2)
}
