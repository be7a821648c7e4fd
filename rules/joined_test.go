package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// A characteristic that stands in two records, each with the id of the next, and a
// limit that is a deviation.
const chained = `
planfold: 1
joins:
  items: {match: /p/i, key: "@id"}
  limits: {match: /p/l, key: "@id"}
read:
  plan: {match: /p, id: "@id"}
  operations:
    match: /p/o
    id: "@id"
    steps:
      each: s
      characteristics:
        each: c
        id: .
        nominal: {join: items, by: ., path: "@value"}
        unit: {value: MMT}
        upper: {join: [items, limits], by: [., "@limit"], path: "@max", plus: {join: items, by: ., path: "@value"}}
`

func characteristicsOf(t *testing.T, body string) ([]step.Characteristic, mapped) {
	m := rulesOf(t, chained).of(t, "p.xml", []byte(`<p id="1">`+body+`</p>`), nil)
	return m.operation(t, "2").Steps[0].Characteristics, m
}

func TestJoinsFollowEachOther(t *testing.T) {
	cs, m := characteristicsOf(t, `<i id="A" value="774.26989746093795" limit="L"/><l id="L" max="0.2"/>
<o id="2"><s><c>A</c></s></o>`)
	assert.Empty(t, m.Faults)
	assert.Equal(t, "774.46989746093795", cs[0].Upper.Value, "added to the last digit")
	assert.Equal(t, step.Origin{Line: 1, Column: 69, Rule: "read.operations.steps.characteristics.upper"}, cs[0].Upper.Origin)
}

func TestSumsAreExactOrRefused(t *testing.T) {
	for _, c := range []struct{ value, max, upper, code string }{
		{"10", "-0.05", "9.95", ""},
		{"0.1", "0.2", "0.3", ""},
		{"-1.50", "1.5", "0.00", ""},
		{"2", "+1", "3", ""},
		{"two", "1", "", diag.MapCharacteristicInvalid.Name},
		{"", "1", "", diag.MapCharacteristicInvalid.Name},
	} {
		cs, m := characteristicsOf(t, `<i id="A" value="`+c.value+`" limit="L"/><l id="L" max="`+c.max+`"/><o id="2"><s><c>A</c></s></o>`)
		assert.Equal(t, c.upper, cs[0].Upper.Value, "%+v", c)
		if c.code != "" {
			assert.Equal(t, c.code, m.Faults[len(m.Faults)-1].Code)
			assert.True(t, m.Faults[len(m.Faults)-1].Holds, "a limit that cannot be told holds the edition")
		}
	}
}

// A part without a join takes both from one element.
func TestSumsOfOneElement(t *testing.T) {
	for _, c := range []struct{ keys, attributes, comma, sum string }{
		{"", `q="2" r="5"`, "false", "7"},
		{"", `q="2,5" r="0,25"`, "true", "2.75"},
		{"", `r="5"`, "false", ""},
		{", default: '0'", `r="5"`, "false", "5"},
		{", default: '0.5'", `r="1,25"`, "true", "1.75"},
		{", default: '0'", ``, "false", ""},
	} {
		s := rulesOf(t, `planfold: 1
decimalComma: `+c.comma+`
read:
  plan: {match: /p, id: "@id"}
  operations:
    match: /p/o
    id: "@id"
    steps: {each: s, parts: {each: x, item: "@id", quantity: {path: "@q", plus: "@r"`+c.keys+`}}}
`)
		xml := `<p id="1"><o id="2"><s><x id="A" ` + c.attributes + `/></s></o></p>`
		assert.Equal(t, c.sum, s.of(t, "p.xml", []byte(xml), nil).operation(t, "2").Steps[0].Parts[0].Quantity.Value, "%+v", c)
	}
}

// What a pattern does not take of a number is no less lost behind a join.
func TestNumbersBehindJoinsAreNotLost(t *testing.T) {
	s := rulesOf(t, `planfold: 1
joins: {limits: {match: /p/l, key: "@id"}}
read:
  plan: {match: /p, id: "@id"}
  operations:
    match: /p/o
    id: "@id"
    steps: {each: s, characteristics: {each: c, id: ., upper: {join: limits, by: ., path: "@max", pattern: '^([0-9]+) Nm$'}}}
`)
	for max, want := range map[string]string{"25 Nm": "25", "25 lbf": "", "": ""} {
		m := s.of(t, "p.xml", []byte(`<p id="1"><l id="A" max="`+max+`"/><o id="2"><s><c>A</c></s></o></p>`), nil)
		assert.Equal(t, want, m.operation(t, "2").Steps[0].Characteristics[0].Upper.Value)
		assert.Equal(t, max == "25 lbf", m.Faults.HasError(), m.Faults)
	}
}

// What a join before another finds is a reference: one that dangles is said, and is
// no limit that is not there.
func TestReferencesBetweenJoinsMustLead(t *testing.T) {
	cs, m := characteristicsOf(t, `<i id="A" value="1" limit="M"/><o id="2"><s><c>A</c></s></o>`)
	assert.Empty(t, cs[0].Upper)
	assert.Len(t, m.Faults, 1)
	assert.Equal(t, `p.xml:1:31: error MAP_CHARACTERISTIC_INVALID: the characteristic's upper is "M" by the join "limits", which finds no such record`, m.Faults[0].String())
	assert.True(t, m.Faults[0].Holds)
	_, m = characteristicsOf(t, `<o id="2"><s><c>B</c></s></o>`)
	assert.True(t, m.Faults[0].Holds)
}

func TestEachJoinNeedsItsPath(t *testing.T) {
	_, faults := Compile([]File{{Name: "r.yaml", Data: []byte(`planfold: 1
joins: {a: {match: /p/i, key: "@id"}}
read:
  plan: {match: /p, id: {join: [a, a], by: ["@x"], path: "@id"}}
  operations: {match: /p/o, title: {path: t, plus: u}}
`)}})
	var said []string
	for _, f := range faults {
		said = append(said, f.String())
	}
	assert.Equal(t, []string{
		`r.yaml:4:44: error RULE_VALUE_INVALID: read.plan.id.by has 1 paths for 2 joins; each join is followed by its own`,
		`r.yaml:5:52: error RULE_VALUE_INVALID: read.operations.title cannot have "plus": it is no decimal`,
	}, said)
}
