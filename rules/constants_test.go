package rules

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
)

const withConstants = small + `
parameters: {grade: "8.8", most: 4, share: 0.5, strict: true, tray: [B, N], part: 007}
lists: {none: [], bolts: [B, C], sizes: [1, 2.5]}
tables:
  torque: {file: torque.csv, key: item}
`

var torques = fstest.MapFS{"torque.csv": {Data: []byte("\ufeffitem;nominal;hazard.de\r\nB; 25 ;Quetschgefahr\r\n\"N\";\"4,5\";\r\n")}}

func beside(t *testing.T, texts ...string) (*Set, diag.List) {
	t.Helper()
	var files []File
	for _, text := range texts {
		files = append(files, File{Name: "lines/rules.yaml", Data: []byte(text), Beside: torques})
	}
	return Compile(files)
}

func TestConditionsSeeParametersListsAndTables(t *testing.T) {
	for condition, fires := range map[string]bool{
		`parameters.grade == "8.8"`:                                         true,
		`parameters.most == 4 && decimal(part.quantity) <= parameters.most`: true,
		`parameters.share < 0.6 && parameters.strict`:                       true,
		`item.id in parameters.tray && item.id in lists.bolts`:              true,
		`parameters.part == "007"`:                                          true,
		`lists.none.size() == 0 && !(item.id in lists.none)`:                true,
		`lists.sizes.exists(s, s > 2.4) && lists.sizes[0] == 1.0`:           true,
		`tables.torque[item.id].nominal == "25"`:                            true,
		`tables.torque[item.id].` + "`hazard.de`" + ` != ""`:                true,
		`tables.torque[?"X"].hasValue()`:                                    false,
		`tables.torque[?item.id].?nominal.orValue("") == "25"`:              true,
		`item.id in tables.torque && !("X" in tables.torque)`:               true,
		`tables.torque["N"].nominal == "4,5"`:                               true,
		`tables.torque.exists(k, k == "N") && tables.torque.size() == 2`:    true,
		`tables.torque["B"] == tables.torque[item.id]`:                      true,
	} {
		s, faults := beside(t, withConstants+"rules:\n  - name: r\n    for: part\n    when: |\n      part.quantity == \"4\" && ("+condition+")\n    set: {role: focus}\n")
		require.Empty(t, faults, condition)
		m := s.of(t, "plan.xml", []byte(smallPlan), nil)
		assert.Empty(t, m.Faults, condition)
		assert.Equal(t, fires, m.Operations[0].Steps[0].Parts[0].Role.Given(), condition)
	}
}

func TestAbsentRowFailsAndHolds(t *testing.T) {
	s, faults := beside(t, withConstants+"rules:\n  - {name: r, for: part, when: 'tables.torque[part.unit].nominal != \"\"', set: {role: focus}}\n")
	require.Empty(t, faults)
	m := s.of(t, "plan.xml", []byte(smallPlan), nil)
	require.NotEmpty(t, m.Faults)
	assert.Equal(t, diag.MapConditionFailed.Name, m.Faults[0].Code)
	assert.True(t, m.Faults[0].Holds)
	assert.Contains(t, m.Faults[0].Message, "no such key")
}

func TestLaterFilesOverrideConstantsByName(t *testing.T) {
	s, faults := beside(t,
		withConstants+"rules:\n  - {name: r, for: part, when: 'parameters.grade == \"10.9\" && parameters.most > 3.5 && lists.bolts == [\"N\"]', set: {role: focus}}\n",
		"planfold: 1\nparameters: {grade: \"10.9\", most: 4.5}\nlists: {bolts: [N]}\n")
	require.Empty(t, faults)
	assert.True(t, s.of(t, "plan.xml", []byte(smallPlan), nil).Operations[0].Steps[0].Parts[0].Role.Given())
}

func TestMisspeltConstantsAreFaultsAtTheirColumn(t *testing.T) {
	for condition, want := range map[string]string{
		"parameters.grad == '8.8'":          `lines/rules.yaml:18:63: error RULE_CONDITION_INVALID: parameters has no field "grad"; did you mean "grade"?`,
		"tables.torqe['B'].nominal == ''":   `tables has no field "torqe"; did you mean "torque"?`,
		"tables.torque['B'].nominl == ''":   `tables.torque has no field "nominl"; did you mean "nominal"?`,
		"tables.torque['BB'].nominal == ''": `the table "torque" has no row "BB"; did you mean "B"?`,
		"part.class == 'bolt'":              `part has no field "class"; did you mean "item.class"?`,
		"tables.torque['B'].nominal > 3":    "decimal(…) is a text as a number",
		"parameters.grade == 8.8":           `"==" takes no (string, double)`,
		"part.item == 'T-150'":              `"==" takes no (item, string); write item.id to compare by the id`,
	} {
		s, faults := beside(t, withConstants+"rules:\n  - {name: r, for: part, set: {role: focus}, when: \""+condition+"\"}\n")
		assert.Nil(t, s, condition)
		require.NotEmpty(t, faults, condition)
		assert.Contains(t, faults[0].String(), want, condition)
	}
}

func TestTablesCountInTheDigest(t *testing.T) {
	s, faults := beside(t, withConstants)
	require.Empty(t, faults)
	changed := fstest.MapFS{"torque.csv": {Data: append([]byte(nil), torques["torque.csv"].Data[3:]...)}}
	other, faults := Compile([]File{{Name: "rules.yaml", Data: []byte(withConstants), Beside: changed}})
	require.Empty(t, faults)
	assert.NotEqual(t, s.Digest(), other.Digest())
	again, _ := Compile([]File{{Name: "rules.yaml", Data: []byte(withConstants), Beside: torques}})
	assert.Equal(t, s.Digest(), again.Digest())
}

func TestRulesWithoutAFolderHaveNoTables(t *testing.T) {
	_, faults := Compile([]File{{Name: "rules.yaml", Data: []byte(withConstants)}})
	require.Len(t, faults, 1)
	assert.Equal(t, diag.RuleTableMissing.Name, faults[0].Code)
}
