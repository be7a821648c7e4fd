package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/testdata/dialects"
)

// One wrong path loses all characteristics of a run, and no plan can say so.
func TestConvertNamesARuleThatReadsNothingVital(t *testing.T) {
	text, _ := dialects.Rules("neutral")
	wrong := strings.Replace(string(text), "each: p:characteristic", "each: p:charcteristic", 1)
	require.NotEqual(t, string(text), wrong)
	site := filepath.Join(t.TempDir(), "site.yaml")
	require.NoError(t, os.WriteFile(site, []byte(wrong), 0o666))
	e := convertTo(t, t.TempDir(), statusLeftOut, "-r", site, root+"/testdata/dialects/neutral/plan.xml")
	require.Len(t, e.report.Diagnostics, 1)
	d := e.report.Diagnostics[0]
	assert.Equal(t, "RULE_READS_NO_VITAL", d.Code)
	assert.Equal(t, site, d.Position.File)
	assert.Contains(t, d.Message, `did you mean "p:characteristic"?`)
	page, err := os.ReadFile(filepath.Join(e.out, "run.html"))
	require.NoError(t, err)
	assert.Contains(t, string(page), "did you mean")
}

// What no rule reads of a hazard is held, and HELD says what and where.
func TestAHazardThatNoRuleReadsIsHeld(t *testing.T) {
	text, err := os.ReadFile(root + "/testdata/dialects/neutral/plan.xml")
	require.NoError(t, err)
	plan := filepath.Join(t.TempDir(), "plan.xml")
	require.NoError(t, os.WriteFile(plan, []byte(strings.Replace(string(text), "</step>", `<alarm level="GEFAHR"><words>Netz trennen!</words></alarm></step>`, 1)), 0o666))
	e := convertTo(t, t.TempDir(), statusLeftOut, "-r", "neutral", plan)
	assert.Equal(t, "held", e.report.Plans[0].Outcome)
	reasons, err := os.ReadFile(filepath.Join(e.folder, "HELD"))
	require.NoError(t, err)
	step := e.steps[0].ID.Value
	assert.Equal(t, `MAP_HAZARD_UNREAD in step "`+step+`": "GEFAHR" beside "Netz trennen!" begins with a signal word, and no rule reads it`+"\n", string(reasons))
	require.NotEmpty(t, e.steps[0].NotCarried)
	assert.Equal(t, "MAP_HAZARD_UNREAD", e.steps[0].NotCarried[0].Code)
}
