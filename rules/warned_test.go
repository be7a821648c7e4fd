package rules

import (
	"strings"
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
		"hazard":            `<op id="A"><step id="S"><hazard><e from="SN5"/><t>WARNING: hot</t></hazard></step></op>`,
		"part of operation": `<op id="A"><part item="i"><e from="SN5"/><note>CAUTION: sharp</note></part><step id="S"/></op>`,
		"part":              `<op id="A"><step id="S"><part item="i"><e from="SN5"/><note>CAUTION: sharp</note></part></step></op>`,
		"step":              `<op id="A"><step id="S" from="SN5"><box>DANGER: sharp</box></step></op>`,
		"operation":         `<op id="A" from="SN5"><box>DANGER: sharp</box><step id="S"/></op>`,
		"operation around":  `<op id="A" from="SN5"><op id="B"><step id="S"><box>DANGER: sharp</box></step></op></op>`,
	} {
		t.Run(name, func(t *testing.T) {
			xml = `<item id="i"/>` + xml
			rules := rulesOf(t, strings.Replace(limited, "hazard: .", "hazard: t", 1))
			of := func(asked string) []string {
				return rules.For(asked).of(t, "plan.xml", []byte("<plan id='P'>"+xml+"</plan>"), nil).codes()
			}
			assert.NotContains(t, of("SN1"), "MAP_HAZARD_UNREAD")
			if name != "hazard" {
				assert.Contains(t, of("SN7"), "MAP_HAZARD_UNREAD", "where it holds")
			}
		})
	}
}

// unreadOf are what is said of texts that begin with a signal word.
func unreadOf(t *testing.T, inStep, hazards string) (out []string) {
	t.Helper()
	m := rulesOf(t, `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations: {match: //op, id: "@id", steps: {each: step, id: "@id", text: text, hazards: `+hazards+`}}
`).of(t, "plan.xml", []byte(`<plan id="P"><op id="A"><step id="S"><text>Lift.</text>`+inStep+`</step></op></plan>`), nil)
	for _, d := range m.Faults {
		out = append(out, d.Code+" "+d.Message)
	}
	return out
}

func TestASignalWordAlone(t *testing.T) {
	const unread = " begins with a signal word, and no rule reads it"
	const each = `{each: "box[@level]/msg", signalWord: {path: "@level", up: 1}, hazard: .}`
	for xml, want := range map[string]string{
		`<log class="notice">Saved</log>`:                                            "",
		`<log severity="warning"><p>Saved</p></log>`:                                 "",
		`<img alt="Caution"/><symbol>danger</symbol>`:                                "",
		`<Warn lvl="DANGER">Crushing by the press</Warn>`:                            `MAP_HAZARD_UNREAD "DANGER" beside "Crushing by the press"` + unread,
		`<case level="WARNING"><msg>Hot</msg></case>`:                                `MAP_HAZARD_UNREAD "WARNING" beside "Hot"` + unread,
		`<case><sign level="WARNING"/><msg>Hot</msg></case>`:                         `MAP_HAZARD_UNREAD "WARNING" beside "Hot"` + unread,
		`<case><sign level="WARNING"/></case>`:                                       `MAP_SIGNAL_WORD_ALONE "WARNING"` + unread,
		`<case><b>Caution</b>: hot</case>`:                                           `MAP_HAZARD_UNREAD "Caution: hot"` + unread,
		`<case level="GEFAHR: heiß"/>`:                                               `MAP_HAZARD_UNREAD "GEFAHR: heiß"` + unread,
		`<case><w>WARNUNG</w><en>WARNING</en><msg>The cover is hot.</msg></case>`:    `MAP_HAZARD_UNREAD "WARNUNG" beside "The cover is hot."` + unread,
		`<box level="WARNING"><msg>Hot</msg></box>`:                                  "",
		`<box level="WARNING: pinch"><msg>Hot</msg></box>`:                           "",
		`<box level="WARNING" more="DANGER: acid in the bath"><msg>Hot</msg></box>`:  `MAP_HAZARD_UNREAD "DANGER: acid in the bath"` + unread,
		`<box level="WARNING"><msg>Hot</msg></box><case level="WARNING">Cold</case>`: `MAP_HAZARD_UNREAD "WARNING" beside "Cold"` + unread,
	} {
		got := unreadOf(t, xml, each)
		if want == "" {
			assert.Empty(t, got, xml)
			continue
		}
		if assert.NotEmpty(t, got, xml) {
			assert.Equal(t, want, got[0], xml)
		}
	}
	assert.Empty(t, unreadOf(t, `<box level="WARNING"><msg>Hot</msg></box>`, `{each: "box[@level]/msg", signalWord: {value: WARNING}, hazard: .}`), "the hazard stands in the element of the attribute")
}
