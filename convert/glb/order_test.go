package glb

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// misses counts how many vertices a GPU shades that remembers the last n.
func misses(index []int32, n int) int {
	var cache []int32
	count := 0
	for _, v := range index {
		if !slices.Contains(cache, v) {
			count++
			cache = append(cache, v)
			cache = cache[max(0, len(cache)-n):]
		}
	}
	return count
}

// From any order a triangle comes to be little more than a byte of the stream, and a
// vertex is shaded about as often as in a strip.
func TestOrderSuitsStreamAndCache(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{"sphere": solid.Sphere(1, 100, 100), "can": solid.Cylinder(1, 3, 200, false)} {
		r := rand.New(rand.NewPCG(1, 2))
		r.Shuffle(len(m.Triangles), func(i, k int) { m.Triangles[i], m.Triangles[k] = m.Triangles[k], m.Triangles[i] })
		v := arrange(m, shade(m))
		n := float64(len(m.Triangles))
		require.Less(t, float64(misses(v.index, 16))/n, 1.05, name)
		require.Less(t, float64(len(packedTriangles(v.index)))/n, 1.1, name)
	}
}

// Any soup keeps its triangles, group by group, and has its vertices in the order of
// their first use.
func TestOrderKeepsTriangles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := &mesh.Mesh{}
		n := rapid.IntRange(3, 30).Draw(t, "vertices")
		for range n {
			m.Positions = append(m.Positions, mesh.Vec{float64(rapid.IntRange(0, 3).Draw(t, "x")), float64(rapid.IntRange(0, 3).Draw(t, "y")), 0})
		}
		for range rapid.IntRange(1, 60).Draw(t, "triangles") {
			v := func() int32 { return int32(rapid.IntRange(0, n-1).Draw(t, "v")) }
			m.Triangles = append(m.Triangles, [3]int32{v(), v(), v()})
			m.Group = append(m.Group, int32(rapid.IntRange(0, 1).Draw(t, "group")))
		}
		list := func(v shaded) (out [][4]int32) {
			for _, p := range v.primitives {
				for i := p.First; i < p.First+p.Count; i += 3 {
					a, b, c := v.position[v.index[i]], v.position[v.index[i+1]], v.position[v.index[i+2]]
					for a > b || a > c || a == c && b > a {
						a, b, c = b, c, a
					}
					out = append(out, [4]int32{int32(p.Group), a, b, c})
				}
			}
			slices.SortFunc(out, func(a, b [4]int32) int { return slices.Compare(a[:], b[:]) })
			return out
		}
		got := arrange(m, shade(m))
		require.Equal(t, list(shade(m)), list(got))
		next := int32(0)
		for _, v := range got.index {
			require.LessOrEqual(t, v, next)
			next = max(next, v+1)
		}
	})
}
