package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNothingIsWrittenIntoAnIssuedTree(t *testing.T) {
	dir := t.TempDir()
	tree := filepath.Join(dir, "out")
	require.NoError(t, os.MkdirAll(filepath.Join(tree, "plans"), 0o777))
	link := filepath.Join(dir, "link")
	require.NoError(t, os.Symlink(filepath.Join(tree, "plans"), link))
	require.NoError(t, os.Symlink(filepath.Join(tree, "none"), filepath.Join(dir, "dangling")))
	for _, target := range []string{tree, tree + "/new/steps.html", link, link + "/new/steps.html", filepath.Join(dir, "dangling")} {
		var status *statusError
		if assert.ErrorAs(t, outside(tree, target), &status, target) {
			assert.Equal(t, statusUsage, status.status, target)
		}
	}
	require.Error(t, outside(link, filepath.Join(tree, "plans", "new")), "the tree may be given by a link")
	for _, target := range []string{dir + "/out-2", dir + "/new/steps.html", dir} {
		assert.NoError(t, outside(tree, target), target)
	}
}

func TestAtPortEightyThePortMayBeLeftOut(t *testing.T) {
	assert.Contains(t, hosts("80"), "localhost")
	assert.NotContains(t, hosts("8080"), "localhost")
}
