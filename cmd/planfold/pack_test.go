package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/testdata/validator"
)

// unpackEdition packs an edition and unpacks it with a program that is not ours.
func unpackEdition(t *testing.T, e edition) (folder string) {
	t.Helper()
	if _, err := exec.LookPath("unzip"); err != nil && os.Getenv("CI") == "" {
		t.Skip("unzip is not installed")
	}
	archive := filepath.Join(t.TempDir(), "edition.zip")
	text, err := planfold(t, "pack", e.folder, "-o", archive).CombinedOutput()
	require.NoError(t, err, "%s", text)
	text, err = exec.Command("unzip", "-tq", archive).CombinedOutput()
	require.NoError(t, err, "%s", text)
	folder = t.TempDir()
	text, err = exec.Command("unzip", "-q", archive, "-d", folder).CombinedOutput()
	require.NoError(t, err, "%s", text)
	return folder
}

// What was unpacked is accepted by coreutils, by the digests of the archive and by those
// that the edition was issued with.
func TestPackedEditionIsCheckedByCoreutils(t *testing.T) {
	e := demoEdition(t)
	folder := unpackEdition(t, e)
	issued, err := filepath.Rel(e.out, filepath.Join(e.folder, "SHA256SUMS"))
	require.NoError(t, err)
	for _, sums := range []string{"SHA256SUMS", issued} {
		check := exec.Command("sha256sum", "-c", "--quiet", sums)
		check.Dir = folder
		text, err := check.CombinedOutput()
		require.NoError(t, err, "%s", text)
	}
}

// Each packed GLB is clean in the Khronos glTF validator, and three.js loads it and finds
// what it finds in the scene that it was made of.
func TestPackedScenesOpenByThemselves(t *testing.T) {
	e := demoEdition(t)
	folder := unpackEdition(t, e)
	files, triangles := e.scenes(t)
	var packed []string
	for _, f := range files {
		rel, err := filepath.Rel(e.out, f)
		require.NoError(t, err)
		alone := filepath.Join(t.TempDir(), "alone.glb")
		require.NoError(t, os.Rename(filepath.Join(folder, strings.TrimSuffix(rel, ".gltf")+".glb"), alone))
		packed = append(packed, alone)
	}
	for _, r := range validator.Clean(t, packed...) {
		assert.Zero(t, r.Errors+r.Warnings, r.File)
	}
	beside := validator.Read(t, files...)
	for i, r := range validator.Read(t, packed...) {
		assert.Equal(t, triangles[i], r.Triangles, files[i])
		r.File = beside[i].File
		assert.Equal(t, beside[i], r)
	}
}
