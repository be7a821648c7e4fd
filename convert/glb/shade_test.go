package glb

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// slit is m, so many times as large, with a vertex near the middle of an edge of every
// third triangle, off it by so much of the mesh and in the air: a run of slivers.
func slit(m *mesh.Mesh, scale, off float64) *mesh.Mesh {
	out := &mesh.Mesh{}
	for _, p := range m.Positions {
		out.Positions = append(out.Positions, p.Scale(scale))
	}
	for i, t := range m.Triangles {
		if i%3 != 0 {
			out.Triangles = append(out.Triangles, t)
			continue
		}
		a, b, c := t[0], t[1], t[2]
		for k := range 2 { // the second one splits the first one's sliver
			away := mesh.Vec{off, -off, off}.Scale(scale * float64(1-2*k))
			v := int32(len(out.Positions))
			out.Positions = append(out.Positions, out.Positions[a].Add(out.Positions[b]).Scale(0.5).Add(away))
			out.Triangles = append(out.Triangles, [3]int32{b, c, v})
			b = v
		}
		out.Triangles = append(out.Triangles, [3]int32{a, b, c}, [3]int32{a, t[1], b - 1}, [3]int32{a, b - 1, b})
	}
	return out
}

// A sliver faces anywhere. What is smooth without it is smooth with it, at any scale.
func TestSliversMakeNoCrease(t *testing.T) {
	plain := solid.Sphere(1, 40, 40)
	for _, scale := range []float64{1, 0.001, 1e5 / 3} {
		for _, off := range []float64{0, 1e-7, 3e-6} {
			m := slit(plain, scale, off)
			require.Greater(t, len(m.Triangles), 2*len(plain.Triangles))
			worst, grain := 1.0, m.Grain()
			for i, normals := range Normals(m) {
				if m.Facing(m.Triangles[i], grain) == (mesh.Vec{}) {
					continue
				}
				for k, n := range normals {
					if v := m.Triangles[i][k]; int(v) < len(plain.Positions) {
						worst = min(worst, n.Dot(m.Positions[v].Unit()))
					}
				}
			}
			require.Less(t, math.Acos(worst), 0.04, "scale %g off %g", scale, off)
		}
	}
}

// A sliver at an edge leaves the edge.
func TestSliversKeepEdges(t *testing.T) {
	for i, normals := range Normals(slit(solid.Box(mesh.Vec{}, mesh.Vec{1, 2, 3}), 0.001, 1e-7)) {
		for _, n := range normals {
			require.InDelta(t, 1, max(math.Abs(n[0]), math.Abs(n[1]), math.Abs(n[2])), 1e-4, "%d", i)
		}
	}
}
