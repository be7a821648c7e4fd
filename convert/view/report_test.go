package view

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/diag"
)

func TestReportNamesEachPlanAndEscapesIt(t *testing.T) {
	at := diag.Position{File: "in/a.xml", Line: 7, Column: 3}
	page, err := Report(&convert.Report{Finished: true, Plans: []convert.PlanReport{
		{File: "in/a.xml", ID: "<b>P</b>", Outcome: "refused", Diagnostics: diag.List{diag.FileMissing.At(at, "%q is not there", "x.png")}},
	}})
	require.NoError(t, err)
	text := string(page)
	assert.Contains(t, text, "&lt;b&gt;P&lt;/b&gt;")
	assert.NotContains(t, text, "<b>P</b>")
	assert.Contains(t, text, "in/a.xml:7:3")
	assert.Contains(t, text, "FILE_MISSING")
	assert.NotContains(t, text, "http://", "the page needs nothing from outside")
}
