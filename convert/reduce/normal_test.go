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
	turns := NormalError(source, tilted, flat)
	chord := 2 * math.Sin(math.Atan(0.1)/2)
	require.InDelta(t, 4*math.Sqrt(1.01), turns.area, 1e-9)
	require.InDelta(t, chord, turns.RMS(), 1e-9)
	require.InDelta(t, chord, turns.Within(0.95), 0.002)
}

func TestNormalErrorTellsSmoothFromFlat(t *testing.T) {
	m := sphere(64, 32)
	require.Less(t, NormalError(m, m, flat).RMS(), 1e-9)
	r, _ := Reduce(m, Options{Triangles: 400})
	smooth := NormalError(m, r, radial)
	faceted := NormalError(m, r, func(x *mesh.Mesh) [][3]mesh.Vec {
		if x == m {
			return radial(x)
		}
		return flat(x)
	})
	require.Less(t, smooth.RMS(), 0.02)
	require.Greater(t, faceted.RMS(), 0.05)
}

// TestWithinSetsTheFewAside: a sliver turned over is no twentieth of the area.
func TestWithinSetsTheFewAside(t *testing.T) {
	var turns Turns
	turns.add(0.1, 94)
	turns.add(0.3, 2)
	turns.add(2, 4)
	require.InDelta(t, 0.3, turns.Within(0.95), 0.002)
	require.InDelta(t, 2, turns.Within(0.97), 0.002)
	var twice Turns
	twice.Add(&turns, 2)
	require.InDelta(t, 0.1, twice.Within(0.9), 0.002)
	require.InDelta(t, turns.RMS(), twice.RMS(), 1e-12)
}
