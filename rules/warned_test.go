package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// codes are those of a mapping, in order.
func (m mapped) codes() (out []string) {
	for _, d := range m.Faults {
		out = append(out, d.Code)
	}
	return out
}

// What does not hold for what is asked for is left out by the rules: that no rule reads it
// would be wrong.
func TestAWarningInWhatIsNotEffectiveIsNoneThatNoRuleReads(t *testing.T) {
	for name, xml := range map[string]string{
		"hazard":              `<op id="A"><step id="S"><hazard><e from="SN5"/>WARNING: hot</hazard></step></op>`,
		"part of operation":   `<op id="A"><part item="i" from="SN5"><note>CAUTION: sharp</note></part><step id="S"/></op>`,
		"part":                `<op id="A"><step id="S"><part item="i" from="SN5"><note>CAUTION: sharp</note></part></step></op>`,
		"step":                `<op id="A"><step id="S" from="SN5"><box>DANGER: sharp</box></step></op>`,
		"operation":           `<op id="A" from="SN5"><box>DANGER: sharp</box><step id="S"/></op>`,
		"operation around":    `<op id="A" from="SN5"><op id="B"><step id="S"><box>DANGER: sharp</box></step></op></op>`,
	} {
		t.Run(name, func(t *testing.T) {
			xml = `<item id="i"/>` + xml
			assert.NotContains(t, effective(t, "SN1", xml).codes(), "MAP_HAZARD_UNREAD")
			if name != "hazard" {
				assert.Contains(t, effective(t, "SN7", xml).codes(), "MAP_HAZARD_UNREAD", "where it holds")
			}
		})
	}
}
