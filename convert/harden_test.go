package convert_test

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/convert/store"
)

// A write that fails, wherever it fails, is the machine's error. It leaves no
// catalog that names what is not there, nothing half issued, and the next run puts
// it right. A file where a folder is needed, and a folder where a file is, fail for
// every user, root included.
func TestFailedWriteIssuesNothingHalf(t *testing.T) {
	plans := map[string]string{"P-1": "P-1", "P-2": "P-2"}
	undisturbed := trial{dir: t.TempDir(), plans: plans}
	undisturbed.run(t, t.Context())
	for name, block := range map[string]func(path string) error{
		"blobs":        blockWithFile,
		"plans":        blockWithFile,
		"plans/P-2":    blockWithFile,
		"catalog.json": func(path string) error { return os.MkdirAll(path+"/x", 0o777) },
		"run.json":     func(path string) error { return os.MkdirAll(path+"/x", 0o777) },
	} {
		t.Run(name, func(t *testing.T) {
			tr := trial{dir: t.TempDir(), plans: plans}
			path := filepath.Join(tr.dir, name)
			require.NoError(t, block(path))
			_, err := tr.try(t)
			require.Error(t, err)
			require.NoError(t, os.RemoveAll(path))
			for _, made := range editions(t, tr.dir) {
				assert.FileExists(t, filepath.Join(tr.dir, made, "SHA256SUMS"), "an edition appears whole")
			}
			assert.Empty(t, left(t, tr.dir), "nothing stays in the making")
			tr.run(t, t.Context())
			assert.Equal(t, issued(t, undisturbed.dir), issued(t, tr.dir))
			assert.Empty(t, verify(t, tr.dir))
		})
	}
}

func blockWithFile(path string) error {
	return errors.Join(os.MkdirAll(filepath.Dir(path), 0o777), os.WriteFile(path, nil, 0o666))
}

func editions(t *testing.T, dir string) []string {
	t.Helper()
	names, err := fs.Glob(os.DirFS(dir), "plans/*/*")
	require.NoError(t, err)
	return names
}

func left(t *testing.T, dir string) []string {
	t.Helper()
	names, err := fs.Glob(os.DirFS(dir), ".making/*")
	require.NoError(t, err)
	return names
}

// try is run for runs that may fail.
func (tr trial) try(t *testing.T) (*convert.Report, error) {
	t.Helper()
	s, err := store.Open(tr.dir)
	if err != nil {
		return nil, err
	}
	defer func() { require.NoError(t, s.Close()) }()
	return convert.Run(t.Context(), tr.options(t, s))
}

// A catalog that cannot be read is not an empty one: writing over it would lose
// every edition that it lists.
func TestUnreadableCatalogStopsTheRun(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	tr.run(t, t.Context())
	for name, text := range map[string]string{"cut short": "{", "of another shape": "{}"} {
		path := filepath.Join(tr.dir, "catalog.json")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
		_, err := tr.try(t)
		require.ErrorContains(t, err, "catalog.json", name)
		now, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, text, string(now), name)
	}
	_, err := bundle.ReadCatalog(unreadable{})
	require.ErrorIs(t, err, fs.ErrPermission)
}

type unreadable struct{}

func (unreadable) Open(string) (fs.File, error) { return nil, fs.ErrPermission }

// What was deleted from the tree by hand is put back as it was.
func TestLostFilesAreIssuedAgain(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	r := tr.run(t, t.Context())
	want := issued(t, tr.dir)
	require.NoError(t, os.RemoveAll(filepath.Join(tr.dir, r.Plans[0].Edition)))
	require.NoError(t, os.Remove(filepath.Join(tr.dir, glob(t, tr.dir, "blobs/*/*.pdf")[0])))
	require.NoError(t, os.Remove(filepath.Join(tr.dir, glob(t, tr.dir, "blobs/*/*.bin")[0])))
	tr.run(t, t.Context())
	assert.Empty(t, verify(t, tr.dir))
	got := issued(t, tr.dir)
	for name := range got { // why it came to be is told by the files that are there
		if strings.HasSuffix(name, "/bundle.json") || strings.HasSuffix(name, "/SHA256SUMS") {
			assert.Contains(t, want, name)
			delete(got, name)
			delete(want, name)
		}
	}
	assert.Equal(t, want, got)
}

// A copy of an edition's folder is a stray, not another edition.
func TestCopiedEditionIsNotTakenUp(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	r := tr.run(t, t.Context())
	before := issued(t, tr.dir)["catalog.json"]
	edition := filepath.Join(tr.dir, r.Plans[0].Edition)
	require.NoError(t, os.CopyFS(edition+".bak", os.DirFS(edition)))
	tr.run(t, t.Context())
	assert.Equal(t, before, issued(t, tr.dir)["catalog.json"])
	assert.NotEmpty(t, verify(t, tr.dir))
}

// An attachment is carried under the type of its content; one of a type that cannot
// be shown, or that leads out of the input folder, keeps its row without a document.
func TestAttachmentsAreJudgedByContentAndPlace(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "secret.txt")
	require.NoError(t, os.WriteFile(outside, []byte("not for the floor"), 0o666))
	dir := t.TempDir()
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, "link.txt")))
	require.NoError(t, os.Symlink(filepath.Dir(outside), filepath.Join(dir, "folder")))
	for name, f := range input {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), f.Data, 0o666))
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "drawing.pdf"), input["photo.png"].Data, 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "pru\u0308fplan.png"), input["photo.png"].Data, 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "drawing.png"), []byte("\x7fELF\x02\x01\x01\x00\x00\x00"), 0o666))
	root, err := os.OpenRoot(dir)
	require.NoError(t, err)
	defer root.Close()
	for ref, want := range map[string]string{
		"link.txt":                           "FILE_UNREADABLE",
		"folder/secret.txt":                  "FILE_MISSING",
		"../" + filepath.Base(dir) + "/x.md": "FILE_OUTSIDE",
		outside:                              "FILE_OUTSIDE",
		`C:\plans\x.pdf`:                     "FILE_OUTSIDE",
		"drawing.pdf":                        "FILE_TYPE",
		"drawing.png":                        "FILE_TYPE_UNKNOWN",
		"Pr\u00fcfplan.png":                  "FILE_CASE",
	} {
		t.Run(want+" "+filepath.Base(ref), func(t *testing.T) {
			tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, input: root.FS(), mapper: func(id string) (*step.Plan, []*step.Operation) {
				plan, operations := bracket(id)
				operations[0].Steps[1].Attachments = []step.Attachment{{File: text(ref)}}
				return plan, operations
			}}
			r := tr.run(t, t.Context())
			assert.Equal(t, []string{want}, codes(r, 0))
			assert.Empty(t, verify(t, tr.dir))
			for name, text := range issued(t, tr.dir) {
				assert.NotContains(t, text, "not for the floor", name)
				if ref != outside {
					assert.NotContains(t, text, filepath.Dir(outside), "%s names a folder of this machine", name)
					assert.NotContains(t, text, dir, "%s names a folder of this machine", name)
				}
			}
		})
	}
}

// A document that is missing is told in a step once, however often the step names it.
func TestMissingAttachmentIsToldOnce(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := bracket(id)
		operations[0].Steps[1].Attachments = []step.Attachment{{File: text("gone.png")}, {File: text("gone.png")}}
		return plan, operations
	}}
	tr.run(t, t.Context())
	told := 0
	for name, text := range issued(t, tr.dir) {
		if strings.HasSuffix(name, "/step.json") {
			told += strings.Count(text, `"gone.png\" is not there`) // within a JSON string
		}
	}
	assert.Equal(t, 1, told)
}

// An item without geometry is remarked on once in a plan, however many steps show it.
func TestItemWithoutGeometryIsRemarkedOnOnce(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := bracket(id)
		plan.Items["GLUE"] = &step.Item{ID: text("GLUE")}
		plan.Items["TAPE"] = &step.Item{ID: text("TAPE")}
		for _, s := range operations[0].Steps {
			s.Parts = append(s.Parts, step.Part{Item: text("GLUE"), Quantity: text("1")}, step.Part{Item: text("TAPE"), Quantity: text("1")})
		}
		return plan, operations
	}}
	told := 0
	for _, code := range codes(tr.run(t, t.Context()), 0) {
		if code == "SCENE_ITEM_WITHOUT_GEOMETRY" {
			told++
		}
	}
	assert.Equal(t, 2, told)
}

// What changes while the run reads it is not issued under a digest that it does
// not have, nor remembered under it.
func TestInputThatChangesDuringTheRunIsRefused(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	s, err := store.Open(tr.dir)
	require.NoError(t, err)
	defer s.Close()
	o := tr.options(t, s)
	opened := 0
	o.Plans[0].Open = func() (io.ReadCloser, error) {
		opened++ // measured, scanned, then assembled
		return io.NopCloser(strings.NewReader("P-1" + strings.Repeat(" ", max(0, opened-2)))), nil
	}
	r, err := convert.Run(t.Context(), o)
	require.NoError(t, err)
	assert.Equal(t, "refused", r.Plans[0].Outcome)
	assert.Contains(t, codes(r, 0), "FILE_UNREADABLE")
	assert.Empty(t, editions(t, tr.dir))
}

// changing gives other bytes at each opening of one file.
type changing struct {
	fstest.MapFS
	name   string
	opened int
}

func (c *changing) Open(name string) (fs.File, error) {
	if name == c.name {
		c.opened++
		return fstest.MapFS{name: {Data: box(float64(c.opened))}}.Open(name)
	}
	return c.MapFS.Open(name)
}

func TestGeometryThatChangesDuringTheRunIsNotRemembered(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, input: &changing{MapFS: input, name: "pin.stl"}}
	assert.Contains(t, codes(tr.run(t, t.Context()), 0), "FILE_UNREADABLE")
	assert.Empty(t, verify(t, tr.dir))
}

func TestPlanWithoutOperationsIsRefused(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
		plan, _ := bracket(id)
		return plan, nil
	}}
	r := tr.run(t, t.Context())
	assert.Equal(t, "refused", r.Plans[0].Outcome)
	assert.Contains(t, codes(r, 0), "RUN_PLAN_EMPTY")
}

// A run that was stopped has not refused what it did not come to.
func TestStoppedRunDoesNotCallTheRestRefused(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	r := tr.run(t, ctx)
	assert.Equal(t, "stopped", r.Plans[0].Outcome)
	assert.Zero(t, r.Totals.Refused)
}

// judging is a mapper whose rules hold plans, or do not.
type judging struct {
	mapper
	hold bool
}

func (m judging) Assign(p *step.Plan, _ *step.Operation, _ step.Facts) diag.List {
	if !m.hold {
		return nil
	}
	return diag.List{diag.MapPlanHeld.At(p.Position, "the plan is a draft")}
}

// A rule alone may hold what was released, and release what was held: the content
// is the same, so its being held must tell the editions apart.
func TestRuleThatHoldsOrReleasesMakesAnEdition(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	for _, c := range []struct {
		hold    bool
		outcome string
	}{{false, "converted"}, {true, "held"}, {false, "unchanged"}} {
		s, err := store.Open(tr.dir)
		require.NoError(t, err)
		o := tr.options(t, s)
		o.Mapper = judging{plain, c.hold}
		r, err := convert.Run(t.Context(), o)
		require.NoError(t, err)
		require.NoError(t, s.Close())
		assert.Equal(t, c.outcome, r.Plans[0].Outcome)
		b, err := os.ReadFile(filepath.Join(tr.dir, r.Plans[0].Edition, "bundle.json"))
		require.NoError(t, err)
		assert.Contains(t, string(b), `"held": `+strconv.FormatBool(c.hold))
		assert.Empty(t, verify(t, tr.dir))
	}
}
