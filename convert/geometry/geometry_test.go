package geometry

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/testdata/open"
)

func triangles(s *mesh.Scene) (n int) {
	for _, m := range s.Meshes {
		n += len(m.Triangles)
	}
	return n
}

// The 13 single parts of the block-stage hold 16,900 facets, counted with
// grep -c "facet normal"; the print plates are binary.
func TestDecodeBlockStage(t *testing.T) {
	dir := open.Path(t, "block-stage/docs/stl")
	names, err := filepath.Glob(filepath.Join(dir, "*.stl"))
	require.NoError(t, err)
	require.Len(t, names, 16)
	parts := 0
	for _, name := range names {
		base := filepath.Base(name)
		scene, list, err := Decode(os.DirFS(dir), base, Options{Unit: 0.001})
		require.NoError(t, err)
		require.NotNil(t, scene, "%s: %v", base, list)
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		facets := strings.Count(string(data), "facet normal")
		if facets == 0 {
			facets = (len(data) - 84) / 50
		} else {
			parts += facets
		}
		m := scene.Meshes[0]
		t.Logf("%s: %d facets, %d triangles, %d vertices, %v", base, facets, len(m.Triangles), len(m.Positions), list)
		assert.LessOrEqual(t, triangles(scene), facets)
		assert.Less(t, m.Bounds().Diagonal(), 1.0, "a part of a microscope is smaller than a metre")
	}
	assert.Equal(t, 16900, parts)
}

func TestDecodeBreakoutBox(t *testing.T) {
	dir := open.Path(t, "breakout-box/stls")
	require.NoError(t, fs.WalkDir(os.DirFS(dir), ".", func(name string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(name, ".stl") {
			return err
		}
		scene, list, err := Decode(os.DirFS(dir), name, Options{Unit: 0.001})
		assert.NotNil(t, scene, "%s: %v", name, list)
		return err
	}))
}
