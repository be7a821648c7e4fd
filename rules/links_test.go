package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const linking = `
planfold: 1
read:
  plan: {match: /plan, id: "@id", title: title}
  items: {match: //item, id: "@id", notes: note}
  operations:
    match: //op
    id: "@id"
    notes: note
    steps: {each: step, id: "@id", text: text, hazards: {each: hazard, hazard: .}, attachments: {each: doc, file: "@file"}}
`

func linked(t *testing.T, xml string) mapped {
	t.Helper()
	return rulesOf(t, linking).of(t, "plan.xml", []byte(`<plan id="P">`+xml+`</plan>`), nil)
}

func TestLinksToFilesOfThePlanAreNotLost(t *testing.T) {
	for address, file := range map[string]string{
		"files/a.pdf": "files/a.pdf", "../a%20b.pdf": "../a b.pdf", "file:a.pdf": "a.pdf", "file:///C:/a.pdf": "/C:/a.pdf", `C:\docs\a.pdf`: `C:\docs\a.pdf`,
		"file://server/share/a.pdf": "//server/share/a.pdf", "a.pdf#page=2": "a.pdf", `docs\a.pdf`: "docs/a.pdf",
	} {
		m := linked(t, `<op id="A"><step id="S"><text>See <a href="`+address+`">the <b>sheet</b></a>.</text></step></op>`)
		s := m.Operations[0].Steps[0]
		require.Len(t, s.Attachments, 1, address)
		assert.Equal(t, file, s.Attachments[0].File.Value)
		assert.Equal(t, "the sheet", s.Attachments[0].Title.First())
		assert.Equal(t, "read.operations.steps.text", s.Attachments[0].File.Origin.Rule)
		assert.Equal(t, "See the sheet.", s.Text.First())
		assert.NotContains(t, s.Text[0].Rich, "href")
	}
}

func TestLinksBelongToTheNearestThatHasAttachments(t *testing.T) {
	m := linked(t, `<title>of <a href="p.pdf">no one</a></title><item id="i"><note><img src="i.png"/>i</note></item>
	<op id="A"><note><a href="o.pdf">o</a></note><step id="S"><text><a href="s.pdf">s</a><img src="s.pdf"/><a href="d.pdf">d</a></text><hazard><a href="h.pdf">h</a></hazard><doc file="d.pdf"/></step><step id="T"/></op>`)
	op := m.Operations[0]
	require.Len(t, m.Plan.Items["i"].Attachments, 1)
	assert.Equal(t, "i.png", m.Plan.Items["i"].Attachments[0].File.Value)
	require.Len(t, op.Common.Attachments, 1)
	assert.Equal(t, "o.pdf", op.Common.Attachments[0].File.Value)
	var files []string
	for _, a := range op.Steps[0].Attachments {
		files = append(files, a.File.Value)
	}
	assert.Equal(t, []string{"d.pdf", "s.pdf", "h.pdf"}, files, "a file once")
	assert.Empty(t, op.Steps[1].Attachments)
}

func TestLinksThatADeviceCanFollowStayAndNothingHostilePasses(t *testing.T) {
	for address, stays := range map[string]bool{
		"https://example.org/a": true, "http://example.org": true, "mailto:shop@example.org": true,
		"javascript:alert(1)": false, "JaVaScRiPt:alert(1)": false, "java&#9;script:alert(1)": false, "data:text/html,x": false,
		"vbscript:x": false, "//example.org/a": false, "#here": false, "": false, "ftp://example.org/a": false, "x-app:run": false,
	} {
		s := linked(t, `<op id="A"><step id="S"><text>See <a href="`+address+`">this</a>.</text></step></op>`).Operations[0].Steps[0]
		assert.Empty(t, s.Attachments, address)
		assert.Equal(t, "See this.", s.Text.First())
		assert.Equal(t, stays, strings.Contains(s.Text[0].Rich, "href"), "%s: %s", address, s.Text[0].Rich)
	}
}
