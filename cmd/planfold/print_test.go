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

func TestErrorsComeFirst(t *testing.T) {
	at := diag.Position{File: "plan.xml"}
	var b strings.Builder
	printing{w: &b}.list(diag.List{diag.FileCase.At(at, "other case"), diag.FileMissing.At(at, "gone")})
	assert.Less(t, strings.Index(b.String(), "FILE_MISSING"), strings.Index(b.String(), "FILE_CASE"))
}
