package convert

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/scene"
	"planfold/testdata/solid"
)

func TestLevelsAreDecodedOnceAndSayWhatIsLost(t *testing.T) {
	data, layout := glb.EncodeMesh(solid.Box(mesh.Vec{}, mesh.Vec{1, 2, 3}), mesh.Vec{})
	loads := 0
	l := levels{load: func(digest string) ([]byte, error) {
		loads++
		if digest != "there" {
			return nil, errors.New("lost")
		}
		return data, nil
	}}
	first := l.mesh(scene.Blob{SHA256: "there", Layout: layout})
	require.Len(t, first.Triangles, 12)
	require.Same(t, first, l.mesh(scene.Blob{SHA256: "there", Layout: layout}))
	require.Equal(t, 1, loads)
	require.NoError(t, l.err())
	require.Nil(t, l.mesh(scene.Blob{SHA256: "gone", Layout: layout}))
	require.ErrorContains(t, l.err(), "lost")

	l.triangles = keptTriangles + 1
	l.mesh(scene.Blob{SHA256: "gone", Layout: layout})
	require.Same(t, first, l.mesh(scene.Blob{SHA256: "there", Layout: layout}), "what is lost makes no room")
}

// Solids that are equal but for their size or place may have the same bytes.
func TestLevelsOfTheSameBytesKeepTheirSizeAndPlace(t *testing.T) {
	var data []byte
	l := levels{load: func(string) ([]byte, error) { return data, nil }}
	for _, box := range []mesh.Box{
		{Max: mesh.Vec{0.01, 0.02, 0.03}},
		{Max: mesh.Vec{0.02, 0.04, 0.06}},
		{Min: mesh.Vec{5, 0, 0}, Max: mesh.Vec{5.01, 0.02, 0.03}},
	} {
		b, layout := glb.CompressMesh(solid.Box(box.Min, box.Max), mesh.Vec{}, 0)
		if data == nil {
			data = b
		}
		require.Equal(t, data, b)
		m := l.mesh(scene.Blob{SHA256: "same", Layout: layout})
		got := m.Bounds()
		require.Less(t, got.Min.Distance(box.Min)+got.Max.Distance(box.Max), 1e-4)
	}
}
