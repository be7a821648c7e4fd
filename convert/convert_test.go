package convert_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/gob"
	"image"
	"image/png"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/profile"
	"planfold/convert/step"
	"planfold/convert/store"
	"planfold/convert/sweep"
)

// mapper is the least mapper there is: a function that maps a plan's text.
type mapper func(text string) (*step.Plan, []*step.Operation)

func (m mapper) Read(open func() (io.ReadCloser, error), name string, emit func(*step.Plan, *step.Operation) error) (*step.Plan, diag.List, error) {
	f, err := open()
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(f)
	if err != nil {
		return nil, nil, err
	}
	plan, operations := m(string(text))
	for _, o := range operations {
		if err := emit(plan, o); err != nil {
			return nil, nil, err
		}
	}
	return plan, nil, nil
}

func (m mapper) AssignItems(*step.Plan, step.Facts) diag.List { return nil }

func (m mapper) Assign(*step.Plan, *step.Operation, step.Facts) diag.List { return nil }
func (m mapper) LeavesOut() bool                                          { return false }
func (m mapper) Unread() diag.List                                        { return nil }
func (m mapper) Digest() string                                           { return strings.Repeat("0", 64) }

func text(v string) step.Text {
	return step.Text{Value: v, Origin: step.Origin{Line: 3, Column: 5, Rule: "read"}}
}

// bracket is a plan of two steps: a plate, then a pin in it.
func bracket(id string) (*step.Plan, []*step.Operation) {
	at := func(x float64) *step.Placement { return &step.Placement{Matrix: mesh.Translation(mesh.Vec{x, 0, 0})} }
	item := func(id, file string) *step.Item {
		return &step.Item{ID: text(id), Geometry: []step.Geometry{{File: text(file)}}, Attachments: []step.Attachment{{File: text("sheet.pdf")}}}
	}
	plan := &step.Plan{
		ID: text(id), Revision: text("A"), RevisionOrder: "text", Frame: step.Frame{Up: 'Z', Units: map[string]float64{"stl": 0.001}},
		Items:     map[string]*step.Item{"PLATE": item("PLATE", "box.stl"), "PIN": item("PIN", "pin.stl")},
		Structure: map[string][]*step.Occurrence{"": {{ID: text("plate"), Item: text("PLATE"), Placement: at(0)}, {ID: text("pin"), Item: text("PIN"), Placement: at(0.02)}}},
		Position:  diag.Position{File: "plan.xml"},
	}
	part := func(item, occurrence string) step.Content {
		return step.Content{Parts: []step.Part{{Item: text(item), Quantity: text("1"), Occurrences: []step.Text{text(occurrence)}}}}
	}
	o := &step.Operation{ID: text("OP-10"), Steps: []*step.Step{
		{ID: text("S 1"), Content: part("PLATE", "plate")},
		{ID: text("S 2"), Content: part("PIN", "pin")},
	}}
	o.Steps[1].Attachments = []step.Attachment{{File: text("Photo.PNG")}, {File: text("gone.png")}}
	return plan, []*step.Operation{o}
}

// tiny is a PNG of one pixel.
var tiny = func() []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 1, 1))); err != nil {
		panic(err)
	}
	return b.Bytes()
}()

func box(size float64) []byte {
	var b bytes.Buffer
	b.WriteString("solid box\n")
	v := func(i int) []float64 {
		return []float64{size * float64(i&1), size * float64(i>>1&1), size * float64(i>>2&1)}
	}
	for _, t := range [][3]int{{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}} {
		b.WriteString("facet normal 0 0 0\nouter loop\n")
		for _, i := range t {
			p := v(i)
			b.WriteString("vertex " + number(p[0]) + " " + number(p[1]) + " " + number(p[2]) + "\n")
		}
		b.WriteString("endloop\nendfacet\n")
	}
	b.WriteString("endsolid box\n")
	return b.Bytes()
}

func number(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }

var input = fstest.MapFS{
	"box.stl":   {Data: box(10)},
	"pin.stl":   {Data: box(4)},
	"sheet.pdf": {Data: []byte("%PDF-1.4\n%%EOF\n")},
	"photo.png": {Data: tiny},
}

type trial struct {
	dir     string
	mapper  mapper
	plans   map[string]string // id → text; mapped in order of id
	workers int
	input   fs.FS

	attachmentBytes int64 // of the profile; 0: as it is
	pictureEdge     int   // of the profile; 0: so small that drawing a step costs nothing
	effective       string
}

func plain(text string) (*step.Plan, []*step.Operation) { return bracket(strings.TrimSpace(text)) }

func (tr trial) run(t *testing.T, ctx context.Context) *convert.Report {
	t.Helper()
	s, err := store.Open(tr.dir)
	require.NoError(t, err)
	defer func() { require.NoError(t, s.Close()) }()
	report, err := convert.Run(ctx, tr.options(t, s))
	require.NoError(t, err)
	return report
}

// options of a run over the trial's plans.
func (tr trial) options(t *testing.T, s *store.Store) convert.Options {
	t.Helper()
	cache, err := s.Cache("")
	require.NoError(t, err)
	prof, ok := profile.Named("handheld")
	require.True(t, ok)
	if tr.attachmentBytes > 0 {
		prof.AttachmentBytes = tr.attachmentBytes
	}
	if prof.PictureEdge = tr.pictureEdge; tr.pictureEdge == 0 {
		prof.PictureEdge = 64
	}
	if tr.mapper == nil {
		tr.mapper = plain
	}
	if tr.input == nil {
		tr.input = input
	}
	folder := &convert.Folder{Name: "input", FS: tr.input}
	o := convert.Options{
		Effective: tr.effective, Store: s, Cache: cache, Mapper: tr.mapper, Profile: prof, Tool: bundle.Tool{Name: "planfold", Version: "test"}, Workers: max(tr.workers, 1), Clock: time.Now,
	}
	for _, id := range []string{"P-1", "P-2", "P-3"} {
		if text, ok := tr.plans[id]; ok {
			o.Plans = append(o.Plans, convert.Source{
				Name: id + ".xml", Base: id + ".xml", Geometry: folder, Attachments: folder,
				Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil },
			})
		}
	}
	return o
}

func verify(t *testing.T, dir string) []string {
	t.Helper()
	problems, err := bundle.Verify(os.DirFS(dir))
	require.NoError(t, err)
	var out []string
	for _, p := range problems {
		out = append(out, p.String())
	}
	return out
}

// issued reads all that is under plans and blobs.
func issued(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		rel, _ := filepath.Rel(dir, path)
		if err == nil && !d.IsDir() && (strings.HasPrefix(rel, "plans") || strings.HasPrefix(rel, "blobs") || rel == "catalog.json") {
			b, e := os.ReadFile(path)
			out[rel], err = string(b), e
		}
		return err
	})
	require.NoError(t, err)
	return out
}

func codes(r *convert.Report, plan int) []string {
	var out []string
	for _, d := range r.Plans[plan].Diagnostics {
		out = append(out, d.Code)
	}
	return out
}

func TestRunIssuesAndVerifyAgrees(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	r := tr.run(t, t.Context())
	assert.Equal(t, []string{"FILE_CASE", "FILE_MISSING"}, codes(r, 0))
	assert.Equal(t, 3, r.Status, "a file was left out")
	assert.Equal(t, "converted", r.Plans[0].Outcome)
	assert.Empty(t, verify(t, tr.dir))
	doc := issued(t, tr.dir)[filepath.Join(r.Plans[0].Edition, "steps/S~202/step.json")]
	assert.Contains(t, doc, `"sequence": 2`)
	assert.Contains(t, doc, `"role": "context"`, "the plate is already there")
	assert.Contains(t, doc, `"code": "FILE_MISSING"`)
}

func TestSecondRunWritesNothing(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	first := tr.run(t, t.Context())
	before := times(t, tr.dir)
	second := tr.run(t, t.Context())
	assert.Equal(t, "unchanged", second.Plans[0].Outcome)
	assert.Equal(t, first.Plans[0].Edition, second.Plans[0].Edition)
	assert.Equal(t, before, times(t, tr.dir))
}

// Nothing that costs time is made again: what is made goes into the cache as a new file.
func TestSecondRunMakesNothing(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	tr.run(t, t.Context())
	before := cached(t, tr.dir)
	tr.run(t, t.Context())
	after := cached(t, tr.dir)
	require.Len(t, after, len(before))
	motions := 0
	for name, e := range after {
		assert.True(t, os.SameFile(before[name].info, e.info), name)
		var leaves []sweep.Leave
		if gob.NewDecoder(bytes.NewReader(e.data[sha256.Size:])).Decode(&leaves) == nil {
			motions++
		}
	}
	assert.Equal(t, 2, motions, "one a step")
}

func TestDamageToTheCacheHeals(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	tr.run(t, t.Context())
	before, want := cached(t, tr.dir), issued(t, tr.dir)
	last := before[slices.Sorted(maps.Keys(before))[len(before)-1]].data
	for name, damage := range map[string]func(b []byte) []byte{
		"cut short":  func(b []byte) []byte { return b[:len(b)-1] },
		"empty":      func([]byte) []byte { return nil },
		"altered":    func(b []byte) []byte { return append(b[:len(b)-1:len(b)-1], b[len(b)-1]^1) },
		"of another": func(b []byte) []byte { defer func() { last = b }(); return last },
	} {
		for _, path := range slices.Sorted(maps.Keys(before)) {
			require.NoError(t, os.WriteFile(path, damage(before[path].data), 0o666))
		}
		assert.Equal(t, "unchanged", tr.run(t, t.Context()).Plans[0].Outcome, name)
		assert.Equal(t, want, issued(t, tr.dir), name)
		for path, e := range cached(t, tr.dir) {
			assert.Equal(t, before[path].data, e.data, name)
		}
	}
}

type entry struct {
	info os.FileInfo
	data []byte
}

// cached is all that is in the cache, by path.
func cached(t *testing.T, dir string) map[string]entry {
	t.Helper()
	out := map[string]entry{}
	for _, name := range glob(t, dir, ".cache/*/*") {
		path := filepath.Join(dir, name)
		info, err := os.Stat(path)
		require.NoError(t, err)
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		out[path] = entry{info, data}
	}
	return out
}

func times(t *testing.T, dir string) map[string]time.Time {
	t.Helper()
	out := map[string]time.Time{}
	for name := range issued(t, dir) {
		info, err := os.Stat(filepath.Join(dir, name))
		require.NoError(t, err)
		out[name] = info.ModTime()
	}
	return out
}

func TestWorkersChangeNoByte(t *testing.T) {
	plans := map[string]string{"P-1": "P-1", "P-2": "P-2", "P-3": "P-3"}
	one := trial{dir: t.TempDir(), plans: plans, workers: 1}
	eight := trial{dir: t.TempDir(), plans: plans, workers: 8}
	one.run(t, t.Context())
	eight.run(t, t.Context())
	assert.Equal(t, issued(t, one.dir), issued(t, eight.dir))
}

func TestVerifyNamesEachFault(t *testing.T) {
	for name, c := range map[string]struct {
		harm func(t *testing.T, dir, edition string) string
		says string
	}{
		"flipped byte": {func(t *testing.T, dir, edition string) string {
			return rewrite(t, dir, glob(t, dir, "blobs/*/*.bin")[0], func(b []byte) []byte { b[len(b)/2] ^= 1; return b })
		}, "does not have the digest"},
		"missing blob": {func(t *testing.T, dir, edition string) string {
			blob := glob(t, dir, "blobs/*/*.pdf")[0]
			require.NoError(t, os.Remove(filepath.Join(dir, blob)))
			return blob
		}, "is missing"},
		"edited step": {func(t *testing.T, dir, edition string) string {
			return rewrite(t, dir, edition+"/steps/S~201/step.json", func(b []byte) []byte {
				return bytes.Replace(b, []byte(`"quantity": "1"`), []byte(`"quantity": "2"`), 1)
			})
		}, "does not have the digest"},
		"stray file": {func(t *testing.T, dir, edition string) string {
			require.NoError(t, os.WriteFile(filepath.Join(dir, edition, "steps/notes.txt"), []byte("x"), 0o666))
			return edition + "/steps/notes.txt"
		}, "is listed nowhere"},
		"unlisted blob": {func(t *testing.T, dir, edition string) string {
			require.NoError(t, os.WriteFile(filepath.Join(dir, filepath.Dir(glob(t, dir, "blobs/*/*.pdf")[0]), "x.bin"), []byte("x"), 0o666))
			return glob(t, dir, "blobs/*/x.bin")[0]
		}, "is listed nowhere"},
		"edition that the catalog does not have": {func(t *testing.T, dir, edition string) string {
			other := edition[:len(edition)-12] + "000000000000"
			require.NoError(t, os.CopyFS(filepath.Join(dir, other), os.DirFS(filepath.Join(dir, edition))))
			return other + "/bundle.json"
		}, "is listed nowhere"},
		"manifest that is neither there nor listed": {func(t *testing.T, dir, edition string) string {
			require.NoError(t, os.Remove(filepath.Join(dir, edition, "bundle.json")))
			sum(t, dir, edition, "bundle.json", nil)
			return edition + "/bundle.json"
		}, "is missing"},
		"totals that are not so": {func(t *testing.T, dir, edition string) string {
			name := rewrite(t, dir, edition+"/bundle.json", func(b []byte) []byte {
				return bytes.Replace(b, []byte(`"steps": 2`), []byte(`"steps": 3`), 1)
			})
			b, err := os.ReadFile(filepath.Join(dir, name))
			require.NoError(t, err)
			sum(t, dir, edition, "bundle.json", b)
			return name
		}, "gives totals"},
		"step that the manifest does not list": {func(t *testing.T, dir, edition string) string {
			name := rewrite(t, dir, edition+"/bundle.json", func(b []byte) []byte {
				return regexp.MustCompile(`(?s)("steps": \[\n) +\{.*?\},\n`).ReplaceAll(b, []byte("$1"))
			})
			b, err := os.ReadFile(filepath.Join(dir, name))
			require.NoError(t, err)
			sum(t, dir, edition, "bundle.json", b)
			return edition + "/steps/S~201/step.json"
		}, "belongs to a step that bundle.json does not list"},
		"held edition in force": {func(t *testing.T, dir, edition string) string {
			return rewrite(t, dir, "catalog.json", func(b []byte) []byte {
				return bytes.Replace(b, []byte(`"held": false`), []byte(`"held": true`), 1)
			})
		}, `plan "P-1" has a current edition`},
		"buffer that is not listed": {func(t *testing.T, dir, edition string) string {
			rewrite(t, dir, edition+"/SHA256SUMS", func(b []byte) []byte {
				return regexp.MustCompile(`(?m)^.*\.bin\n`).ReplaceAll(b, nil)
			})
			return edition + "/whole.gltf"
		}, "names buffer"},
	} {
		t.Run(name, func(t *testing.T) {
			tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
			r := tr.run(t, t.Context())
			file := c.harm(t, tr.dir, r.Plans[0].Edition)
			got := verify(t, tr.dir)
			require.NotEmpty(t, got)
			assert.Contains(t, strings.Join(got, "\n"), file+": "+c.says)
		})
	}
}

// sum gives a file of an edition another line in SHA256SUMS; nil takes it out.
func sum(t *testing.T, dir, edition, name string, data []byte) {
	t.Helper()
	rewrite(t, dir, edition+"/SHA256SUMS", func(b []byte) []byte {
		line := ""
		if data != nil {
			line = store.Digest(data) + "  " + edition + "/" + name + "\n"
		}
		return regexp.MustCompile(`(?m)^.*`+regexp.QuoteMeta("/"+name)+`\n`).ReplaceAll(b, []byte(line))
	})
}

func glob(t *testing.T, dir, pattern string) []string {
	t.Helper()
	names, err := fs.Glob(os.DirFS(dir), pattern)
	require.NoError(t, err)
	require.NotEmpty(t, names)
	return names
}

func rewrite(t *testing.T, dir, name string, change func([]byte) []byte) string {
	t.Helper()
	path := filepath.Join(dir, name)
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	after := change(bytes.Clone(b))
	require.NotEqual(t, b, after)
	require.NoError(t, os.WriteFile(path, after, 0o666))
	return name
}

func TestPanicLeavesTheOthersAlone(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "boom", "P-2": "P-2"}, mapper: func(text string) (*step.Plan, []*step.Operation) {
		if text == "boom" {
			panic("a broken invariant")
		}
		return bracket(text)
	}}
	r := tr.run(t, t.Context())
	assert.Equal(t, []string{"refused", "converted"}, []string{r.Plans[0].Outcome, r.Plans[1].Outcome})
	assert.Equal(t, []string{"RUN_PANIC"}, codes(r, 0))
	assert.Empty(t, verify(t, tr.dir))
}

func TestPlansWithOneIdentityAreBothRefused(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "SAME", "P-2": "same", "P-3": "P-3"}}
	r := tr.run(t, t.Context())
	assert.Equal(t, []string{"refused", "refused", "converted"}, []string{r.Plans[0].Outcome, r.Plans[1].Outcome, r.Plans[2].Outcome})
	assert.Equal(t, []string{"RUN_PLAN_TWICE"}, codes(r, 0))
}

func TestStoppedRunIsTakenUp(t *testing.T) {
	plans := map[string]string{"P-1": "P-1", "P-2": "P-2", "P-3": "P-3"}
	undisturbed := trial{dir: t.TempDir(), plans: plans}
	undisturbed.run(t, t.Context())

	ctx, stop := context.WithCancel(t.Context())
	calls := 0
	tr := trial{dir: t.TempDir(), plans: plans, mapper: func(text string) (*step.Plan, []*step.Operation) {
		if calls++; calls == 4 { // three scans, then the first assembly
			stop()
		}
		return bracket(text)
	}}
	r := tr.run(t, ctx)
	assert.False(t, r.Finished)
	assert.Equal(t, 1, r.Status)
	assert.Empty(t, verify(t, tr.dir))
	tr.mapper = plain
	assert.True(t, tr.run(t, t.Context()).Finished)
	assert.Equal(t, issued(t, undisturbed.dir), issued(t, tr.dir))
}

func TestEditionWithoutCatalogIsTakenUp(t *testing.T) {
	plans := map[string]string{"P-1": "P-1", "P-2": "P-2"}
	tr := trial{dir: t.TempDir(), plans: plans}
	tr.run(t, t.Context())
	want := issued(t, tr.dir)
	require.NoError(t, os.Remove(filepath.Join(tr.dir, "catalog.json")))
	tr.run(t, t.Context())
	assert.Equal(t, want, issued(t, tr.dir))
}

func TestHeldEditionNeverBecomesCurrent(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(text string) (*step.Plan, []*step.Operation) {
		plan, operations := bracket(text)
		operations[0].Steps[1].Predecessors = []step.Text{gone}
		return plan, operations
	}}
	r := tr.run(t, t.Context())
	assert.Equal(t, "held", r.Plans[0].Outcome)
	assert.Contains(t, codes(r, 0), "ORDER_MISSING")
	assert.NotContains(t, issued(t, tr.dir)["catalog.json"], `"current"`)
	assert.Contains(t, issued(t, tr.dir)[filepath.Join(r.Plans[0].Edition, "steps/S~202/step.json")], `"code": "ORDER_MISSING"`, "the floor is told too")
	assert.Equal(t, "ORDER_MISSING: step \"S 2\" waits for step \"S 9\", which the plan does not have\n", issued(t, tr.dir)[filepath.Join(r.Plans[0].Edition, "HELD")])
	tr.mapper = plain
	assert.Equal(t, "converted", tr.run(t, t.Context()).Plans[0].Outcome)
	assert.Contains(t, issued(t, tr.dir)["catalog.json"], `"current"`)
}

var gone = text("S 9")

func TestTreeKeepsItsProfile(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}}
	tr.run(t, t.Context())
	s, err := store.Open(tr.dir)
	require.NoError(t, err)
	defer s.Close()
	other, _ := profile.Named("headset")
	_, err = convert.Run(t.Context(), convert.Options{Store: s, Profile: other, Clock: time.Now})
	var tree *convert.TreeError
	assert.ErrorAs(t, err, &tree)
}

// A cache that knows a file, but not its levels as this profile wants them, is as good
// as none.
func TestCacheOfAnotherProfileIsNoHindrance(t *testing.T) {
	run := func(dir string, compression ...bool) map[string]string {
		s, err := store.Open(dir)
		require.NoError(t, err)
		defer s.Close()
		for _, c := range compression {
			o := trial{dir: dir, plans: map[string]string{"P-1": "P-1"}}.options(t, s)
			o.Profile.Compression = c
			_, err = convert.Run(t.Context(), o)
			require.NoError(t, err)
		}
		scenes := map[string]string{}
		for name, content := range issued(t, dir) {
			if strings.HasSuffix(name, ".gltf") && strings.Contains(content, "EXT_meshopt_compression") == compression[len(compression)-1] {
				scenes[name] = content
			}
		}
		return scenes
	}
	plain := run(t.TempDir(), false)
	require.NotEmpty(t, plain)
	assert.Equal(t, plain, run(t.TempDir(), true, false))
}

func TestDamagedGeometryIsNamedAndTheRestGoesOn(t *testing.T) {
	broken := fstest.MapFS{}
	for name, f := range input {
		broken[name] = f
	}
	broken["pin.stl"] = &fstest.MapFile{Data: []byte("no triangles in here")}
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, input: broken}
	r := tr.run(t, t.Context())
	assert.Contains(t, codes(r, 0), "ITEM_GEOMETRY_UNUSABLE")
	assert.Equal(t, "converted", r.Plans[0].Outcome)
	assert.Empty(t, verify(t, tr.dir))
}
