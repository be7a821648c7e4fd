package main

import (
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/bundle"
	"planfold/testdata/open"
)

// Twenty dated revisions of the block-stage plan, open data, CERN OHL 1.2, see
// block-stage-revisions/SOURCE. What is true of each is asked of xmllint (libxml2).
func revisions(t *testing.T) (plans []convert.PlanReport, out string) {
	t.Helper()
	e := shared(t, "revisions", func(out string) edition {
		c := planfold(t, "convert", "-o", out, "-r", root+"/testdata/dialects/block-stage/rules.yaml", open.Path(t, "block-stage-revisions"))
		text, _ := c.CombinedOutput()
		require.Equal(t, statusLeftOut, c.ProcessState.ExitCode(), "%s", text)
		e := edition{out: out}
		readJSON(t, filepath.Join(out, "run.json"), &e.report)
		return e
	})
	require.Len(t, e.report.Plans, 20)
	return e.report.Plans, e.out
}

func TestBlockStageRevisions(t *testing.T) {
	plans, out := revisions(t)
	refused, dangling := map[string]int{}, map[string]int{}
	for _, p := range plans {
		name := filepath.Base(p.File)[:2]
		if line := malformedAt(t, p.File); line > 0 {
			require.Len(t, p.Diagnostics, 1, name)
			assert.Equal(t, "PLAN_MALFORMED", p.Diagnostics[0].Code, name)
			assert.Equal(t, line, p.Diagnostics[0].Position.Line, name)
			refused[name] = line
			continue
		}
		var m bundle.Manifest
		readJSON(t, filepath.Join(out, p.Edition, "bundle.json"), &m)
		assert.Equal(t, counted(t, p.File, "count(/*/brick/assembly_instruction/step)"), strconv.Itoa(len(m.Steps)), name)
		assert.Equal(t, counted(t, p.File, "count(/*/brick/assembly_instruction/step)"), strconv.Itoa(p.Steps), name)
		missing := 0
		for _, d := range p.Diagnostics {
			if d.Code == "MAP_REF_MISSING" {
				missing++
			}
		}
		const lost = "count(//implementation[@type='physical_part'][not(@id = /*/physical_part/@id)] | //implementation[@type='brick'][not(@id = /*/brick/@id)])"
		assert.Equal(t, counted(t, p.File, lost), strconv.Itoa(missing), name)
		if missing > 0 {
			dangling[name] = missing
		}
	}
	assert.Equal(t, map[string]int{"02": 8, "03": 8, "18": 482}, refused, "17 of 20 are well-formed")
	assert.Equal(t, map[string]int{"09": 3, "10": 3, "11": 3, "12": 4, "13": 4}, dangling)
}

// malformedAt is the line at which xmllint refuses a file, or 0.
func malformedAt(t *testing.T, file string) int {
	t.Helper()
	if _, err := exec.LookPath("xmllint"); err != nil {
		t.Skip("xmllint is not there")
	}
	text, err := exec.Command("xmllint", "--nonet", "--noout", file).CombinedOutput()
	if err == nil {
		return 0
	}
	first := regexp.MustCompile(`\.xml:(\d+): parser error`).FindSubmatch(text)
	require.NotNil(t, first, "%s", text)
	line, _ := strconv.Atoi(string(first[1]))
	return line
}

// Between two revisions every sub-assembly got another id (the one between them is
// not well-formed); what they say is compared all the same.
func TestBlockStageRevisionsWithOtherIDs(t *testing.T) {
	plans, out := revisions(t)
	ids := func(p convert.PlanReport) []string {
		return strings.Fields(counted(t, p.File, "/*/brick/@id"))
	}
	before, after := plans[16], plans[18]
	require.Contains(t, before.File, "/17_")
	require.Contains(t, after.File, "/19_")
	assert.Len(t, ids(before), 6)
	assert.Len(t, ids(after), 6)
	for _, id := range ids(before) {
		assert.NotContains(t, ids(after), id)
	}
	text, _ := planfold(t, "diff", filepath.Join(out, before.Edition), filepath.Join(out, after.Edition)).CombinedOutput()
	for i, id := range ids(before) {
		was, is := strings.Trim(id, `id="`), strings.Trim(ids(after)[i], `id="`)
		assert.Contains(t, string(text), "operation.id: "+was+" -> "+is)
	}
}
