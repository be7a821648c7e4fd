package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"planfold/convert/diag"
)

func TestManyOfOneCodeAreCountedAndOthersStillShown(t *testing.T) {
	var list diag.List
	for range mostOfACode + 5 {
		list.Add(diag.FileMissing.At(diag.Position{File: "plan.xml", Line: 7, Column: 1}, "gone"))
	}
	list.Add(diag.FileCase.At(diag.Position{File: "plan.xml", Line: 9, Column: 1}, "other case"))
	var b strings.Builder
	printing{w: &b, rest: "elsewhere"}.list(list)
	assert.Equal(t, mostOfACode+2, strings.Count(b.String(), "\n"))
	assert.Contains(t, b.String(), "… and 5 more FILE_MISSING; elsewhere")
	assert.Contains(t, b.String(), "plan.xml:9:1: warning FILE_CASE: other case")
}
