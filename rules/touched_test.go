package rules

import (
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/rules/selector"
)

const partlyRead = `<plan id="X" rev="B" xml:lang="en">
<routing approved="yes"><lane n="1"/><lane n="2"/></routing>
<part id="P" unit="KGM" weight="2"><remark/></part>
<op id="A" kind="real"><title>Fit <b class="x">it</b></title><note by="me">n</note>
 <step id="S" shown="no"><text>t</text><part ref="P"/><hint><deep d="1"/></hint></step>
 <op id="B" kind="real"><step id="T"/><step id="U" void="1"><text>u</text></step></op>
 <op id="C" kind="void"><title>c</title></op>
</op></plan>`

const partlyReading = `
planfold: 1
joins: {parts: {match: /plan/part, key: "@id"}}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op[@kind = 'real']
    id: "@id"
    title: title
    steps:
      each: step
      where: not(@void)
      id: "@id"
      text: [text, alternative]
      parts: {each: part, item: "@ref", unit: {join: parts, by: "@ref", path: "@unit"}}
`

func TestUnreadElementsAndAttributesAreCountedByPath(t *testing.T) {
	v := rulesOf(t, partlyReading).Survey()
	require.NoError(t, v.Look(opening([]byte(partlyRead)), "plan.xml"))
	looked := v.Coverage().Plans
	got := map[string]int{}
	for _, u := range looked.Unread {
		got[u.Path] = u.Times*10 + u.Within
	}
	assert.Equal(t, map[string]int{
		"/plan/@rev":            10,
		"/plan/routing":         15, // with @approved, and twice lane and @n
		"/plan/part/@weight":    10,
		"/plan/part/remark":     10,
		"/plan/op/note":         11,
		"/plan/op/step/@shown":  10,
		"/plan/op/step/hint":    12,
		"/plan/op/op/step/@id":  10, // of U, which is no step, as its @void says
		"/plan/op/op/step/text": 10,
		"/plan/op/op":           13, // C, which no pattern takes
	}, got)
	sum := looked.Did
	for _, u := range looked.Unread {
		sum += u.Times + u.Within
	}
	assert.Equal(t, looked.Total, sum)
	for i, u := range looked.Unread[1:] {
		before := looked.Unread[i]
		assert.GreaterOrEqual(t, before.Times+before.Within, u.Times+u.Within, "the worst comes first")
	}
}

// What joins lead to is looked at where it stands, and what is added is looked at too.
func TestJoinedRecordsAreLookedAt(t *testing.T) {
	v := rulesOf(t, `
planfold: 1
joins: {docs: {match: /plan/doc, key: "@id"}, limits: {match: /plan/limit, key: "@id"}, links: {match: /plan/link, key: "@id"}}
read:
  plan: {match: /plan, id: "@id"}
  operations:
    match: //op
    id: "@id"
    steps:
      each: step
      attachments: {each: see, join: docs, by: "@doc", file: file, title: {path: "@says", here: true}}
      characteristics:
        each: "@limit"
        id: .
        upper: {join: [links, limits], by: [., "@to"], path: "@max", plus: {path: "@slack", up: 1}}
`).Survey()
	xml := `<plan id="X"><doc id="D" by="me"><file>a.pdf</file></doc><link id="K" to="L"/><limit id="L" max="3" min="1"/>
<op id="A"><step limit="K" slack="1"><see doc="D" says="hi" n="1"/></step></op></plan>`
	require.NoError(t, v.Look(opening([]byte(xml)), "plan.xml"))
	var unread []string
	for _, u := range v.Coverage().Plans.Unread {
		unread = append(unread, u.Path)
	}
	assert.Equal(t, []string{"/plan/doc/@by", "/plan/limit/@min", "/plan/op/step/see/@n"}, unread)
}

// The standard library's reader counts the same elements and attributes.
func TestEveryElementAndAttributeIsCounted(t *testing.T) {
	for rules, file := range map[string]string{partlyReading: "", string(readFile(t, neutralRules)): dialects + "neutral/plan.xml"} {
		text := []byte(partlyRead)
		if file != "" {
			text = readFile(t, file)
		}
		v := rulesOf(t, rules).Survey()
		require.NoError(t, v.Look(opening(text), "plan.xml"))
		want := 0
		d := xml.NewDecoder(strings.NewReader(string(text)))
		for {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			require.NoError(t, err)
			e, start := token.(xml.StartElement)
			if !start {
				continue
			}
			want++
			for _, a := range e.Attr {
				if a.Name.Space != "xmlns" && a.Name.Local != "xmlns" && a.Name.Space != "http://www.w3.org/XML/1998/namespace" && !strings.Contains(a.Name.Space, "XMLSchema-instance") {
					want++
				}
			}
		}
		assert.Equal(t, want, v.Coverage().Plans.Total)
	}
}

func TestNeutralRulesLookAtAllOfTheNeutralPlan(t *testing.T) {
	v := compiled(t, neutralRules).Survey()
	require.NoError(t, v.Look(opening(readFile(t, dialects+"neutral/plan.xml")), "plan.xml"))
	assert.Empty(t, v.Coverage().Plans.Unread)
}

// What joins find, what they find it by, and what stands beside a reference.
func TestRulesLookAtWhatJoinsRead(t *testing.T) {
	for rules, xml := range map[string]string{tabled: tables, chained: `<p id="1"><i id="A" value="1" limit="L"/><l id="L" max="0.2"/><o id="2"><s><c>A</c></s></o></p>`} {
		v := rulesOf(t, rules).Survey()
		require.NoError(t, v.Look(opening([]byte(xml)), "plan.xml"))
		assert.Empty(t, v.Coverage().Plans.Unread)
	}
	v := rulesOf(t, tabled).Survey()
	require.NoError(t, v.Look(opening([]byte(strings.NewReplacer(` qty="2"/>`, ` qty="2" seq="1"/>`, `<note>`, `<by/><note>`).Replace(tables))), "plan.xml"))
	first := func(line, column int) diag.Position {
		return diag.Position{File: "plan.xml", Line: line, Column: column}
	}
	assert.Equal(t, []Unread{{"/plan/instruction/needs/@seq", 1, 0, first(4, 65)}, {"/plan/line/by", 1, 0, first(6, 25)}}, v.Coverage().Plans.Unread)
}

func TestPlanThatIsRefusedHasNoCoverage(t *testing.T) {
	v := rulesOf(t, partlyReading).Survey()
	require.NoError(t, v.Look(opening([]byte(partlyRead[:200])), "plan.xml"))
	assert.Zero(t, v.Coverage().Plans.Total)
	assert.Equal(t, 100, v.Coverage().Plans.Percent())
	assert.ErrorIs(t, v.Look(func() (io.ReadCloser, error) { return nil, os.ErrPermission }, "plan.xml"), os.ErrPermission)
}

func TestCoverageOfRules(t *testing.T) {
	v := rulesOf(t, small+`rules:
  - {name: parts, for: part, set: {role: focus}}
  - {name: nuts, for: part, when: item.class == "nut", set: {role: context}}
  - {name: screws, for: part, when: item.class == "screw", set: {role: context}}
  - {name: of geometry, for: part, when: facts.triangles.hasValue(), set: {role: context}}
`).Survey()
	surveyed(t, v, "plan.xml", []byte(smallPlan))
	c := v.Coverage()
	assert.Equal(t, [2]int{2, 3}, [2]int{c.Rules.Did, c.Rules.Total}, "what only geometry tells is not counted")
	var order []string
	for _, e := range c.Rules.Entries {
		order = append(order, e.Name)
	}
	assert.Equal(t, []string{"screws", "nuts", "parts"}, order, "the worst comes first")
	assert.Equal(t, 4, c.Rules.Entries[2].Times)
	assert.Equal(t, 66, c.Percent())
	for _, e := range c.Reading.Entries {
		assert.Positive(t, e.Times, e.Name)
	}
}

// What is listed can be pasted into the rules: with their prefixes, or by local names.
func TestUnreadPathsCanBePasted(t *testing.T) {
	v := rulesOf(t, "planfold: 1\nnamespaces: {f: urn:f}\nread:\n  plan: {match: /f:plan, id: '@id'}\n  operations: {match: //f:op, id: '@id'}\n").Survey()
	xml := `<plan id="X" xmlns="urn:f" xmlns:g="urn:g"><op id="A" g:n="1"><note/></op><op id="B"><note/><g:more/><plain xmlns=""/></op></plan>`
	require.NoError(t, v.Look(opening([]byte(xml)), "dir/plan.xml"))
	var got []string
	for _, u := range v.Coverage().Plans.Unread {
		got = append(got, fmt.Sprint(u.Times, " ", u.Path, " ", u.First))
		_, err := selector.Compile(strings.TrimPrefix(u.Path, "/f:plan/"), map[string]string{"f": "urn:f"})
		assert.NoError(t, err, u.Path)
	}
	assert.Equal(t, []string{
		"2 /f:plan/f:op/f:note dir/plan.xml:1:63", "1 /f:plan/f:op/*[local-name()='more'] dir/plan.xml:1:93",
		"1 /f:plan/f:op/@*[local-name()='n'] dir/plan.xml:1:55", "1 /f:plan/f:op/plain dir/plan.xml:1:102",
	}, got)
}

// The commonest slips are a prefix that is forgotten and letters that are.
func TestFindingsSayWhichNameIsMeant(t *testing.T) {
	for steps, want := range map[string]string{
		"{each: f:step, text: text}":                                            `warning no step of the plan given gets a value for text; did you mean "f:text"?`,
		"{each: f:step, text: f:txet}":                                          `warning no step of the plan given gets a value for text; did you mean "f:text"?`,
		"{each: f:stpe, text: f:text}":                                          `warning nothing was found in the plan given for operations.steps; did you mean "f:step"?`,
		"{each: f:step, text: f:text, signOffs: {each: f:singed, role: '@by'}}": `warning nothing was found in the plan given for operations.steps.signOffs; did you mean "f:signed"?`,
		"{each: f:step, text: f:text, view: '@veiw'}":                           `info nothing was found in the plan given for operations.steps.view (line 5) (did you mean "@view"?)`,
		"{each: f:step, text: f:text, signOffs: {each: f:other, role: '@by'}}":  `warning nothing was found in the plan given for operations.steps.signOffs`,
	} {
		v := rulesOf(t, "planfold: 1\nnamespaces: {f: urn:f}\nread:\n  plan: {match: /f:plan, id: '@id'}\n  operations: {match: //f:op, id: '@id', steps: "+steps+"}\n").Survey()
		xml := []byte(`<plan id="X" xmlns="urn:f"><op id="A"><step view="V"><text>t</text><signed by="me"/></step></op></plan>`)
		surveyed(t, v, "plan.xml", xml)
		require.NoError(t, v.Look(opening(xml), "plan.xml"))
		var got []string
		for _, d := range v.Findings() {
			got = append(got, d.Severity.String()+" "+d.Message)
		}
		assert.Contains(t, got, want)
	}
}

// Paths are told apart by the names that rules would write: what is of namespaces that
// they do not know is one path.
func TestNamesOfUnknownNamespacesAreOnePath(t *testing.T) {
	v := rulesOf(t, "planfold: 1\nread:\n  plan: {match: /plan, id: '@id'}\n  operations: {match: /plan/op, id: '@id'}\n").Survey()
	require.NoError(t, v.Look(opening([]byte("<plan id='X'>\n <note xmlns='urn:a' by='me'/>\n <note xmlns='urn:b'/></plan>")), "plan.xml"))
	looked := v.Coverage().Plans
	require.Len(t, looked.Unread, 1)
	assert.Equal(t, Unread{"/plan/*[local-name()='note']", 2, 1, diag.Position{File: "plan.xml", Line: 2, Column: 2}}, looked.Unread[0])
	assert.Equal(t, 5, looked.Total)
}
