package reduce

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
)

// flat shows each triangle with its own normal.
func flat(m *mesh.Mesh) [][3]mesh.Vec {
	out := make([][3]mesh.Vec, len(m.Triangles))
	for i, v := range m.Triangles {
		c := cornersOf(m, v)
		n := c[1].Sub(c[0]).Cross(c[2].Sub(c[0])).Unit()
		out[i] = [3]mesh.Vec{n, n, n}
	}
	return out
}

// radial shows a sphere about the origin as smooth as it is.
func radial(m *mesh.Mesh) [][3]mesh.Vec {
	out := make([][3]mesh.Vec, len(m.Triangles))
	for i, v := range m.Triangles {
		for k := range 3 {
			out[i][k] = m.Positions[v[k]].Unit()
		}
	}
	return out
}

func TestNormalErrorOfATiltedSheet(t *testing.T) {
	source, tilted := panel(20, 10, 0), panel(20, 10, 0)
	for i := range tilted.Positions {
		tilted.Positions[i][2] = 0.1 * tilted.Positions[i][0]
	}
	squares, area, largest := NormalError(source, tilted, flat)
	chord := 2 * math.Sin(math.Atan(0.1)/2)
	require.InDelta(t, 4*math.Sqrt(1.01), area, 1e-9)
	require.InDelta(t, chord, math.Sqrt(squares/area), 1e-9)
	require.InDelta(t, chord, largest, 1e-9)
}

func TestNormalErrorTellsSmoothFromFlat(t *testing.T) {
	m := sphere(64, 32)
	squares, _, largest := NormalError(m, m, flat)
	require.Less(t, squares+largest, 1e-9)
	r, _ := Reduce(m, Options{Triangles: 400})
	smooth, area, _ := NormalError(m, r, radial)
	faceted, _, _ := NormalError(m, r, func(x *mesh.Mesh) [][3]mesh.Vec {
		if x == m {
			return radial(x)
		}
		return flat(x)
	})
	require.Less(t, math.Sqrt(smooth/area), 0.02)
	require.Greater(t, math.Sqrt(faceted/area), 0.05)
}
