package reduce

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// pleated is m with a vertex on every third edge, a hair beyond it, so that the sliver
// which closes the gap faces inwards, as tessellators leave them.
func pleated(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Positions: append([]mesh.Vec(nil), m.Positions...)}
	for i, t := range m.Triangles {
		a, b, c := t[0], t[1], t[2]
		if i%3 != 0 || m.Positions[a] == m.Positions[b] {
			out.Triangles = append(out.Triangles, t)
			continue
		}
		middle := m.Positions[a].Add(m.Positions[b]).Scale(0.5)
		away := middle.Sub(m.Positions[c]).Scale(1e-7)
		v := int32(len(out.Positions))
		out.Positions = append(out.Positions, middle.Add(away))
		out.Triangles = append(out.Triangles, [3]int32{a, v, c}, [3]int32{v, b, c}, [3]int32{b, v, a})
	}
	return out
}

// TestSliversHoldNothingBack: a sliver that faces inwards must not keep its neighbours
// from going, nor cost error.
func TestSliversHoldNothingBack(t *testing.T) {
	plain := torus(96, 48, 0.4)
	m := pleated(plain)
	require.Greater(t, len(m.Triangles), len(plain.Triangles)*3/2)
	for _, n := range []int{2000, 400} {
		want, _ := Reduce(plain, Options{Triangles: n})
		r, report := Reduce(m, Options{Triangles: n})
		require.True(t, report.Reached, report.Reason)
		require.LessOrEqual(t, Deviation(plain, r), 1.5*Deviation(plain, want))
	}
}

// TestThinSidesKeepTheirEdges: the sides of a plate are thin and no slivers.
func TestThinSidesKeepTheirEdges(t *testing.T) {
	r, report := Reduce(solid.Cylinder(1, 0.004, 12, true), Options{Triangles: 40})
	require.True(t, report.Reached)
	require.Len(t, r.Smooth, len(r.Positions))
	for i, p := range r.Positions {
		require.Equal(t, math.Hypot(p[0], p[1]) < 0.5, r.Smooth[i], "%v", p)
	}
}
