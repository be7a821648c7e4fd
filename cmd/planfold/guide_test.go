package main

import (
	"encoding/json"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	block     = regexp.MustCompile("(?s)```(xml|yaml|console)\n(.*?)```\n")
	untimed   = regexp.MustCompile(`[0-9.]+ s\n`)
	unedition = regexp.MustCompile(`@[0-9a-f]{12}`)
)

// The guide of the rule language prints what planfold prints: its files and commands
// are taken from the text and run, on the plan beside them. So are the commands in the
// rest of the reference.
func TestGuideIsTrue(t *testing.T) {
	const reference = root + "/rules/README.md"
	text, err := os.ReadFile(reference)
	require.NoError(t, err)
	before, rest, found := strings.Cut(string(text), "\n## From an unknown export")
	require.True(t, found)
	guide, after, found := strings.Cut(rest, "\n## ")
	require.True(t, found)

	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(root+"/testdata/dialects/guide")))
	plan, err := fs.ReadFile(os.DirFS(dir), "plan.xml")
	require.NoError(t, err)
	want := block.ReplaceAllStringFunc(guide, func(s string) string {
		m := block.FindStringSubmatch(s)
		switch m[1] {
		case "xml":
			assert.Contains(t, string(plan), m[2])
		case "yaml":
			name, content, _ := strings.Cut(strings.TrimPrefix(m[2], "# "), "\n")
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(content), 0o666))
		case "console":
			return "```console\n" + typed(t, dir, m[2]) + "```\n"
		}
		return s
	})
	assertScrewsTurn(t, dir)
	wantAfter := block.ReplaceAllStringFunc(after, func(s string) string {
		if m := block.FindStringSubmatch(s); m[1] == "console" {
			return "```console\n" + typed(t, dir, m[2]) + "```\n"
		}
		return s
	})
	if *update {
		whole := before + "\n## From an unknown export" + want + "\n## " + wantAfter
		require.NoError(t, os.WriteFile(reference, []byte(whole), 0o644))
		return
	}
	assert.Equal(t, wantAfter, after, "what is printed elsewhere, of the files of the guide")
	assert.Equal(t, want, guide, "go test ./cmd/planfold -run Guide -update rewrites what is printed")
}

// assertScrewsTurn holds the scene of the step to what the guide says of it.
func assertScrewsTurn(t *testing.T, dir string) {
	scenes, err := filepath.Glob(filepath.Join(dir, "out/plans/WB-31/B@*/steps/20.1/scene.gltf"))
	require.NoError(t, err)
	require.Len(t, scenes, 1)
	text, err := os.ReadFile(scenes[0])
	require.NoError(t, err)
	var scene struct{ Animations []struct{ Channels []any } }
	require.NoError(t, json.Unmarshal(text, &scene))
	require.Len(t, scene.Animations, 1)
	assert.Len(t, scene.Animations[0].Channels, 9, "four screws travel and turn, and the cover, which no rule moves, comes in before them")
}

// typed runs the commands of a block, and gives them back with what they print.
func typed(t *testing.T, dir, block string) string {
	var out strings.Builder
	for _, line := range strings.Split(block, "\n") {
		command, is := strings.CutPrefix(line, "$ planfold ")
		if !is {
			continue
		}
		c := planfold(t, strings.Fields(command)...)
		c.Dir = dir
		printed, err := c.CombinedOutput()
		if _, left := err.(*exec.ExitError); err != nil && !left {
			require.NoError(t, err)
		}
		out.WriteString(line + "\n")
		out.WriteString(unedition.ReplaceAllString(untimed.ReplaceAllString(string(printed), "0.1 s\n"), "@…"))
	}
	return out.String()
}
