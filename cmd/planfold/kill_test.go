package main

import (
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/cmd/planfold/demo"
	"planfold/convert/bundle"
)

// planfold is the program, run as a child: the test binary under its name.
func planfold(t testing.TB, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	return &exec.Cmd{Path: self, Args: append([]string{"planfold"}, args...)}
}

func writeDemo(t testing.TB, plans int) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, demo.Write(plans, func(name string, data []byte) error {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			return err
		}
		return os.WriteFile(path, data, 0o666)
	}))
	return dir
}

// tree reads what is issued; what tells of the run itself is left out.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		rel, _ := filepath.Rel(dir, path)
		if err != nil || d.IsDir() || strings.HasPrefix(rel, ".cache") || strings.HasPrefix(rel, "run.") {
			return err
		}
		b, err := os.ReadFile(path)
		out[rel] = string(b)
		return err
	}))
	return out
}

// A run killed at any instant leaves nothing that the next run does not put right.
// PLANFOLD_KILLS sets how many instants are tried (make kill: 50).
func TestKilledRunIsPutRight(t *testing.T) {
	kills := 3
	if n, err := strconv.Atoi(os.Getenv("PLANFOLD_KILLS")); err == nil {
		kills = n
	}
	in := writeDemo(t, 0)
	cache := filepath.Join(t.TempDir(), "cache") // filled, so that most of a run is writing
	require.NoError(t, os.CopyFS(cache, os.DirFS(filepath.Join(demoEdition(t).out, ".cache"))))
	convert := func(out string) *exec.Cmd {
		return planfold(t, "convert", "-r", in+"/rules.yaml", "-o", out, "--cache", cache, in+"/plan.xml")
	}
	undisturbed := t.TempDir()
	start := time.Now()
	convert(undisturbed).Run()
	length := time.Since(start)
	want := tree(t, undisturbed)
	require.Contains(t, want, "catalog.json")
	random := rand.New(rand.NewPCG(1, 2))
	for i := range kills {
		out := t.TempDir()
		c := convert(out)
		require.NoError(t, c.Start())
		after := time.Duration(random.Int64N(int64(length)))
		time.Sleep(after)
		c.Process.Kill()
		c.Wait()
		convert(out).Run()
		problems, err := bundle.Verify(os.DirFS(out))
		require.NoError(t, err)
		assert.Empty(t, problems, "killed after %v (%d)", after, i)
		got := tree(t, out)
		require.Equal(t, len(want), len(got), "killed after %v", after)
		for name := range want {
			require.True(t, want[name] == got[name], "%s differs after a kill at %v", name, after)
		}
	}
}
