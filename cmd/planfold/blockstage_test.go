package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/bundle"
	"planfold/testdata/open"
)

// The block-stage plan is third-party open data: an open-hardware flexure stage,
// CERN OHL 1.2, see block-stage/SOURCE. What is asserted of it was counted in the
// file with grep.

// edition is an issued edition, read back.
type edition struct {
	out      string
	report   convert.Report
	folder   string
	manifest bundle.Manifest
	steps    []bundle.Step // in sequence
}

func convertTo(t testing.TB, out string, status int, args ...string) edition {
	t.Helper()
	c := planfold(t, append([]string{"convert", "-o", out}, args...)...)
	text, _ := c.CombinedOutput()
	require.Equal(t, status, c.ProcessState.ExitCode(), "%s", text)
	e := edition{out: out}
	readJSON(t, filepath.Join(out, "run.json"), &e.report)
	e.folder = filepath.Join(out, e.report.Plans[0].Edition)
	readJSON(t, filepath.Join(e.folder, "bundle.json"), &e.manifest)
	for _, s := range e.manifest.Steps {
		var doc bundle.Step
		readJSON(t, filepath.Join(e.folder, "steps", s.Folder, "step.json"), &doc)
		e.steps = append(e.steps, doc)
	}
	return e
}

func readJSON(t testing.TB, path string, into any) {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(b, into))
}

// blockStage converts the plan once for all tests that only read the result.
func blockStage(t *testing.T) edition {
	t.Helper()
	return shared(t, "block-stage", func(out string) edition { return convertBlockStage(t, out) })
}

func convertBlockStage(t *testing.T, out string, args ...string) edition {
	t.Helper()
	docs := open.Path(t, "block-stage/docs")
	plans, err := filepath.Glob(docs + "/*.xml")
	require.NoError(t, err)
	require.Len(t, plans, 1)
	return convertTo(t, out, statusLeftOut, append(args, "-r", root+"/testdata/dialects/block-stage/rules.yaml", plans[0])...)
}

// lines lists the plan's lines at which a code was raised.
func (e edition) lines(code string) []int {
	var out []int
	for _, d := range e.report.Plans[0].Diagnostics {
		if d.Code == code {
			out = append(out, d.Position.Line)
		}
	}
	slices.Sort(out)
	return out
}

func (e edition) of(operation string) []bundle.Step {
	var out []bundle.Step
	for _, s := range e.steps {
		if s.Operation.ID.Value == operation {
			out = append(out, s)
		}
	}
	return out
}

const (
	product  = "993466590"
	optics   = "107837596"
	actuator = "909106319"
)

func TestBlockStageSteps(t *testing.T) {
	e := blockStage(t)
	assert.Len(t, e.steps, 37)
	assert.Equal(t, []int{11, 11, 15}, []int{len(e.of(product)), len(e.of(optics)), len(e.of(actuator))})
	for i, s := range e.steps {
		assert.Equal(t, i+1, s.Sequence)
		assert.Equal(t, "order", s.IDFrom, "no step of the plan has an id")
	}
	assert.Equal(t, product, e.steps[0].Operation.ID.Value, "the product comes first in the document")
	assert.Equal(t, "digest", e.manifest.RevisionFrom)
	assert.Regexp(t, "^sha-[0-9a-f]{12}$", e.manifest.Revision)
	assert.Equal(t, "3", e.of(actuator)[0].Operation.Quantity.Value, "the actuator is used three times and written once")
	assert.Equal(t, "1", e.of(optics)[0].Operation.Quantity.Value)
}

func TestBlockStageParts(t *testing.T) {
	e := blockStage(t)
	rows := slices.Concat(e.of(product)[0].Parts, e.of(optics)[0].Parts, e.of(actuator)[0].Parts)
	assert.Len(t, rows, 22, "21 implementations, and one function that has none")
	var bySubassembly, integers, without, totals int
	for _, p := range rows {
		assert.Equal(t, "operation", p.PartsOf)
		if p.Operation.Given() {
			bySubassembly++
		}
		if regexp.MustCompile(`^\d+$`).MatchString(p.Quantity.Value) {
			integers++
		}
		if !p.Item.Given() && !p.Operation.Given() {
			without++
			assert.Equal(t, "Tools for removing the lens", p.Purpose.First())
		}
		if p.ItemTotal.Given() {
			totals++
		}
	}
	assert.Equal(t, []int{2, 22, 1}, []int{bySubassembly, integers, without})
	feet := rows[2]
	assert.Equal(t, "Microscope Feet", feet.Purpose.First())
	assert.Equal(t, "4", feet.Quantity.Value, "\"4 in total\"")
	require.NotEmpty(t, feet.Notes)
	assert.Contains(t, feet.Notes[0].First(), "in total", "what is left of the text is kept as a note")
	assert.Equal(t, "367417014", feet.Item.Value, "plainly not feet, and carried over as the plan has it")
	screw := e.of(actuator)[0].Parts[0]
	assert.Equal(t, []string{"1", "3"}, []string{screw.Quantity.Value, screw.ItemTotal.Value}, "the function's quantity, and the item's own total")
	purposes := []string{}
	for _, p := range e.of(actuator)[0].Parts {
		purposes = append(purposes, p.Purpose.First())
	}
	assert.Subset(t, purposes, []string{"Lead screw", "Nut for lead screw", "Washer"}, "three functions of one id")
}

func TestBlockStageFiles(t *testing.T) {
	e := blockStage(t)
	assert.Len(t, e.lines("FILE_MISSING"), 27, "references to 25 names")
	assert.Equal(t, []int{395, 435, 587, 660}, e.lines("FILE_CASE"))
	assert.Len(t, e.lines("MAP_FILE_REPEATED"), 9, "nine steps name a picture twice")
	assert.Len(t, e.lines("ITEM_UNUSED"), 5)
	assert.Equal(t, 20, e.manifest.Totals.Items)
	references := 0
	names := map[string]bool{}
	for line := range strings.Lines(string(readPlan(t))) {
		for _, m := range regexp.MustCompile(`<file url="([^"]*)"`).FindAllStringSubmatch(line, -1) {
			references++
			names[m[1]] = true
		}
	}
	assert.Equal(t, []int{141, 129}, []int{references, len(names)})
	missing := map[string]bool{}
	for _, d := range e.report.Plans[0].Diagnostics {
		if d.Code == "FILE_MISSING" {
			missing[d.Message] = true
		}
	}
	assert.Len(t, missing, 25)
	plates := 0
	for _, a := range e.of(product)[0].Attachments {
		if a.Type == "model/stl" {
			plates++
			assert.Contains(t, []int{396, 397, 398}, e.line(t, a.File.Value))
		}
	}
	assert.Equal(t, 3, plates, "binary STL named by a step: print plates, carried as documents")
	for _, s := range e.steps {
		seen := map[string]bool{}
		for _, a := range s.Attachments {
			assert.False(t, seen[a.File.Value], "step %s shows %s once", s.ID.Value, a.File.Value)
			seen[a.File.Value] = true
		}
	}
}

func readPlan(t *testing.T) []byte {
	t.Helper()
	plans, _ := filepath.Glob(open.Path(t, "block-stage/docs") + "/*.xml")
	b, err := os.ReadFile(plans[0])
	require.NoError(t, err)
	return b
}

// line finds the line of the plan on which a text stands first.
func (e edition) line(t *testing.T, text string) int {
	t.Helper()
	n := 0
	for line := range strings.Lines(string(readPlan(t))) {
		if n++; strings.Contains(line, text) {
			return n
		}
	}
	return 0
}

func TestBlockStageGeometry(t *testing.T) {
	e := blockStage(t)
	files := 0
	for _, g := range e.report.Geometry {
		if g.Triangles > 0 {
			files++
		}
	}
	assert.Equal(t, []int{13, 16900}, []int{files, e.report.Totals.SourceTriangles})
	for _, s := range e.steps {
		require.NotNil(t, s.Scene)
		assert.Equal(t, "tray", s.Scene.Layout, "the plan places nothing")
		sum := 0
		for _, n := range s.Scene.Nodes {
			sum += n.Triangles
		}
		assert.Equal(t, s.Scene.Triangles, sum)
	}
	hazards := 0
	for _, s := range e.steps {
		for _, h := range s.Hazards {
			hazards++
			assert.Equal(t, "WARNING", h.SignalWord.First())
			assert.Contains(t, h.Hazard.First(), "static sensitive")
		}
	}
	assert.Equal(t, 1, hazards)
}

func TestBlockStageFitsASmallProfile(t *testing.T) {
	small := filepath.Join(t.TempDir(), "small.json")
	require.NoError(t, os.WriteFile(small, []byte(`{"name": "small", "stepTriangles": 3000, "wholeTriangles": 3000, "pictureEdge": 1024, "attachmentBytes": 100000000, "compression": false}`), 0o666))
	e := convertBlockStage(t, t.TempDir(), "--profile", small)
	for _, s := range e.steps {
		assert.LessOrEqual(t, s.Scene.Triangles, 3000)
		assert.Greater(t, s.Scene.Triangles, 0)
	}
}
