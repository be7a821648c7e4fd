package geometry

import (
	"bytes"
	"encoding/json"
	"flag"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
)

var update = flag.Bool("update", false, "rewrite the reports under testdata")

type report struct {
	Refused     bool      `json:"refused"`
	Diagnostics diag.List `json:"diagnostics"`
}

// large is a folder with one file that is too large to be read.
type large struct{ fs.FS }

func (l large) Stat(string) (fs.FileInfo, error) {
	info, err := fs.Stat(l.FS, "limit.stl")
	return largeInfo{info}, err
}

type largeInfo struct{ fs.FileInfo }

func (largeInfo) Size() int64 { return source.Limit + 1 }

// Each file of testdata stands beside the report of what is wrong with it.
func TestBadFiles(t *testing.T) {
	folder := os.DirFS("testdata")
	cases := map[string]fs.FS{
		"gone.stl":      folder,
		"../escape.stl": folder,
		"limit.stl":     large{fstest.MapFS{"limit.stl": {}}},
	}
	entries, err := os.ReadDir("testdata")
	require.NoError(t, err)
	for _, e := range entries {
		if ext := path.Ext(e.Name()); ext != ".json" && ext != ".mtl" && !e.IsDir() {
			cases[e.Name()] = folder
		}
	}
	raised := map[string]bool{}
	for name, files := range cases {
		options := Options{Unit: 0.001}
		if strings.HasPrefix(name, "unit-missing") {
			options.Unit = 0
		}
		scene, list, err := Decode(files, name, options)
		require.NoError(t, err, name)
		assert.Equal(t, list.HasError(), scene == nil, "%s: refused if and only if there is an error", name)
		for _, d := range list {
			raised[d.Code] = true
		}
		got, err := json.MarshalIndent(report{scene == nil, list}, "", "  ")
		require.NoError(t, err)
		golden := filepath.Join("testdata", path.Base(name)+".report.json")
		if *update {
			require.NoError(t, os.WriteFile(golden, append(got, '\n'), 0o666))
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err, "go test ./convert/geometry -update writes it")
		assert.Equal(t, string(bytes.TrimSpace(want)), string(got), name)
	}
	for _, c := range diag.Codes() {
		if strings.HasPrefix(c.Name, "GEOMETRY_") || strings.HasPrefix(c.Name, "GLTF_") {
			assert.True(t, raised[c.Name], "no file of testdata raises %s", c.Name)
		}
	}
}

func TestLinksOutOfTheFolder(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "secret.stl"), []byte("solid\nendsolid\n"), 0o666))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "in", "x.stl"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "in", "file"), nil, 0o666))
	if err := os.Symlink("../secret.stl", filepath.Join(dir, "in", "a.stl")); err != nil {
		t.Skipf("no symbolic links here: %v", err)
	}
	require.NoError(t, os.Symlink("..", filepath.Join(dir, "in", "up")))
	root, err := os.OpenRoot(filepath.Join(dir, "in"))
	require.NoError(t, err)
	defer root.Close()
	for name, code := range map[string]string{
		"a.stl": "GEOMETRY_PATH", "up/secret.stl": "GEOMETRY_PATH", "x.stl": "GEOMETRY_MISSING", "y.stl": "GEOMETRY_MISSING",
		"file/z.stl": "GEOMETRY_MISSING", "/a.stl": "GEOMETRY_PATH", "": "GEOMETRY_PATH", ".": "GEOMETRY_PATH",
		strings.Repeat("y", 256): "GEOMETRY_PATH", "a\x00.stl": "GEOMETRY_PATH", `..\secret.stl`: "GEOMETRY_MISSING",
	} {
		scene, list, err := Decode(root.FS(), name, Options{Unit: 1})
		require.NoError(t, err, name)
		assert.Nil(t, scene)
		if assert.Len(t, list, 1, name) {
			assert.Equal(t, code, list[0].Code, name)
		}
	}
}
