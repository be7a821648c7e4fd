package main

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the goldens")

// Whole runs: the issued tree of each input, as bytes. Read the diff after
// go test ./cmd/planfold -run Golden -update.
func TestGoldenRuns(t *testing.T) {
	inputs, err := filepath.Glob("testdata/golden/*/in")
	require.NoError(t, err)
	require.NotEmpty(t, inputs)
	for _, in := range inputs {
		name := filepath.Base(filepath.Dir(in))
		t.Run(name, func(t *testing.T) {
			out, want := t.TempDir(), filepath.Join(filepath.Dir(in), "want")
			args := []string{"-r", root + "/testdata/dialects/neutral/rules.yaml", "-r", in + "/site.yaml", in + "/plan.xml"}
			convertTo(t, out, statusLeftOut, args...)
			got := tree(t, out)
			delete(got, ".lock")
			if *update {
				rewriteTree(t, want, got)
			}
			expected := tree(t, want)
			for file := range expected {
				assert.Contains(t, got, file, "is no longer issued")
			}
			for file, text := range got {
				assert.Equal(t, expected[file], text, file)
			}
		})
	}
}

func rewriteTree(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	require.NoError(t, os.RemoveAll(dir))
	for name, text := range files {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	}
}
