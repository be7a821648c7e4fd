package gltf

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
)

// decorated is the tetrahedron with one more attribute, of values in one view.
func decorated(name, accessor string, values []byte, members ...string) string {
	bin := append(tetra(), values...)
	return document(bin, append([]string{
		"meshes", fmt.Sprintf(`[{"primitives": [{"attributes": {"POSITION": 0, %q: 2}, "indices": 1}]}]`, name),
		"accessors", `[{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": 4}, {"bufferView": 1, "componentType": 5123, "type": "SCALAR", "count": 12}, ` + accessor + `]`,
		"bufferViews", fmt.Sprintf(`[{"buffer": 0, "byteLength": 48}, {"buffer": 0, "byteOffset": 48, "byteLength": 24}, {"buffer": 0, "byteOffset": 72, "byteLength": %d}]`, len(values)),
	}, members...)...)
}

// byPlace is the attributes of the mesh's vertices, as each has one wedge, in the order of tetra's corners.
func byPlace(t *testing.T, m *mesh.Mesh) (out [4]mesh.Attributes) {
	places := []mesh.Vec{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	require.Len(t, m.Wedges, len(m.Triangles))
	for i, wedges := range m.Wedges {
		for k, w := range wedges {
			a := mesh.Plain
			if m.Colors != nil {
				a.Color = m.Colors[w]
			}
			if m.TexCoords != nil {
				a.TexCoord = m.TexCoords[w]
			}
			for n, p := range places {
				if m.Positions[m.Triangles[i][k]] == p {
					out[n] = a
				}
			}
		}
	}
	return out
}

// Expected values by the equations of clause 3.11: c / 255, c / 65535.
func TestColours(t *testing.T) {
	for _, c := range []struct {
		accessor string
		values   any
		want     [4][4]float32
	}{
		{
			`{"bufferView": 2, "componentType": 5121, "normalized": true, "type": "VEC4", "count": 4}`,
			[]uint8{255, 0, 51, 255, 0, 255, 0, 102, 0, 0, 0, 0, 255, 255, 255, 255},
			[4][4]float32{{1, 0, 0.2, 1}, {0, 1, 0, 0.4}, {}, {1, 1, 1, 1}},
		},
		{
			`{"bufferView": 2, "componentType": 5123, "normalized": true, "type": "VEC3", "count": 4}`,
			[]uint16{65535, 0, 13107, 0, 0, 0, 65535, 65535, 65535, 0, 0, 0},
			[4][4]float32{{1, 0, 0.2, 1}, {0, 0, 0, 1}, {1, 1, 1, 1}, {0, 0, 0, 1}},
		},
		{
			`{"bufferView": 2, "componentType": 5126, "type": "VEC3", "count": 4}`,
			[]float32{0.5, 0, -1, 2, 1, 0.25, float32(math.Copysign(0, -1)), 0, 0, 1, 1, 1},
			[4][4]float32{{0.5, 0, 0, 1}, {1, 1, 0.25, 1}, {0, 0, 0, 1}, {1, 1, 1, 1}},
		},
		{
			`{"bufferView": 2, "componentType": 5126, "type": "VEC3", "count": 4, "sparse": {"count": 1, "indices": {"bufferView": 2, "componentType": 5121, "byteOffset": 48}, "values": {"bufferView": 2, "byteOffset": 36}}}`,
			[]float32{0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, math.Float32frombits(2)},
			[4][4]float32{{0, 0, 0, 1}, {0, 0, 0, 1}, {1, 1, 1, 1}, {1, 1, 1, 1}},
		},
		{
			`{"componentType": 5126, "type": "VEC3", "count": 4}`,
			[]byte{0},
			[4][4]float32{{0, 0, 0, 1}, {0, 0, 0, 1}, {0, 0, 0, 1}, {0, 0, 0, 1}},
		},
	} {
		s, list := decode(t, decorated("COLOR_0", c.accessor, pack(binary.LittleEndian, c.values)))
		require.NotNil(t, s, "%v", list)
		assert.Empty(t, list, c.accessor)
		for n, a := range byPlace(t, s.Meshes[0]) {
			assert.Equal(t, c.want[n], a.Color, "%s corner %d", c.accessor, n)
			assert.False(t, math.Signbit(float64(a.Color[0])))
		}
		assert.Nil(t, s.Meshes[0].TexCoords)
		assert.Len(t, s.Meshes[0].Colors, 4)
	}
}

func TestTextureCoordinates(t *testing.T) {
	want := [4][2]float32{{0, 1}, {0.2, 0.4}, {1, 0}, {0, 0}}
	for accessor, values := range map[string]any{
		`{"bufferView": 2, "componentType": 5126, "type": "VEC2", "count": 4}`:                     []float32{0, 1, 0.2, 0.4, 1, 0, 0, 0},
		`{"bufferView": 2, "componentType": 5121, "normalized": true, "type": "VEC2", "count": 4}`: []uint8{0, 255, 51, 102, 255, 0, 0, 0},
		`{"bufferView": 2, "componentType": 5123, "normalized": true, "type": "VEC2", "count": 4}`: []uint16{0, 65535, 13107, 26214, 65535, 0, 0, 0},
	} {
		s, list := decode(t, decorated("TEXCOORD_0", accessor, pack(binary.LittleEndian, values)))
		assert.Empty(t, list, accessor)
		for n, a := range byPlace(t, s.Meshes[0]) {
			assert.Equal(t, want[n], a.TexCoord, "%s corner %d", accessor, n)
		}
		assert.Nil(t, s.Meshes[0].Colors)
	}
	plain := `{"bufferView": 2, "componentType": 5122, "type": "VEC2", "count": 4}`
	s, _ := decode(t, decorated("TEXCOORD_0", plain, pack(binary.LittleEndian, []int16{-2, 3, 0, 0, 0, 0, 0, 0}), "extensionsUsed", `["KHR_mesh_quantization"]`))
	assert.Equal(t, [2]float32{-2, 3}, byPlace(t, s.Meshes[0])[0].TexCoord)
}

func TestAttributesThatAreLeftOut(t *testing.T) {
	for name, accessor := range map[string]string{
		"COLOR_0":    `{"bufferView": 2, "componentType": 5121, "type": "VEC4", "count": 4}`,
		"TEXCOORD_0": `{"bufferView": 2, "componentType": 5122, "type": "VEC2", "count": 4}`,
	} {
		s, list := decode(t, decorated(name, accessor, make([]byte, 64)))
		assert.Nil(t, s.Meshes[0].Wedges)
		assert.Equal(t, "GEOMETRY_ATTRIBUTE", codes(list))
	}
	nan := float32(math.NaN())
	s, list := decode(t, decorated("COLOR_0", `{"bufferView": 2, "componentType": 5126, "type": "VEC3", "count": 4}`, pack(binary.LittleEndian, []float32{nan, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0})))
	assert.Equal(t, "GEOMETRY_ATTRIBUTE", codes(list))
	assert.True(t, strings.HasSuffix(list[0].Message, ": 3"), "corners of three triangles: %s", list[0].Message)
	assert.Equal(t, mesh.Plain, byPlace(t, s.Meshes[0])[0])
}

// Meshes that differ in their colours alone are not the same mesh.
func TestColoursTellMeshesApart(t *testing.T) {
	s, list := decode(t, decorated("COLOR_0", `{"componentType": 5126, "type": "VEC3", "count": 4}`, []byte{0}, "meshes",
		`[{"primitives": [{"attributes": {"POSITION": 0, "COLOR_0": 2}, "indices": 1}]}, {"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}]`,
		"nodes", `[{"mesh": 0}, {"mesh": 1}]`))
	assert.Empty(t, list)
	require.Len(t, s.Meshes, 2)
	assert.NotNil(t, s.Meshes[0].Colors)
	assert.Nil(t, s.Meshes[1].Colors)
}
