package store

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func open(t *testing.T, dir string) *Store {
	t.Helper()
	s, err := Open(dir)
	require.NoError(t, err)
	return s
}

func TestOneWriterAtATime(t *testing.T) {
	dir := t.TempDir()
	first := open(t, dir)
	_, err := Open(dir)
	var locked *LockedError
	require.True(t, errors.As(err, &locked))
	assert.Contains(t, err.Error(), "process ")
	require.NoError(t, first.Close())
	require.NoError(t, open(t, dir).Close())
}

// What a dry run needs is taken away again, and nothing else.
func TestForgetLeavesWhatWasThere(t *testing.T) {
	dir := t.TempDir()
	forget := func(root string) {
		s := open(t, root)
		c, err := s.Cache("")
		require.NoError(t, err)
		require.NoError(t, c.Put("00", []byte("x")))
		require.NoError(t, s.Forget())
		require.NoError(t, s.Close())
	}
	forget(filepath.Join(dir, "a", "b"))
	assert.NoDirExists(t, filepath.Join(dir, "a"))
	assert.DirExists(t, dir)
	forget(dir)
	assert.FileExists(t, filepath.Join(dir, cacheName, "00", "00"))

	s := open(t, filepath.Join(dir, "a", "b"))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "a", "note"), nil, 0o666))
	require.NoError(t, s.Forget())
	require.NoError(t, s.Close())
	assert.FileExists(t, filepath.Join(dir, "a", "note"))
	assert.NoDirExists(t, filepath.Join(dir, "a", "b"))
}

func TestOpenSweepsWhatAKilledRunLeft(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	f, err := s.NewFolder()
	require.NoError(t, err)
	require.NoError(t, f.Write("steps/1/step.json", []byte("half")))
	s.lock.Close() // as the kernel does when the process is killed
	s = open(t, dir)
	left, err := os.ReadDir(filepath.Join(dir, making))
	require.NoError(t, err)
	assert.Empty(t, left)
	require.NoError(t, s.Close())
}

func TestFolderAppearsWhole(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	defer s.Close()
	f, err := s.NewFolder()
	require.NoError(t, err)
	require.NoError(t, f.Write("a/b.json", []byte("1")))
	assert.NoDirExists(t, filepath.Join(dir, "plans"))
	require.NoError(t, f.Commit("plans/P/A@1"))
	require.NoError(t, f.Discard())
	assert.FileExists(t, filepath.Join(dir, "plans/P/A@1/a/b.json"))

	again, err := s.NewFolder()
	require.NoError(t, err)
	require.NoError(t, again.Write("a/b.json", []byte("2")))
	require.NoError(t, again.Commit("plans/P/A@1"))
	require.NoError(t, again.Discard())
	assert.NoDirExists(t, again.path)
	b, _ := os.ReadFile(filepath.Join(dir, "plans/P/A@1/a/b.json"))
	assert.Equal(t, "1", string(b), "what is issued stays")
}

func TestBlobIsWrittenOnce(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	defer s.Close()
	data := []byte("geometry")
	digest := Digest(data)
	require.NoError(t, s.PutBlob(digest, "bin", data))
	path := filepath.Join(dir, BlobName(digest, "bin"))
	before, err := os.Stat(path)
	require.NoError(t, err)
	require.NoError(t, s.PutBlob(digest, "bin", data))
	after, err := os.Stat(path)
	require.NoError(t, err)
	assert.True(t, os.SameFile(before, after))
	assert.False(t, s.HasBlob(digest, "bin", 3), "a blob cut short is not the blob")
}

func TestCacheForgetsDamage(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	defer s.Close()
	c, err := s.Cache("")
	require.NoError(t, err)
	key := Digest([]byte("key"))
	require.NoError(t, c.Put(key, []byte("levels")))
	got, ok := c.Get(key)
	assert.True(t, ok)
	assert.Equal(t, "levels", string(got))
	path := filepath.Join(dir, ".cache", key[:2], key)
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	other := key[:len(key)-1] + "x"
	require.NoError(t, os.WriteFile(filepath.Join(dir, ".cache", key[:2], other), b, 0o666))
	_, ok = c.Get(other)
	assert.False(t, ok, "what belongs to another key")
	b[len(b)-1] ^= 1
	require.NoError(t, os.WriteFile(path, b, 0o666))
	_, ok = c.Get(key)
	assert.False(t, ok)
}
