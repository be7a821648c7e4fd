package convert_test

import (
	"encoding/binary"
	"hash/crc32"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// defect is the least change to a good plan and its files that raises a code.
type defect struct {
	harm  func(p *step.Plan, o *step.Operation, files fstest.MapFS)
	says  string
	holds bool
}

func attach(file string, data string) func(*step.Plan, *step.Operation, fstest.MapFS) {
	return func(_ *step.Plan, o *step.Operation, files fstest.MapFS) {
		o.Steps[0].Attachments = []step.Attachment{{File: text(file)}}
		if data != "" {
			files[file] = &fstest.MapFile{Data: []byte(data)}
		}
	}
}

var defects = map[string]defect{
	"RUN_PANIC":                {harm: func(*step.Plan, *step.Operation, fstest.MapFS) { panic("a broken invariant") }, says: "internal error: a broken invariant"},
	"RUN_PLAN_NAMELESS":        {harm: func(p *step.Plan, _ *step.Operation, _ fstest.MapFS) { p.ID = step.Text{} }, says: "the plan has no id"},
	"RUN_PLAN_EMPTY":           {harm: func(_ *step.Plan, o *step.Operation, _ fstest.MapFS) { o.Steps = nil }, says: "no step in plan \"P-1\" (operations: 1)"},
	"RUN_REVISION_FROM_DIGEST": {harm: func(p *step.Plan, _ *step.Operation, _ fstest.MapFS) { p.Revision = step.Text{} }, says: `is issued as "sha-`},
	"RUN_CHECK_FAILED":         {harm: func(_ *step.Plan, o *step.Operation, _ fstest.MapFS) { o.Steps[0].Parts[0].Quantity = text("two") }, says: "parts.0.quantity"},
	"ORDER_CYCLE": {harm: func(_ *step.Plan, o *step.Operation, _ fstest.MapFS) {
		o.Steps[0].Predecessors = []step.Text{text("S 2")}
	}, says: `step "S 1" of operation "OP-10" (3:5), step "S 2"`, holds: true},
	"ORDER_MISSING": {harm: func(_ *step.Plan, o *step.Operation, _ fstest.MapFS) {
		o.Predecessors = []step.Text{text("OP-5")}
	}, says: `operation "OP-10" waits for operation "OP-5"`, holds: true},
	"ORDER_OVERRULED": {harm: func(_ *step.Plan, o *step.Operation, _ fstest.MapFS) {
		o.Steps[0].Order, o.Steps[1].Order = text("10"), text("9.5")
		o.Steps[1].Predecessors = []step.Text{text("S 1")}
	}, says: `step "S 2" of operation "OP-10" has the order number 9.5 and waits for step "S 1" of operation "OP-10" (3:5), which has 10`},
	"ORDER_UNBUILT": {harm: func(_ *step.Plan, o *step.Operation, _ fstest.MapFS) {
		o.Steps[0].Parts = append(o.Steps[0].Parts, step.Part{Operation: o.ID})
	}, says: `consumes "OP-10" and does not wait for operation "OP-10"`},
	"ORDER_CONSUMED_TWICE": {harm: func(_ *step.Plan, o *step.Operation, _ fstest.MapFS) {
		for i := range 2 {
			o.Steps[i].Parts = []step.Part{{Item: text("PIN"), Quantity: text("1"), Occurrences: []step.Text{text("pin-9")}}}
		}
	}, says: `consumes occurrence "pin-9", which step "S 1" of operation "OP-10" (3:5) consumes too`},
	"STEP_SKIPPED": {harm: func(_ *step.Plan, o *step.Operation, _ fstest.MapFS) {
		o.Steps[0].Skip = step.Text{Value: "office only", Origin: step.Origin{Rule: "skips"}}
	}, says: `left out by rule "skips": office only`},
	"FILE_UNREADABLE":   {harm: attach("folder", ""), says: `"folder" is not a file`},
	"FILE_MISSING":      {harm: attach("none.png", ""), says: `"none.png" is not there`},
	"FILE_CASE":         {harm: attach("PHOTO.png", ""), says: `is there as "photo.png"`},
	"FILE_OUTSIDE":      {harm: attach("../secret.pdf", ""), says: `does not name a file below`},
	"FILE_TYPE":         {harm: attach("sheet.jpg", "%PDF-1.4\n"), says: `named ".jpg" but holds application/pdf`},
	"FILE_TYPE_UNKNOWN": {harm: attach("tool.exe", "MZ\x90\x00\x03\x00\x00\x00"), says: "cannot be shown"},
	"FILE_TOO_LARGE":    {harm: attach("long.txt", strings.Repeat("x", 2000)), says: "has 2000 bytes; the profile allows 1000"},
	"ITEM_UNUSED": {harm: func(p *step.Plan, _ *step.Operation, _ fstest.MapFS) {
		p.Items["SPARE"] = &step.Item{ID: text("SPARE")}
	}, says: `uses item "SPARE"`},
	"ITEM_GEOMETRY_UNUSABLE": {harm: func(_ *step.Plan, _ *step.Operation, files fstest.MapFS) {
		files["pin.stl"] = &fstest.MapFile{Data: []byte("no triangles in here")}
	}, says: `"pin.stl" could not be used`},
	"FILE_PICTURE_KEPT": {harm: func(p *step.Plan, _ *step.Operation, files fstest.MapFS) {
		files["sheet.pdf"] = &fstest.MapFile{Data: []byte("\x89PNG\r\n\x1a\n0000")}
	}, says: `"sheet.pdf" is not scaled to 64 pixels: decode the picture`},
	"FILE_PICTURE_HUGE": {harm: func(p *step.Plan, _ *step.Operation, files fstest.MapFS) {
		header := "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\xf0\x00\x00\x00\xf0\x00\x08\x06\x00\x00\x00"
		files["sheet.pdf"] = &fstest.MapFile{Data: binary.BigEndian.AppendUint32([]byte(header), crc32.ChecksumIEEE([]byte(header[12:])))}
	}, says: `"sheet.pdf" has 61440 × 61440 pixels`},
	"ITEM_SIZE_ODD": {harm: func(p *step.Plan, _ *step.Operation, _ fstest.MapFS) {
		p.Frame.Units["stl"] = 1e-6
	}, says: " mm large"},
	"ITEM_SIZE_ODD of a file in metres": {harm: func(p *step.Plan, _ *step.Operation, _ fstest.MapFS) {
		p.Frame.Units["stl"] = 1e3
	}, says: " mm large"},
	"ITEM_NODE_MISSING": {harm: func(p *step.Plan, _ *step.Operation, _ fstest.MapFS) {
		p.Items["PIN"].Geometry[0].Node = text("cap")
	}, says: `has no node "cap"`},
}

func TestEachCodeOfARunIsRaisedByItsDefect(t *testing.T) {
	for code, d := range defects {
		t.Run(code, func(t *testing.T) {
			files := fstest.MapFS{"folder/x": {}}
			for name, f := range input {
				files[name] = f
			}
			tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, input: files, attachmentBytes: 1000}
			tr.mapper = func(id string) (*step.Plan, []*step.Operation) {
				plan, operations := bracket(id)
				operations[0].Steps[1].Attachments = nil
				d.harm(plan, operations[0], files)
				return plan, operations
			}
			r := tr.run(t, t.Context())
			code, _, _ := strings.Cut(code, " of ")
			found := findCode(r.Plans[0].Diagnostics, code)
			require.NotNil(t, found, "raised: %v", codes(r, 0))
			assert.Contains(t, found.Message, d.says)
			assert.Equal(t, d.holds, r.Plans[0].Outcome == "held")
			assert.Empty(t, verify(t, tr.dir))
		})
	}
}

func findCode(list diag.List, code string) *diag.Diagnostic {
	for i := range list {
		if list[i].Code == code {
			return &list[i]
		}
	}
	return nil
}

func TestEveryRunCodeHasADefect(t *testing.T) {
	elsewhere := map[string]bool{"RUN_PLAN_TWICE": true, "RUN_REVISION_UNDECIDED": true} // these need two plans or two runs
	for _, c := range diag.Codes() {
		area, _, _ := strings.Cut(c.Name, "_")
		if strings.Contains("RUN ORDER FILE ITEM STEP", area) && !elsewhere[c.Name] {
			assert.Contains(t, defects, c.Name)
		}
	}
}

func TestUndecidedRevisionLeavesTheCurrentOne(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	revision := "A"
	tr.mapper = func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := bracket(id)
		plan.Revision, plan.RevisionOrder = text(revision), ""
		return plan, operations
	}
	first := tr.run(t, t.Context())
	revision = "B"
	second := tr.run(t, t.Context())
	assert.NotNil(t, findCode(second.Plans[0].Diagnostics, "RUN_REVISION_UNDECIDED"))
	assert.Equal(t, "converted", second.Plans[0].Outcome)
	assert.Contains(t, issued(t, tr.dir)["catalog.json"], `"current": "`+strings.TrimPrefix(first.Plans[0].Edition, "plans/P-1/"))
	assert.Equal(t, "revision changed", second.Plans[0].Cause)
}
