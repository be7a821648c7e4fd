package compare

import (
	"bytes"
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/store"
	"planfold/schema"
)

const latch = "../../cmd/planfold/testdata/golden/latch/want"

// issuedLatch is the golden edition, in memory.
func issuedLatch(t testing.TB) (tree fstest.MapFS, folder string) {
	t.Helper()
	tree = fstest.MapFS{}
	require.NoError(t, fs.WalkDir(os.DirFS(latch), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(latch + "/" + name)
		tree[name] = &fstest.MapFile{Data: data}
		return err
	}))
	for name := range tree {
		if strings.HasSuffix(name, "/bundle.json") {
			folder = strings.TrimSuffix(name, "bundle.json")
		}
	}
	require.NotEmpty(t, folder)
	return tree, folder
}

func compareLatch(t *testing.T, tree fstest.MapFS) (all []*Result) {
	t.Helper()
	require.NoError(t, Issues(Issued{os.DirFS(latch), "old"}, Issued{tree, "new"}, func(r *Result) error {
		all = append(all, r)
		return nil
	}))
	return all
}

// reissue changes a file, and its digest with it.
func reissue(t *testing.T, tree fstest.MapFS, folder, name string, change func(string) string) {
	t.Helper()
	require.NotNil(t, tree[folder+name], name)
	was := tree[folder+name].Data
	is := []byte(change(string(was)))
	tree[folder+name] = &fstest.MapFile{Data: is}
	sums := bytes.Replace(tree[folder+"SHA256SUMS"].Data, []byte(store.Digest(was)), []byte(store.Digest(is)), 1)
	tree[folder+"SHA256SUMS"] = &fstest.MapFile{Data: sums}
}

// Each kind of damage is named with its file; what can be compared is.
func TestDamageIsNamed(t *testing.T) {
	step := "steps/S-1/step.json"
	for name, c := range map[string]struct {
		file   string
		damage func(text string) string // nil: the file goes
		says   string
	}{
		"no manifest":       {"bundle.json", nil, "bundle.json: error DIFF_DAMAGED: is missing"},
		"manifest cut off":  {"bundle.json", func(s string) string { return s[:100] }, "bundle.json: error DIFF_DAMAGED: unexpected EOF"},
		"no digests":        {"SHA256SUMS", nil, "SHA256SUMS: error DIFF_DAMAGED: is missing"},
		"no step":           {step, nil, step + ": error DIFF_DAMAGED: is missing"},
		"two documents":     {step, func(s string) string { return s + "{}" }, step + ": error DIFF_DAMAGED: more than one JSON value"},
		"a member too many": {step, func(s string) string { return `{"torque": 1,` + s[1:] }, step + `: error DIFF_DAMAGED: json: unknown field "torque"`},
		"no operation":      {step, func(string) string { return `{}` }, step + ": error DIFF_DAMAGED: has no operation"},
		"no origins":        {"origin.json", nil, "origin.json: error DIFF_DAMAGED: is missing"},
		"origins cut off":   {"origin.json", func(s string) string { return s[:200] }, "origin.json: error DIFF_DAMAGED: unexpected EOF"},
		"a false origin":    {"origin.json", func(s string) string { return strings.Replace(s, `:0"`, `:x"`, 1) }, "is not line:column:rule"},
	} {
		t.Run(name, func(t *testing.T) {
			tree, folder := issuedLatch(t)
			if c.file == "origin.json" { // it is read for steps that differ
				reissue(t, tree, folder, step, func(s string) string { return s + "\n" })
			}
			if c.damage == nil {
				delete(tree, folder+c.file)
			} else {
				reissue(t, tree, folder, c.file, c.damage)
			}
			all := compareLatch(t, tree)
			require.Len(t, all, 1)
			require.NotEmpty(t, all[0].Diagnostics)
			assert.Contains(t, all[0].Diagnostics[0].String(), c.says)
			assert.Equal(t, diag.DiffDamaged.Name, all[0].Diagnostics[0].Code)
			assert.False(t, all[0].Same())
		})
	}
}

// A file that is not what SHA256SUMS lists is named, whichever it is, though the digests
// are the same on both sides; the other files are compared.
func TestWhatWasTamperedWithIsNamed(t *testing.T) {
	for _, name := range []string{"bundle.json", "origin.json", "steps/S-1/step.json", "steps/S-1/scene.gltf", "whole.gltf"} {
		tree, folder := issuedLatch(t)
		require.NotNil(t, tree[folder+name], name)
		tree[folder+name] = &fstest.MapFile{Data: append(bytes.Clone(tree[folder+name].Data), '\n')}
		all := compareLatch(t, tree)
		require.Len(t, all, 1)
		require.Len(t, all[0].Diagnostics, 1, name)
		assert.Contains(t, all[0].Diagnostics[0].String(), name+": error DIFF_DAMAGED: is not as it was issued; planfold verify names all that differs")
		assert.Empty(t, all[0].Changes, name)
	}
}

// What is read without being listed was not issued so.
func TestWhatIsNotListedIsNotCompared(t *testing.T) {
	tree, folder := issuedLatch(t)
	sums := tree[folder+"SHA256SUMS"].Data
	line := regexp.MustCompile(`(?m)^.*/S-1/step\.json\n`).Find(sums)
	require.NotEmpty(t, line)
	tree[folder+"SHA256SUMS"] = &fstest.MapFile{Data: bytes.Replace(sums, line, nil, 1)}
	all := compareLatch(t, tree)
	require.Len(t, all, 1)
	require.Len(t, all[0].Diagnostics, 1)
	assert.Contains(t, all[0].Diagnostics[0].String(), "steps/S-1/step.json: error DIFF_DAMAGED")
}

func TestPlanOnOneSide(t *testing.T) {
	tree := fstest.MapFS{"catalog.json": {Data: []byte(`{"format": "planfold/catalog/1", "profile": "handheld", "plans": []}`)}}
	all := compareLatch(t, tree)
	require.Len(t, all, 1)
	require.Len(t, all[0].Changes, 1)
	assert.Equal(t, Removed, all[0].Changes[0].Kind)
	assert.Equal(t, "plan", all[0].Changes[0].What)
	assert.Equal(t, Safety, all[0].Changes[0].Class)
}

// What is written for machines fits its schema, with all that a mapping can differ in.
func TestJSONFitsItsSchema(t *testing.T) {
	check := func(byRule bool, results ...*Result) []byte {
		var b bytes.Buffer
		j := NewJSON(&b, byRule)
		for _, r := range results {
			require.NoError(t, j.Add(r))
		}
		require.NoError(t, j.Close())
		assert.Empty(t, schema.Check("diff", b.Bytes()))
		return b.Bytes()
	}
	check(false)
	check(false, &Result{Plan: "P", Diagnostics: diag.List{diag.DiffDamaged.At(diag.Position{File: "x"}, "is missing")}})
	r := Mappings(demoMapped(t), emptied(t))
	assert.Greater(t, len(r.Changes), 30, "each step is gone")
	first := check(true, r)
	assert.Equal(t, first, check(true, r), "no order of a map shows")
}
