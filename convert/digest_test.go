package convert

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
)

// TestDigestOfModelSeesAll: what two meshes may differ in gives them different ladders.
func TestDigestOfModelSeesAll(t *testing.T) {
	whole := func() *mesh.Mesh {
		return &mesh.Mesh{
			Positions: []mesh.Vec{{}, {1}, {0, 1}},
			Triangles: [][3]int32{{0, 1, 2}},
			Group:     []int32{0},
			Wedges:    [][3]int32{{0, 1, 2}},
			Colors:    make([][4]float32, 3),
			TexCoords: make([][2]float32, 3),
		}
	}
	seen := map[string]bool{model{mesh: whole()}.digest(): true}
	for i, change := range []func(*mesh.Mesh){
		func(m *mesh.Mesh) { m.Positions[2][2] = 1 },
		func(m *mesh.Mesh) { m.Triangles[0] = [3]int32{0, 2, 1} },
		func(m *mesh.Mesh) { m.Group[0] = 1 },
		func(m *mesh.Mesh) { m.Group = nil },
		func(m *mesh.Mesh) { m.Fixed = make([]bool, 3) },
		func(m *mesh.Mesh) { m.Fixed = []bool{true, false, false} },
		func(m *mesh.Mesh) { m.Fixed = []bool{false, true, false} },
		func(m *mesh.Mesh) { m.Wedges[0][2] = 1 },
		func(m *mesh.Mesh) { m.Colors[1][3] = 1 },
		func(m *mesh.Mesh) { m.Colors = nil },
		func(m *mesh.Mesh) { m.TexCoords[2][0] = 1 },
		func(m *mesh.Mesh) { m.TexCoords = nil },
		func(m *mesh.Mesh) { m.Wedges, m.Colors, m.TexCoords = nil, nil, nil },
	} {
		m := whole()
		change(m)
		d := model{mesh: m}.digest()
		require.False(t, seen[d], "change %d", i)
		seen[d] = true
	}
	require.False(t, seen[model{whole(), mesh.Vec{1}}.digest()], "centre")
}
