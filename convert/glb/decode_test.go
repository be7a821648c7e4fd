package glb

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// All ways to store a mesh give it back: whole, in its place, with its groups.
func TestDecodeGivesBackWhatWasStored(t *testing.T) {
	can := solid.Cylinder(0.02, 0.05, 24, true)
	can.Group = make([]int32, len(can.Triangles))
	for i := range can.Group[:24] {
		can.Group[i] = 1
	}
	centre := mesh.Vec{0.3, -0.2, 1}
	plain, plainLayout := EncodeMesh(can, centre)
	packed, packedLayout := CompressMesh(can, centre, 0.0002)
	for _, c := range []struct {
		data   []byte
		layout Layout
	}{{plain, plainLayout}, {packed, packedLayout}} {
		got, err := c.layout.Decode(c.data)
		require.NoError(t, err)
		require.Len(t, got.Triangles, len(can.Triangles))
		require.Len(t, got.Positions, len(can.Positions), "split vertices are one again")
		off := c.layout.Error() + 1e-7
		for k := range 3 {
			require.InDelta(t, can.Bounds().Min[k], got.Bounds().Min[k], off)
			require.InDelta(t, can.Bounds().Max[k], got.Bounds().Max[k], off)
		}
		first := 0
		for _, g := range got.Group {
			first += int(1 - g)
		}
		require.Equal(t, len(can.Triangles)-24, first)
		_, err = c.layout.Decode(c.data[:len(c.data)-1])
		require.Error(t, err)
	}
}

func TestDecodeRefusesVerticesThatAreNotThere(t *testing.T) {
	data, layout := EncodeMesh(solid.Box(mesh.Vec{}, mesh.Vec{1, 1, 1}), mesh.Vec{})
	data[len(data)-4], data[len(data)-3] = 200, 0
	_, err := layout.Decode(data)
	require.ErrorContains(t, err, "not there")
}
