package reduce

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
)

func TestReduceBoxToTwelveWithoutError(t *testing.T) {
	m := box(6, mesh.Vec{3, -2, 5})
	r, report := Reduce(m, Options{Triangles: 12})
	require.True(t, report.Reached, report.Reason)
	require.Len(t, r.Triangles, 12)
	require.Len(t, r.Positions, 8)
	for _, p := range r.Positions {
		q := p.Sub(mesh.Vec{3, -2, 5})
		for k := range 3 {
			require.InDelta(t, float64(int(q[k]+0.5)), q[k], 1e-5)
		}
	}
}

// A bound on deviation alone is met by what keeps it, be it the source itself or the
// least that its topology allows.
func TestReduceWithinIsReachedWhereTheBoundIsKept(t *testing.T) {
	for _, bound := range []float64{1e-12, 1e-3, 100} {
		m := torus(24, 12, 0.4)
		r, report := Reduce(m, Options{Deviation: bound})
		require.True(t, report.Reached, report.Reason)
		require.LessOrEqual(t, Deviation(m, r), bound)
	}
}

func TestLadderHalves(t *testing.T) {
	m := sphere(64, 32)
	levels := Ladder(m, m.Bounds().Centre())
	require.Same(t, m, levels[0].Mesh)
	require.Zero(t, levels[0].Deviation)
	require.Greater(t, len(levels), 4)
	for i := 1; i < len(levels); i++ {
		require.LessOrEqual(t, 2*len(levels[i].Mesh.Triangles), len(levels[i-1].Mesh.Triangles))
		require.Less(t, levels[i].Deviation, 0.2)
	}
}

// TestLastEdgesComeFromAllOver: where the target is near, the least edges of all go, not
// those of the first block.
func TestLastEdgesComeFromAllOver(t *testing.T) {
	m := panel(96, 48, 0.2)
	for i := range m.Positions {
		m.Positions[i][2] += 0.002 * float64(i*7919%101) / 101
	}
	s := newSurface(m)
	newRun(s).to(s.live - 40)
	blocks := map[int]bool{}
	for i, u := range s.triangles {
		if u.v[0] == dead {
			blocks[i>>blockBits] = true
		}
	}
	require.Greater(t, len(blocks), 2)
}
