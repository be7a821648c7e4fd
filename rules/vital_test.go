package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What no one may miss is a warning at the place of the slip, however the rules look
// for it; what a plan just does not have is none.
func TestASlipThatLosesWhatIsVitalIsAWarning(t *testing.T) {
	good := `planfold: 1
joins:
  warnings: {match: //warning, key: "@code"}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //operation
    id: "@id"
    steps:
      each: step
      text: text
      hazards: {each: ., join: warnings, by: "@care", signalWord: "@word", hazard: .}
      characteristics: {each: check, upper: ["@most", {path: "@aim", pattern: '±(.*)'}], lower: "@least"}
`
	plan := `<plan id="X"><operation id="A"><step care="W"><text>Lift</text><check most="2"/><check aim="1 ±3"/><check least="1"/></step></operation><warning code="W" word="DANGER">Weight</warning></plan>`
	without := strings.NewReplacer(` care="W"`, "", `<warning code="W" word="DANGER">Weight</warning>`, "").Replace(plan)
	both := strings.ReplaceAll(plan, `<check least="1"/>`, "")
	for name, c := range map[string]struct{ from, to, plan, at string }{
		"good":                         {"", "", plan, ""},
		"by":                           {`"@care"`, `"@caer"`, plan, "12:46"},
		"key":                          {`"@code"`, `"@coed"`, plan, "3:37"},
		"match":                        {`//warning`, `//wraning`, plan, "3:21"},
		"other keys":                   {`key: "@code"`, `key: "@word"`, plan, "12:46"},
		"the first way":                {`"@most"`, `"@mots"`, plan, "13:46"},
		"text":                         {`text: text`, `text: txet`, plan, "11:13"},
		"a plan without warnings":      {"", "", without, ""},
		"the first way, lost no limit": {`["@most", {path`, `["@all", "@most", {path`, both, ""},
	} {
		t.Run(name, func(t *testing.T) {
			s := rulesOf(t, strings.Replace(good, c.from, c.to, 1))
			v := s.Survey()
			surveyed(t, v, "plan.xml", []byte(c.plan))
			var at []string
			for _, d := range v.Findings() {
				if d.Code == "RULE_READS_NO_VITAL" {
					at = append(at, strings.TrimPrefix(d.Position.String(), "rules.yaml:"))
				}
			}
			assert.Equal(t, c.at, strings.Join(at, " "))
		})
	}
}

// An error of the part says nothing of its quantity, unless it is one of that.
func TestAQuantityIsMissedWhateverElseIsWrong(t *testing.T) {
	rules := rulesOf(t, `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations: {match: //op, id: "@id", steps: {each: s, parts: {each: part, item: "@item", capture: "@capture", quantity: "@q", unit: "@unit"}}}
`)
	for part, want := range map[string]string{
		`q="2"`:                 "",
		`capture="xyz"`:         "MAP_VALUE_UNKNOWN MAP_QUANTITY_MISSING",
		`capture="xyz" q="2"`:   "MAP_VALUE_UNKNOWN",
		`capture="xyz" q="2.5"`: "MAP_VALUE_UNKNOWN MAP_UNIT_NONE",
		`q="two"`:               "MAP_QUANTITY_INVALID",
	} {
		m := rules.of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><s><part item="i" q="1"/><part item="i" `+part+`/></s></op></plan>`), nil)
		assert.ElementsMatch(t, strings.Fields(want), m.codes(), part)
	}
	m := rules.of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><s><part item="i" capture="xyz"/></s></op></plan>`), nil)
	assert.ElementsMatch(t, []string{"MAP_VALUE_UNKNOWN", "MAP_QUANTITY_NONE"}, m.codes())
}

// A limit that cannot be told is told as such, whatever else of the record is wrong.
func TestALimitThatIsRefusedIsTold(t *testing.T) {
	rules := rulesOf(t, `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations: {match: //op, id: "@id", steps: {each: s, characteristics: {each: c, nominal: "@n", upper: {path: "@t", plus: "@absent"}, unit: {value: MMT}}}}
`)
	m := rules.of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><s><c n="abc" t="0.1"/></s></op></plan>`), nil)
	if assert.Len(t, m.Faults, 2) {
		assert.Contains(t, m.Faults[0].Message, `the characteristic's nominal is "abc"`)
		assert.Contains(t, m.Faults[1].Message, `the characteristic's upper is "0.1 plus nothing"`)
	}
}
