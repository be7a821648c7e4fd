package reduce

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
)

// TestReduceKeepsVolumeOfSphere: tangent planes meet outside of a sphere, chords lie
// inside; the fit balances them.
func TestReduceKeepsVolumeOfSphere(t *testing.T) {
	m := sphere(96, 48)
	// One round of the fit leaves 1 % and 2.5 %, none 2.6 % and 5.8 %.
	for triangles, lost := range map[int]float64{240: 0.003, 100: 0.006} {
		r, report := Reduce(m, Options{Triangles: triangles})
		require.True(t, report.Reached, report.Reason)
		require.InDelta(t, 1, healthOf(r).volume/healthOf(m).volume, lost)
	}
}

// TestEdgeErrorHoldsBorder: an inner vertex goes to the border's, not halfway.
func TestEdgeErrorHoldsBorder(t *testing.T) {
	s := newSurface(panel(24, 12, 0.2))
	held := 0
	for _, f := range s.triangles {
		for k := range 3 {
			a, b := f.v[k], f.v[after[k]]
			if s.vertices[a].marks&onBorder == 0 || s.vertices[b].marks&onBorder != 0 {
				continue
			}
			held++
			for _, e := range [2][2]int32{{a, b}, {b, a}} {
				x, y, z, _ := s.edgeError(e[0], e[1])
				require.InDelta(t, 0, mesh.Vec{x, y, z}.Distance(s.vertices[a].at), 1e-15)
			}
		}
	}
	require.Positive(t, held)
}
