package obj

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"planfold/convert/mesh"
)

// corners of a mesh, as place, colour and texture coordinates, triangle by triangle.
func corners(m *mesh.Mesh) (colors [][4]float32, texCoords [][2]float32) {
	for _, t := range m.Wedges {
		for _, w := range t {
			if m.Colors != nil {
				colors = append(colors, m.Colors[w])
			}
			if m.TexCoords != nil {
				texCoords = append(texCoords, m.TexCoords[w])
			}
		}
	}
	return colors, texCoords
}

func TestTextureCoordinatesMakeWedges(t *testing.T) {
	s, list := decode(t, `v 0 0 0
v 1 0 0
v 1 1 0
v 0 1 0
vt 0 0
vt 1 0.25
vt 1 1
f 1/1 2/2 3/3
f 1/1/9 3/-1 4
vt .5
f 3//7 2/-1 1/-4/2
`)
	assert.Empty(t, list)
	m := s.Meshes[0]
	assert.Nil(t, m.Colors)
	_, got := corners(m)
	assert.Equal(t, [][2]float32{{0, 1}, {1, 0.75}, {1, 0}, {0, 1}, {1, 0}, {0, 0}, {0, 0}, {0.5, 1}, {0, 1}}, got)
	assert.Len(t, m.TexCoords, 6, "corners of a vertex share a wedge where they are equal")
}

func TestFileWithoutReferencesHasNoWedges(t *testing.T) {
	s, list := decode(t, "v 0 0 0 1\nv 1 0 0 2.5\nv 0 1 0\nvt 0 0\nf 1 2 3\n")
	assert.Empty(t, list, "a weight is none of ours")
	assert.Nil(t, s.Meshes[0].Wedges)
	assert.Nil(t, s.Meshes[0].TexCoords)
	assert.Nil(t, s.Meshes[0].Colors)
}

func TestVertexColours(t *testing.T) {
	s, list := decode(t, "v 0 0 0\nv 1 0 0 1 0 0.5\nv 0 1 0 1 1 1\nv 0 0 1\nf 1 2 3\nf 1 4 2\n")
	assert.Empty(t, list)
	half := float32(mesh.Linear(0.5))
	white, pink := [4]float32{1, 1, 1, 1}, [4]float32{1, 0, half, 1}
	got, _ := corners(s.Meshes[0])
	assert.Equal(t, [][4]float32{white, pink, white, white, white, pink}, got)
	assert.InDelta(t, 0.2140, half, 1e-4) // of the sRGB curve's published table
}

func TestMalformedDecorationIsLeftOut(t *testing.T) {
	for _, text := range []string{
		"v 0 0 0 1 2 3\n\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
		"v 0 0 0 1 x 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
		"v 0 0 0 1 nan 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
		"v 0 0 0\nv 1 0 0\nv 0 1 0\nvt x y\nf 1 2 3\n",
		"v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 1e30 0\nf 1 2 3\n",
		"v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nf 1/1 2/2 3/1\n",
		"v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nf 1/1 2/-2 3/1\n",
		"v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nf 1/1 2/-- 3/1\n",
		"v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nf 1/1 2/0 3/1\n",
		"v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nf 1/1 2/-0/1 3/1\n",
		"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1/0/1 2 3\n",
		"v 0 0 0 1 1\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
		"v 0 0 0 1 1 1 1\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
		"v 0 0 0 x\nv 1 0 0\nv 0 1 0\nf 1 2 3\n",
	} {
		s, list := decode(t, text)
		assert.Len(t, s.Meshes[0].Triangles, 1, text)
		if assert.Len(t, list, 1, text) {
			assert.Equal(t, "GEOMETRY_ATTRIBUTE", list[0].Code, text)
			assert.Contains(t, list[0].Message, "colours: 1,", text)
		}
	}
}
