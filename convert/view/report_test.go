package view

import (
	"strings"
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

func TestManyOfOneCodeAreFolded(t *testing.T) {
	var list diag.List
	for i := range openOfACode + 2 {
		list.Add(diag.FileCase.At(diag.Position{File: "a.xml", Line: i + 1}, "other case"))
	}
	list.Add(diag.FileMissing.At(diag.Position{File: "a.xml"}, "gone"))
	page, err := Report(&convert.Report{Plans: []convert.PlanReport{{Diagnostics: list}}, Totals: convert.ReportTotals{Plans: 1}})
	require.NoError(t, err)
	text := string(page)
	assert.Contains(t, text, "<summary>and 2 more FILE_CASE</summary>")
	assert.Less(t, strings.Index(text, "FILE_MISSING"), strings.Index(text, "FILE_CASE"), "errors first")
	assert.Equal(t, openOfACode+2, strings.Count(text, "other case"), "none is lost")
	assert.Contains(t, text, "1 plan:")
}

func TestReportShowsTheFirstOfVeryMany(t *testing.T) {
	const shown = openOfACode + foldedOfACode
	list := make(diag.List, shown+7)
	for i := range list {
		list[i] = diag.FileMissing.At(diag.Position{File: "a.xml", Line: i + 1}, "gone")
	}
	page, err := Report(&convert.Report{Plans: []convert.PlanReport{{Outcome: "held", Diagnostics: list}}})
	require.NoError(t, err)
	text := string(page)
	assert.Equal(t, shown, strings.Count(text, "gone"))
	assert.Contains(t, text, "<summary>and 1007 more FILE_MISSING</summary>")
	assert.Contains(t, text, "… and 7 more; run.json lists them")
}
