package demo

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shells splits a mesh into its connected surfaces.
func shells(s *solid.Solid) []*solid.Solid {
	parent := make([]int32, len(s.Points))
	for i := range parent {
		parent[i] = int32(i)
	}
	find := func(i int32) int32 {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for _, t := range s.Triangles {
		parent[find(t[1])] = find(t[0])
		parent[find(t[2])] = find(t[0])
	}
	at := map[int32]int{}
	var out []*solid.Solid
	for _, t := range s.Triangles {
		r := find(t[0])
		if _, ok := at[r]; !ok {
			at[r] = len(out)
			out = append(out, &solid.Solid{Points: s.Points})
		}
		o := out[at[r]]
		o.Triangles = append(o.Triangles, t)
	}
	return out
}

// leaks counts edges that are not used exactly once each way, and triangles
// without area.
func leaks(s *solid.Solid) (edges, flat int) {
	count := map[[2]int32]int{}
	for _, t := range s.Triangles {
		a, b, c := s.Points[t[0]], s.Points[t[1]], s.Points[t[2]]
		if b.Sub(a).Cross(c.Sub(a)).Length() == 0 {
			flat++
		}
		for k := range 3 {
			count[[2]int32{t[k], t[(k+1)%3]}]++
		}
	}
	for e, n := range count {
		if n != 1 || count[[2]int32{e[1], e[0]}] != 1 {
			edges++
		}
	}
	return edges, flat
}

func TestEveryMeshIsClosedAndFacesOutwards(t *testing.T) {
	out := files(t)
	total := 0
	for _, name := range slices.Sorted(maps.Keys(out)) {
		distinct := map[string]bool{}
		for node, s := range surfaces(t, name, out[name]) {
			edges, flat := leaks(s)
			assert.Zero(t, edges, "open edges in %s %s", name, node)
			assert.Zero(t, flat, "triangles without area in %s %s", name, node)
			for _, shell := range shells(s) {
				assert.Positive(t, shell.Volume(), "%s %s is inside out", name, node)
			}
			if kind := strings.TrimRight(node, "0123456789"); !distinct[kind] {
				distinct[kind] = true
				total += len(s.Triangles)
			}
		}
	}
	t.Logf("%d distinct source triangles", total)
	assert.Greater(t, total, 200_000)
	assert.Less(t, total, 400_000)
}

func TestMirroredMeshWouldBeSeen(t *testing.T) {
	s := readSTL(t, files(t)["geometry/nut-m12.stl"])
	for i := range s.Triangles {
		s.Triangles[i][1], s.Triangles[i][2] = s.Triangles[i][2], s.Triangles[i][1]
	}
	assert.Negative(t, s.Volume())
	s.Triangles = s.Triangles[1:]
	edges, _ := leaks(s)
	assert.Equal(t, 3, edges)
}

func TestMaterialsAndNodesOfTheBearing(t *testing.T) {
	nodes := readGLB(t, files(t)["geometry/bearing-30x62x16.glb"])
	assert.Len(t, nodes, 3+inputBearing.count)
	for _, n := range []string{"outer-ring", "inner-ring", "cage", "ball-1", "ball-9"} {
		assert.Contains(t, nodes, n)
	}
	// ISO 15 boundary dimensions of the series 62, bore 30.
	b := nodes["outer-ring"].Bounds()
	assert.InDelta(t, 62, b.Max[0]-b.Min[0], 1e-3)
	assert.InDelta(t, 16, b.Max[2]-b.Min[2], 1e-3)
}

func TestBoltsSitInHoles(t *testing.T) {
	all := placed(t)
	through := map[string]bool{"housing": true, "cap": true, "cover": true}
	size := map[string]fastener{"P-5010": m12, "P-5020": m10, "P-5030": m8, "P-5040": m6}
	length := map[string]float64{"P-5010": 100, "P-5020": 50, "P-5030": 30, "P-5040": 20}
	bolts := 0
	for _, b := range all {
		f, ok := size[b.item]
		if !ok {
			continue
		}
		bolts++
		// The bolt's frame: its seat at the origin, its shank along negative z.
		back := inverse(b.place)
		holes := 0
		for _, o := range all {
			if !through[o.class] {
				continue
			}
			near, hit := clearance(o.solids[""].Moved(back), length[b.item])
			assert.False(t, hit, "%s runs into %s", b.path, o.path)
			assert.Greater(t, near, f.diameter/2-0.005, "%s is too tight in %s", b.path, o.path)
			if near < f.diameter/2+1 {
				holes++
			}
		}
		assert.Equal(t, 2, holes, "%s passes through that many parts", b.path)
		assert.True(t, slices.ContainsFunc(all, func(o body) bool {
			seat := back.Point(o.place.Point(mesh.Vec{0, 0, f.sheet}))
			return o.class == "washer" && seat.Length() < 1e-5
		}), "no washer under the head of %s", b.path)
	}
	assert.Equal(t, 8+8+6*2+4*4+6, bolts)
}

// clearance is the least distance of a vertex from a shank of the given length,
// and whether a triangle crosses its axis.
func clearance(s *solid.Solid, length float64) (near float64, hit bool) {
	near = 1e9
	for _, p := range s.Points {
		if p[2] <= 0 && p[2] >= -length {
			near = min(near, mesh.Vec{p[0], p[1], 0}.Length())
		}
	}
	for _, t := range s.Triangles {
		if z, ok := above(s.Points[t[0]], s.Points[t[1]], s.Points[t[2]], mesh.Vec{}); ok && z < -1e-6 && z > -length {
			hit = true
		}
	}
	return near, hit
}

// above is the height at which the vertical through p meets a triangle.
func above(a, b, c, p mesh.Vec) (float64, bool) {
	side := func(u, v mesh.Vec) float64 { return (v[0]-u[0])*(p[1]-u[1]) - (v[1]-u[1])*(p[0]-u[0]) }
	x, y, z := side(b, c), side(c, a), side(a, b)
	sum := x + y + z
	if sum == 0 || x < 0 != (sum < 0) || y < 0 != (sum < 0) || z < 0 != (sum < 0) {
		return 0, false
	}
	return (x*a[2] + y*b[2] + z*c[2]) / sum, true
}

// inverse of a turn and a shift.
func inverse(m mesh.Mat) mesh.Mat {
	r := axes(mesh.Vec{m[0], m[4], m[8]}, mesh.Vec{m[1], m[5], m[9]}, mesh.Vec{m[2], m[6], m[10]}, mesh.Vec{})
	t := r.Point(mesh.Vec{m[12], m[13], m[14]}).Scale(-1)
	r[12], r[13], r[14] = t[0], t[1], t[2]
	return r
}

func TestWrittenTwiceIsTheSame(t *testing.T) {
	first := files(t)
	second, err := collect(1)
	require.NoError(t, err)
	require.Equal(t, slices.Sorted(maps.Keys(first)), slices.Sorted(maps.Keys(second)))
	for name, data := range first {
		assert.True(t, string(data) == string(second[name]), "%s differs", name)
	}
}
