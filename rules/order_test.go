package rules

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/diag"
	"planfold/convert/step"
)

func TestDecimalsCompareAsRationalNumbersDo(t *testing.T) {
	decimal := rapid.StringMatching(`[+-]?[0-9]{1,25}(\.[0-9]{1,25})?`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := decimal.Draw(t, "a"), decimal.Draw(t, "b")
		x, _ := new(big.Rat).SetString(a)
		y, _ := new(big.Rat).SetString(b)
		assert.Equal(t, x.Cmp(y), compareDecimals(a, b), "%s and %s", a, b)
	})
	for _, zero := range []string{"0", "-0", "0.0", "-0.000", "+0"} {
		assert.Zero(t, compareDecimals(zero, "0"))
	}
}

const ordered = `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op
    id: "@id"
    order: ["@n", num]
    parent: "@in"
    steps: {each: step, order: "@n", title: .}
`

// sequenced is the operations in the plan's order, with their steps.
func sequenced(m mapped) string {
	all := make([]*step.Operation, len(m.Operations))
	for _, o := range m.Operations {
		all[o.Sequence] = o
	}
	var out []string
	for _, o := range all {
		s := o.ID.Value
		for _, t := range o.Steps {
			s += " " + t.ID.Value + ":" + t.Title.First()
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

func TestSiblingsAreSortedByTheirNumbers(t *testing.T) {
	for name, c := range map[string]struct{ xml, want string }{
		"steps, by value":        {`<op id="A"><step n="10">c</step><step n="9.5">b</step><step n="009.05">a</step></op>`, "A A.1:a A.2:b A.3:c"},
		"equal ones as they are": {`<op id="A"><step n="2">b</step><step n="1">a</step><step n="2.0">c</step></op>`, "A A.1:a A.2:b A.3:c"},
		"none keeps its place":   {`<op id="A"><step n="3">b</step><step>-</step><step n="1">a</step></op>`, "A A.1:a A.2:-.A.3:b"},
		"operations":             {`<op id="B" n="20"/><op id="A" n="10"/>`, "A; B"},
		"nested ones":            {`<op id="B" n="2"><op id="B2" n="7"/><op id="B1" n="-1"/></op><op id="A" n="1"><op id="A1"/></op>`, "A; A1; B; B1; B2"},
		"nested by name":         {`<op id="X" n="2" in="A"/><op id="B" n="9"/><op id="A" n="3"/><op id="Y" n="1" in="A"/>`, "A; Y; X; B"},
		"told by their content":  {`<op id="B"><num>2</num></op><op id="A"><num>1</num></op>`, "A; B"},
		"in each other":          {`<op id="X" n="2" in="Y"/><op id="Y" n="1" in="X"/><op id="A" n="3"/>`, "A; X; Y"},
		"without any":            {`<op id="B"><op id="B1"/></op><op id="A"/>`, "B; B1; A"},
	} {
		t.Run(name, func(t *testing.T) {
			m := rulesOf(t, ordered).of(t, "plan.xml", []byte("<plan id='P'>"+c.xml+"</plan>"), nil)
			assert.Equal(t, strings.ReplaceAll(c.want, ".A.3", " A.3"), sequenced(m))
			assert.Empty(t, m.Faults)
		})
	}
}

func TestAnOrderThatIsNoneHoldsTheEditionAndMovesNothing(t *testing.T) {
	m := rulesOf(t, ordered).of(t, "plan.xml", []byte(`<plan id="P"><op id="B" n="2"/><op id="X" n="1e3"/><op id="A" n="1"><step n="b">y</step><step n="1">x</step></op></plan>`), nil)
	assert.Equal(t, "A A.1:y A.2:x; X; B", sequenced(m))
	require.Len(t, m.Faults, 2)
	for _, d := range m.Faults {
		assert.Equal(t, diag.MapOrderInvalid.Name, d.Code)
		assert.True(t, d.Holds)
	}
	assert.Equal(t, "A.1", m.Faults[1].Step)
	assert.Len(t, m.operation(t, "A").Steps[0].Diagnostics, 1)
	assert.Empty(t, m.operation(t, "A").Steps[1].Diagnostics)
}

func TestFiftyOperationsInEachOther(t *testing.T) {
	const depth = 50
	var xml strings.Builder
	for i := range depth {
		fmt.Fprintf(&xml, `<op id="L%d" n="%d"><step>s</step>`, i, depth-i)
	}
	m := rulesOf(t, ordered).of(t, "plan.xml", []byte("<plan id='P'>"+xml.String()+strings.Repeat("</op>", depth)+"</plan>"), nil)
	assert.Empty(t, m.Faults)
	require.Len(t, m.Operations, depth)
	for _, o := range m.Operations {
		i := o.Sequence
		assert.Equal(t, fmt.Sprintf("L%d", i), o.ID.Value)
		assert.Len(t, o.Steps, 1)
		if i > 0 {
			assert.Equal(t, fmt.Sprintf("L%d", i-1), o.Parent.Value)
		}
	}
}

func TestUnitsAreCodes(t *testing.T) {
	rules := `
planfold: 1
units: {Stk: C62, KG: KGM}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op
    id: "@id"
    steps: {each: s}
    parts: {each: part, unit: "@u"}
    characteristics: {each: limit, upper: {value: "1"}, unit: "@u"}
`
	m := rulesOf(t, rules).of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><part u="Stk"/><part u="KG"/><part u="MTR"/><part u="EA"/><part u="pair"/><part/><limit u="NU"/><s/></op></plan>`), nil)
	var got [][2]string
	for _, p := range m.Operations[0].Common.Parts {
		got = append(got, [2]string{p.Unit.Value, p.UnitSymbol})
	}
	assert.Equal(t, [][2]string{{"C62", ""}, {"KGM", "kg"}, {"MTR", "m"}, {"EA", ""}, {"pair", ""}, {"", ""}}, got)
	assert.Equal(t, "N·m", m.Operations[0].Common.Characteristics[0].UnitSymbol)
	require.Len(t, m.Faults, 1)
	assert.Equal(t, diag.MapUnitUnknown.Name, m.Faults[0].Code)
	assert.Contains(t, m.Faults[0].Message, `"pair"`)
}
