package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
)

// What a pattern leaves of a limit must be read by another field, or shown.
func TestNumbersThatPatternsLeaveAreReadOrReported(t *testing.T) {
	const nominal = `nominal: {path: limit, pattern: '[0-9.]+'}`
	for _, c := range []struct{ fields, text, unread string }{
		{nominal, "110 ± 10 °C", "10"},
		{nominal, "25", ""},
		{nominal, "25 N·m", ""},
		{nominal, "3 mm2", ""},
		{nominal, "Ø 25 H7", "7"},
		{nominal, "22.8-25.2 N·m", "25.2"},
		{nominal + `, upper: {path: limit, pattern: '[0-9.]+$'}`, "10 ± 10", ""},
		{nominal + `, upper: {path: limit, pattern: '[0-9.]+'}`, "10 ± 10", "10"},
		{nominal + `, upper: {path: limit, pattern: '[0-9.]+', plus: {path: limit, pattern: '± ([0-9.]+)'}}`, "110 ± 10 °C", ""},
		{nominal + `, title: {path: limit, pattern: '± .*'}`, "110 ± 10 °C", ""},
		{nominal + `, title: limit`, "110 ± 10 °C", ""},
		{`nominal: {path: limit, pattern: '[0-9.]+', rest: notes}`, "110 ± 10 °C", ""},
		{nominal + `, upper: {path: other, pattern: '[0-9.]+'}`, "10 ± 10 °C", "10"},
	} {
		m := rulesOf(t, `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations: {match: /plan/op, id: "@id", steps: {each: step, text: text, characteristics: {each: ., unit: {value: C62}, `+c.fields+`}}}
`).of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><step><text>Heat it.</text><limit>`+c.text+`</limit><other>10</other></step></op></plan>`), nil)
		if c.unread == "" {
			assert.Empty(t, m.Faults, "%+v", c)
			continue
		}
		require.Len(t, m.Faults, 1, "%+v", c)
		assert.Equal(t, diag.MapNumberUnread.Name, m.Faults[0].Code)
		assert.Contains(t, m.Faults[0].Message, "nothing reads \""+c.unread+"\"", "%+v", c)
		assert.True(t, m.Faults[0].Holds)
	}
}

// The step's own text shows it.
func TestNumbersThatTheInstructionShowsAreNotLost(t *testing.T) {
	m := rulesOf(t, `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations: {match: /plan/op, id: "@id", steps: {each: step, text: text, characteristics: {each: text/b, unit: {value: CEL}, nominal: {path: ., pattern: '^[0-9]+'}}}}
`).of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><step><text>Heat to <b>110 ± 10 °C</b>.</text></step></op></plan>`), nil)
	assert.Empty(t, m.Faults)
	assert.Equal(t, "110", m.operation(t, "A").Steps[0].Characteristics[0].Nominal.Value)
}

// How the reference says that a tolerance is read.
func TestToleranceIsReadAsLimits(t *testing.T) {
	m := rulesOf(t, `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: /plan/op
    id: "@id"
    steps:
      each: step
      characteristics:
        each: limit
        nominal: &nominal {path: ., pattern: '^([0-9.]+) ±'}
        lower: {path: "concat('-', substring-after(., '± '))", where: "contains(., '± ')", pattern: '^-[0-9.]+', plus: *nominal}
        upper: {path: ., pattern: '± ([0-9.]+)', plus: *nominal}
        unit: {path: ., pattern: '[0-9] ([^ ]+)$'}
`).of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><step><limit>24.0 ± 1.2 NU</limit><limit/></step></op></plan>`), nil)
	require.Len(t, m.Faults, 1)
	assert.Equal(t, diag.MapCharacteristicEmpty.Name, m.Faults[0].Code, "the second has no limit, and none that is no number")
	c := m.operation(t, "A").Steps[0].Characteristics[0]
	assert.Equal(t, []string{"24.0", "22.8", "25.2", "NU"}, []string{c.Nominal.Value, c.Lower.Value, c.Upper.Value, c.Unit.Value})
}

// Of one text whose numbers have a comma one message tells, with what to do.
func TestACommaThatIsNotDeclaredIsSaidOnce(t *testing.T) {
	m := rulesOf(t, `
planfold: 1
units: {Nm: NU}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: /plan/op
    id: "@id"
    steps:
      each: step
      characteristics:
        each: limit
        id: "@c"
        nominal: &nominal {path: ., pattern: '^([0-9.]+) ±'}
        lower: {path: "concat('-', substring-after(., '± '))", where: "contains(., '± ')", pattern: '^-[0-9.]+', plus: *nominal}
        upper: {path: ., pattern: '± ([0-9.]+)', plus: *nominal}
        unit: {path: ., pattern: '[0-9] ([^ ]+)$'}
`).of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><step><limit c="1">18,5 ± 1,5 Nm</limit><limit c="2">± 1.5 Nm</limit></step></op></plan>`), nil)
	require.Len(t, m.Faults, 2, "%v", m.Faults)
	assert.Contains(t, m.Faults[0].Message, `nominal stands in "18,5 ± 1,5 Nm", of which no pattern of the rules takes it; its numbers have a comma: set decimalComma`)
	assert.NotContains(t, m.Faults[1].Message, "comma")
	for _, c := range m.operation(t, "A").Steps[0].Characteristics {
		assert.False(t, c.Nominal.Given() || c.Lower.Given() || c.Upper.Given(), "nothing of it is read")
	}
}
