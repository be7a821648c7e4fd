package reduce

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/mesh"
)

// quilt is a wavy sheet with holes of n × n quads, cut into k × k patches, each a mesh
// of its own.
func quilt(n, k int) *mesh.Scene {
	builders := make([]builder, k*k)
	at := func(i, j int) mesh.Vec {
		x, y := float64(i)/float64(n), float64(j)/float64(n)
		return mesh.Vec{200 * x, 200 * y, 4*math.Sin(9*x)*math.Cos(7*y) + 3*x*y}
	}
	for i := range n {
		for j := range n {
			b := &builders[i*k/n*k+j*k/n]
			if (i*16/n)%4 == 1 && (j*16/n)%4 == 2 {
				continue
			}
			b.triangle(at(i, j), at(i+1, j), at(i+1, j+1))
			b.triangle(at(i, j), at(i+1, j+1), at(i, j+1))
		}
	}
	s := &mesh.Scene{}
	for i := range builders {
		s.Roots = append(s.Roots, i)
		s.Nodes = append(s.Nodes, mesh.Node{Transform: mesh.Identity(), Mesh: i})
		s.Meshes = append(s.Meshes, &builders[i].m)
	}
	return s
}

type placedEdge [2]mesh.Vec

// bordersByGroup gives the open edges of each group's triangles by where they run.
func bordersByGroup(m *mesh.Mesh) []map[placedEdge]bool {
	out := make([]map[placedEdge]bool, m.Groups())
	for g := range out {
		out[g] = map[placedEdge]bool{}
	}
	for i, t := range m.Triangles {
		open := out[m.Group[i]]
		for k := range 3 {
			a, b := m.Positions[t[k]], m.Positions[t[(k+1)%3]]
			if open[placedEdge{b, a}] {
				delete(open, placedEdge{b, a})
			} else {
				open[placedEdge{a, b}] = true
			}
		}
	}
	return out
}

// seamEdges counts the edges that two groups meet at, from both sides in the same
// places, and those of one side alone.
func seamEdges(m *mesh.Mesh) (closed, open int) {
	borders := bordersByGroup(m)
	for g, border := range borders {
		for e := range border {
			met := false
			for o := range borders {
				met = met || o != g && borders[o][placedEdge{e[1], e[0]}]
			}
			if met {
				closed++
			} else {
				open++
			}
		}
	}
	return closed / 2, open
}

// TestSeamsOfPatchesStayClosedAndThin: of four patches to a tenth of the triangles,
// each edge of the seam has its twin, and no more of them are left than 65 of 100.
func TestSeamsOfPatchesStayClosedAndThin(t *testing.T) {
	m := quilt(96, 2).Patches()[0].Mesh
	before, _ := seamEdges(m)
	r, report := Reduce(m, Options{Triangles: len(m.Triangles) / 10})
	require.True(t, report.Reached, report.Reason)
	closed, open := seamEdges(r)
	h := healthOf(r)
	require.Equal(t, h.border, open, "a gap between patches")
	require.Equal(t, healthOf(m).euler(), h.euler())
	require.LessOrEqual(t, float64(closed), 0.65*float64(before))
	require.Positive(t, closed)
}

func TestSeamsOfAnyQuiltStayClosed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 4).Draw(t, "patches")
		m := quilt(rapid.IntRange(3, 6).Draw(t, "quads")*k, k).Patches()[0].Mesh
		target := rapid.IntRange(2, len(m.Triangles)).Draw(t, "target")
		r, _ := Reduce(m, Options{Triangles: target})
		_, open := seamEdges(r)
		require.Equal(t, healthOf(r).border, open, "a gap between patches")
		if target >= 10*k*k { // fewer may leave a patch no triangle
			require.Equal(t, m.Groups(), r.Groups())
		}
	})
}

// TestFixedVerticesStay: at every level of each patch's own ladder the border that it
// shares is where it was, to the bit, and so are the bytes about the common centre.
func TestFixedVerticesStay(t *testing.T) {
	p := quilt(48, 2).Patches()[0]
	centre := p.Mesh.Bounds().Centre().Add(mesh.Vec{1e5 / 3.0, 2e5 / 7.0, 0})
	for i, m := range p.Alone {
		levels := Ladder(m, centre)
		require.Greater(t, len(levels), 2)
		require.Less(t, len(levels[2].Mesh.Triangles), len(m.Triangles)/3)
		for n, l := range levels[1:] {
			has := map[mesh.Vec]bool{}
			for _, q := range l.Mesh.Positions {
				has[q] = true
			}
			border := bordersByGroup(&mesh.Mesh{Positions: l.Mesh.Positions, Triangles: l.Mesh.Triangles, Group: make([]int32, len(l.Mesh.Triangles))})[0]
			shared := 0
			for _, t3 := range m.Triangles {
				for k := range 3 {
					a, b := t3[k], t3[(k+1)%3]
					if !m.Fixed[a] || !m.Fixed[b] || !isBorder(m, a, b) {
						continue
					}
					e := placedEdge{single(m.Positions[a], centre), single(m.Positions[b], centre)}
					require.True(t, border[e], "patch %d level %d: edge %v is gone", i, n+1, e)
					shared++
				}
			}
			require.Positive(t, shared)
		}
	}
}

func isBorder(m *mesh.Mesh, a, b int32) bool {
	for _, t := range m.Triangles {
		for k := range 3 {
			if t[k] == b && t[(k+1)%3] == a {
				return false
			}
		}
	}
	return true
}
