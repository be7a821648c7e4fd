package mesh

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestDropTexCoords: two triangles that share an edge, of four wedges there, of which
// the texture alone tells two apart and the colour the other two.
func TestDropTexCoords(t *testing.T) {
	red, blue := [4]float32{1, 0, 0, 1}, [4]float32{0, 0, 1, 1}
	m := &Mesh{
		Positions: make([]Vec, 4),
		Triangles: [][3]int32{{0, 1, 2}, {2, 1, 3}},
		Wedges:    [][3]int32{{0, 1, 2}, {3, 4, 5}},
		Colors:    [][4]float32{red, red, red, red, blue, red},
		TexCoords: [][2]float32{{0, 0}, {1, 0}, {2, 0}, {3, 0}, {1, 0}, {5, 0}},
	}
	m.DropTexCoords()
	require.Nil(t, m.TexCoords)
	require.Equal(t, [][3]int32{{0, 1, 2}, {2, 3, 4}}, m.Wedges)
	require.Equal(t, [][4]float32{red, red, red, blue, red}, m.Colors)

	m.Colors, m.TexCoords = nil, make([][2]float32, 5)
	m.DropTexCoords()
	require.Nil(t, m.Wedges)
	require.Nil(t, m.TexCoords)
}
