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

func TestReportShowsTheFirstOfMany(t *testing.T) {
	list := make(diag.List, mostOfACode+7)
	for i := range list {
		list[i] = diag.FileMissing.At(diag.Position{File: "a.xml", Line: i + 1}, "gone")
	}
	list.Add(diag.RunPanic.At(diag.Position{}, "the last"))
	page, err := Report(&convert.Report{Plans: []convert.PlanReport{{Outcome: "held", Diagnostics: list}}})
	require.NoError(t, err)
	assert.Contains(t, string(page), "a.xml:1000")
	assert.NotContains(t, string(page), "a.xml:1001")
	assert.Contains(t, string(page), "the last")
	assert.Contains(t, string(page), "… and 7 more; run.json lists them")
}
