package solid

import (
	"fmt"
	"math"

	"planfold/convert/mesh"
)

// CheckWedges says what is wrong with the attributes of a mesh: each wedge is of one
// vertex, used, and finite, and no two of a vertex are equal.
func CheckWedges(m *mesh.Mesh) error {
	n := max(len(m.Colors), len(m.TexCoords))
	if m.Wedges == nil && n == 0 {
		return nil
	}
	if len(m.Wedges) != len(m.Triangles) || m.Colors != nil && len(m.Colors) != n || m.TexCoords != nil && len(m.TexCoords) != n || n == 0 {
		return fmt.Errorf("%d wedges of %d triangles, %d colours, %d texture coordinates", len(m.Wedges), len(m.Triangles), len(m.Colors), len(m.TexCoords))
	}
	type key struct {
		vertex int32
		mesh.Attributes
	}
	owner, seen := map[int32]int32{}, map[key]int32{}
	for i, t := range m.Wedges {
		for k, w := range t {
			v := m.Triangles[i][k]
			if known, there := owner[w]; there && known != v {
				return fmt.Errorf("wedge %d is of vertices %d and %d", w, known, v)
			}
			owner[w] = v
			a := key{vertex: v}
			if m.Colors != nil {
				a.Color = m.Colors[w]
			}
			if m.TexCoords != nil {
				a.TexCoord = m.TexCoords[w]
			}
			for _, x := range append(a.Color[:], a.TexCoord[:]...) {
				if math.IsNaN(float64(x)) || math.IsInf(float64(x), 0) {
					return fmt.Errorf("wedge %d has %v", w, a.Attributes)
				}
			}
			if same, there := seen[a]; there && same != w {
				return fmt.Errorf("wedges %d and %d of vertex %d are equal", same, w, v)
			}
			seen[a] = w
		}
	}
	if len(owner) != n {
		return fmt.Errorf("%d of %d wedges are used", len(owner), n)
	}
	return nil
}
