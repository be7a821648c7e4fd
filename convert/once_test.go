package convert

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/sweep"
)

// What was made without a level that could not be had is not kept for the next run.
func TestOnceKeepsNothingThatLacksALevel(t *testing.T) {
	r := newRun(t, false)
	made := 0
	once := func() {
		var v []int
		r.once("a", &v, func() { v = []int{1}; made++ })
	}
	lose := errors.New("lost")
	r.levels.lose(lose)
	once()
	require.Equal(t, lose, r.levels.err())
	_, kept := r.Cache.Get(r.onceKey("a"))
	require.False(t, kept)
	r.levels.lose(nil)
	once()
	once()
	require.Equal(t, 2, made)
}

func TestOnceMakesWhatItDoesNotKnow(t *testing.T) {
	r := newRun(t, false)
	made := 0
	want := []sweep.Leave{{Way: 0, Distance: 0.1, Met: &sweep.Meeting{}}, {Moving: 1, Way: -1, Met: &sweep.Meeting{Moving: -1, Shell: 2}}, {Moving: 2}}
	once := func(key string) {
		t.Helper()
		var got []sweep.Leave
		r.once(key, &got, func() { got = want; made++ })
		require.Equal(t, want, got)
	}
	once("a")
	once("a")
	require.Equal(t, 1, made)
	once("b")
	require.Equal(t, 2, made)
	require.NoError(t, r.remember(r.onceKey("a"), "no list"))
	once("a")
	require.Equal(t, 3, made, "what is of another kind")
	require.NoError(t, r.Cache.Put(r.onceKey("a"), []byte("nonsense")))
	once("a")
	once("a")
	require.Equal(t, 4, made)
	r.Tool.Version = "2"
	once("a")
	require.Equal(t, 5, made, "by another program")
	require.NoError(t, r.levels.err())
	dir := filepath.Join(t.TempDir(), "cache")
	var err error
	r.Cache, err = r.Store.Cache(dir)
	require.NoError(t, err)
	require.NoError(t, os.RemoveAll(dir))
	require.NoError(t, os.WriteFile(dir, nil, 0o666))
	once("c")
	require.Error(t, r.levels.err())
}
