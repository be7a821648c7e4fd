package main

import (
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
// are taken from the text and run, on the plan beside them.
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
	if *update {
		whole := before + "\n## From an unknown export" + want + "\n## " + after
		require.NoError(t, os.WriteFile(reference, []byte(whole), 0o644))
		return
	}
	assert.Equal(t, want, guide, "go test ./cmd/planfold -run Guide -update rewrites what is printed")
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
