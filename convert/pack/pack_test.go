package pack

import (
	"bytes"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"planfold/convert/bundle"
	"planfold/convert/store"
)

func small() *Edition {
	tree := fstest.MapFS{
		"plans/P/A@1/SHA256SUMS":          {Data: []byte("sums")},
		"plans/P/A@1/steps/S-1/step.json": {Data: []byte("{}")},
		"blobs/ab/ab.pdf":                 {Data: bytes.Repeat([]byte("%PDF"), 100)},
	}
	return &Edition{Tree: tree, Folder: "plans/P/A@1", Sums: bundle.Sums{
		"steps/S-1/step.json":      store.Digest([]byte("{}")),
		"../../../blobs/ab/ab.pdf": store.Digest(bytes.Repeat([]byte("%PDF"), 100)),
	}}
}

func TestArchiveIsTheSameEachTime(t *testing.T) {
	var a, b bytes.Buffer
	files, err := small().Archive(&a)
	require.NoError(t, err)
	require.Equal(t, 4, files)
	_, err = small().Archive(&b)
	require.NoError(t, err)
	require.Equal(t, a.Bytes(), b.Bytes())
	require.NoError(t, Check(bytes.NewReader(a.Bytes()), int64(a.Len())))
}

func TestArchiveHoldsNothingThatChanged(t *testing.T) {
	e := small()
	e.Sums["steps/S-1/step.json"] = store.Digest([]byte("{ }"))
	_, err := e.Archive(&bytes.Buffer{})
	require.ErrorContains(t, err, `"steps/S-1/step.json" changed while it was packed`)
}

// Any bit that is turned in what was written is found, but for those that say nothing of
// the files.
func TestCheckFindsDamage(t *testing.T) {
	var a bytes.Buffer
	_, err := small().Archive(&a)
	require.NoError(t, err)
	found := 0
	for i := range a.Len() {
		damaged := bytes.Clone(a.Bytes())
		damaged[i] ^= 4
		if Check(bytes.NewReader(damaged), int64(len(damaged))) != nil {
			found++
		}
	}
	require.Greater(t, found, a.Len()/2)
	require.Error(t, Check(bytes.NewReader(a.Bytes()[:a.Len()/2]), int64(a.Len()/2)))
}
