package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What no plan of a run has of what no one may miss is said once a rule, with the name
// that is most likely meant.
func TestRulesThatReadNothingVitalInARunAreNamed(t *testing.T) {
	const text = `
planfold: 1
joins: {lines: {match: //line, key: "@id"}}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //operation
    id: "@id"
    signOffs: &signed {each: okay, role: "@by"}
    hazards: {each: danger, hazard: .}
    steps:
      each: step
      id: "@id"
      hazards: {each: care, hazard: .}
      parts: {each: ., join: lines, by: "@line", item: "@item"}
      tightening: {each: turn, order: "@n", occurrence: "@o"}
      characteristics: {each: chk, upper: "@most", unit: {value: MMT}}
      signOffs: *signed
      tools: {each: tool, title: .}
`
	read := func(shared bool, plans ...string) []string {
		s, faults := Compile([]File{{Name: "rules.yaml", Data: []byte(text), Shared: shared}})
		require.Empty(t, faults)
		s = s.Counting()
		var told []string
		for _, p := range plans {
			s.of(t, "plan.xml", []byte(`<plan id="X"><operation id="A"><step id="S">`+p+`</step></operation></plan>`), nil)
		}
		for _, d := range s.Unread() {
			told = append(told, d.String())
		}
		return told
	}
	care, check := `<care>Hot.</care><call/>`, `<check most="2"/>`
	turn, signed := `rules.yaml:16:26: warning RULE_READS_NO_VITAL: nothing was found in any plan of this run for operations.steps.tightening`,
		`rules.yaml:9:30: warning RULE_READS_NO_VITAL: nothing was found in any plan of this run for operations.steps.signOffs`
	meant := `rules.yaml:17:31: warning RULE_READS_NO_VITAL: nothing was found in any plan of this run for operations.steps.characteristics; did you mean "check"?`
	assert.Equal(t, []string{signed, turn, meant}, read(false, care+check, check), "hazards are read of steps, tools may be missed, and the plan has no lines")
	assert.Equal(t, []string{meant}, read(true, care+check), "that a plan has not all of a dialect is normal")
	assert.Equal(t, []string{turn}, read(false, care, `<chk most="2"/>`, `<okay by="lead"/>`), "each is read of one of the plans")
	assert.Empty(t, read(false), "without plans nothing is said of them")
}
