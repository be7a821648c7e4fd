package reduce

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/mesh"
)

// health is what a reduction may not make worse, counted without the package's own code.
type health struct {
	vertices, edges, triangles int
	border, folds, misturned   int // edges of one triangle, of three or more, of two that run alike
	repeated, twice, thin      int // triangles with a corner twice, of the same corners, of no height
	shells                     int
	volume, area, rim          float64 // rim: the length of the edges of one triangle
}

func healthOf(m *mesh.Mesh) health {
	var h health
	type side struct{ there, back int }
	edges := map[[2]int32]side{}
	faces := map[[3]int32]bool{}
	parent := make([]int32, len(m.Positions))
	for i := range parent {
		parent[i] = int32(i)
	}
	find := func(v int32) int32 {
		for parent[v] != v {
			v = parent[v]
		}
		return v
	}
	for _, t := range m.Triangles {
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			h.repeated++
			continue
		}
		h.triangles++
		sorted := t
		slices.Sort(sorted[:])
		if faces[sorted] {
			h.twice++
		}
		faces[sorted] = true
		p, q, r := m.Positions[t[0]], m.Positions[t[1]], m.Positions[t[2]]
		n := q.Sub(p).Cross(r.Sub(p))
		longest := max(q.Distance(p), r.Distance(q), p.Distance(r))
		if n.Length() <= 1e-6*longest*longest {
			h.thin++
		}
		h.area += n.Length() / 2
		h.volume += p.Cross(q).Dot(r) / 6
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			parent[find(a)] = find(b)
			if a < b {
				s := edges[[2]int32{a, b}]
				s.there++
				edges[[2]int32{a, b}] = s
			} else {
				s := edges[[2]int32{b, a}]
				s.back++
				edges[[2]int32{b, a}] = s
			}
		}
	}
	for e, s := range edges {
		h.edges++
		switch {
		case s.there+s.back == 1:
			h.border++
			h.rim += m.Positions[e[0]].Distance(m.Positions[e[1]])
		case s.there+s.back > 2:
			h.folds++
		case s.there != 1:
			h.misturned++
		}
	}
	used := map[int32]bool{}
	for f := range faces {
		for _, v := range f {
			used[v] = true
		}
	}
	h.vertices = len(used)
	for v := range used {
		if find(v) == v {
			h.shells++
		}
	}
	return h
}

func (h health) euler() int { return h.vertices - h.edges + h.triangles }

// soundness checks what holds for any input at all.
func soundness(t require.TestingT, m, r *mesh.Mesh, o Options, report Report) {
	before, after := healthOf(m), healthOf(r)
	switch {
	case o == Options{}: // nothing was asked for
		require.Same(t, m, r)
	case report.Reached:
		require.LessOrEqual(t, after.triangles, max(o.Triangles, leastTriangles))
	default:
		require.NotEmpty(t, report.Reason)
	}
	require.LessOrEqual(t, after.triangles, before.triangles)
	require.GreaterOrEqual(t, after.triangles, min(before.triangles, leastTriangles))
	require.Equal(t, before.shells, after.shells, "shells")
	require.LessOrEqual(t, after.folds, before.folds, "folds")
	require.LessOrEqual(t, after.twice, before.twice, "triangles twice")
	require.LessOrEqual(t, after.thin, before.thin, "thin triangles")
	if len(r.Triangles) < len(m.Triangles) {
		require.Zero(t, after.repeated)
		require.Equal(t, after.vertices, len(r.Positions), "unused vertices")
	}
	if m.Group != nil {
		require.Len(t, r.Group, len(r.Triangles))
	}
	for _, p := range r.Positions {
		require.False(t, math.IsNaN(p[0]+p[1]+p[2]) || math.IsInf(p[0]+p[1]+p[2], 0))
	}
}

// faithful checks a reduced solid or sheet against its source.
func faithful(t require.TestingT, m, r *mesh.Mesh) {
	before, after := healthOf(m), healthOf(r)
	d := Deviation(m, r)
	require.Equal(t, before.euler(), after.euler(), "Euler characteristic")
	require.Equal(t, before.folds+before.misturned, after.folds+after.misturned)
	require.Equal(t, before.border == 0, after.border == 0, "watertight")
	if before.border == 0 {
		require.InDelta(t, before.volume, after.volume, d*max(before.area, after.area)+1e-12)
	}
	b, c := m.Bounds(), r.Bounds()
	for k := range 3 {
		require.InDelta(t, b.Min[k], c.Min[k], d+1e-12)
		require.InDelta(t, b.Max[k], c.Max[k], d+1e-12)
	}
	require.Zero(t, turned(m, r), "triangles that face the other way")
	require.GreaterOrEqual(t, d, 0.999*distanceByForce(m, r))
}

// turned counts triangles of r whose middle has no triangle of m at its distance
// that faces the same way.
func turned(m, r *mesh.Mesh) int {
	count := 0
	for _, v := range r.Triangles {
		a, b, c := r.Positions[v[0]], r.Positions[v[1]], r.Positions[v[2]]
		n := b.Sub(a).Cross(c.Sub(a))
		p := a.Add(b).Add(c).Scale(1.0 / 3)
		distance := make([]float64, len(m.Triangles))
		for i, w := range m.Triangles {
			distance[i] = distanceToTriangle(p, m.Positions[w[0]], m.Positions[w[1]], m.Positions[w[2]])
		}
		nearest, agrees := slices.Min(distance), false
		for i, w := range m.Triangles {
			x, y, z := m.Positions[w[0]], m.Positions[w[1]], m.Positions[w[2]]
			if distance[i] <= nearest*1.001+1e-9 {
				agrees = agrees || y.Sub(x).Cross(z.Sub(x)).Dot(n) > 0
			}
		}
		if !agrees {
			count++
		}
	}
	return count
}

// solids are closed, or a sheet, each with triangles to spare.
var solids = map[string]func(n int) *mesh.Mesh{
	"box":      func(n int) *mesh.Mesh { return box(n/2, mesh.Vec{1, 2, 3}) },
	"sphere":   func(n int) *mesh.Mesh { return sphere(2*n, n) },
	"torus":    func(n int) *mesh.Mesh { return torus(2*n, n, 0.4) },
	"cylinder": func(n int) *mesh.Mesh { return cylinder(2*n, n/2, n/4) },
	"panel":    func(n int) *mesh.Mesh { return panel(2*n, n, 0.2) },
}

func TestReduceKeepsSolidsFaithful(t *testing.T) {
	for name, make := range solids {
		for _, target := range []int{400, 150, 60, 24} {
			if name == "torus" && target == 24 {
				continue // too coarse for its middle to lie near the source
			}
			t.Run(fmt.Sprint(name, target), func(t *testing.T) {
				m := make(14)
				o := Options{Triangles: target}
				r, report := Reduce(m, o)
				require.True(t, report.Reached, report.Reason)
				soundness(t, m, r, o, report)
				faithful(t, m, r)
				again, _ := Reduce(m, o)
				require.Equal(t, r, again)
			})
		}
	}
}

// drawSolids draws some solids and sheets apart, and with luck some of their triangles
// twice, or with one corner pushed onto the opposite edge.
func drawSolids(t *rapid.T) (m *mesh.Mesh, clean bool) {
	m = &mesh.Mesh{}
	for i := range rapid.IntRange(1, 3).Draw(t, "shells") {
		name := rapid.SampledFrom([]string{"box", "sphere", "torus", "cylinder", "panel"}).Draw(t, "solid")
		one := solids[name](2 * rapid.IntRange(3, 4).Draw(t, "size"))
		base := int32(len(m.Positions))
		for _, p := range one.Positions {
			m.Positions = append(m.Positions, p.Add(mesh.Vec{4 * float64(i), 0, 0}))
		}
		for _, v := range one.Triangles {
			m.Triangles = append(m.Triangles, [3]int32{v[0] + base, v[1] + base, v[2] + base})
		}
	}
	twice, slivers := rapid.IntRange(-8, 8).Draw(t, "twice"), rapid.IntRange(-8, 8).Draw(t, "slivers")
	for range max(0, twice) {
		m.Triangles = append(m.Triangles, m.Triangles[rapid.IntRange(0, len(m.Triangles)-1).Draw(t, "copied")])
	}
	for range max(0, slivers) {
		v := m.Triangles[rapid.IntRange(0, len(m.Triangles)-1).Draw(t, "pushed")]
		m.Positions[v[0]] = m.Positions[v[1]].Add(m.Positions[v[2]]).Scale(0.5)
	}
	return m, twice <= 0 && slivers <= 0
}

func TestReduceKeepsLengthOfBorder(t *testing.T) {
	m := panel(64, 32, 0.2)
	r, report := Reduce(m, Options{Triangles: len(m.Triangles) / 40})
	require.True(t, report.Reached, report.Reason)
	require.InDelta(t, healthOf(m).rim, healthOf(r).rim, 0.01*healthOf(m).rim)
}

// TestReduceKeepsAnySolids: what is clean stays faithful; what is not is reduced all the
// same.
func TestReduceKeepsAnySolids(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, clean := drawSolids(t)
		o := Options{Triangles: len(m.Triangles) / rapid.IntRange(2, 6).Draw(t, "ratio")}
		r, report := Reduce(m, o)
		soundness(t, m, r, o, report)
		require.True(t, report.Reached, report.Reason)
		again, _ := Reduce(m, o)
		require.Equal(t, r, again)
		if !clean {
			return
		}
		before, after := healthOf(m), healthOf(r)
		d := Deviation(m, r)
		require.Equal(t, before.euler(), after.euler())
		require.Equal(t, before.folds+before.misturned, after.folds+after.misturned)
		if before.rim == 0 {
			require.InDelta(t, before.volume, after.volume, d*max(before.area, after.area)+1e-12)
		}
		b, c := m.Bounds(), r.Bounds()
		for k := range 3 {
			require.InDelta(t, b.Min[k], c.Min[k], d+1e-12)
			require.InDelta(t, b.Max[k], c.Max[k], d+1e-12)
		}
	})
}

// drawSoup draws triangles at random over few points, so that they meet in all the
// ways that no surface should.
func drawSoup(t *rapid.T) *mesh.Mesh {
	n := rapid.IntRange(4, 24).Draw(t, "vertices")
	m := &mesh.Mesh{}
	for range n {
		p := rapid.SliceOfN(rapid.IntRange(0, 6), 3, 3).Draw(t, "at")
		m.Positions = append(m.Positions, mesh.Vec{float64(p[0]), float64(p[1]), float64(p[2])})
	}
	grouped := rapid.Bool().Draw(t, "grouped")
	for range rapid.IntRange(1, 60).Draw(t, "triangles") {
		v := rapid.SliceOfN(rapid.Int32Range(0, int32(n-1)), 3, 3).Draw(t, "triangle")
		m.Triangles = append(m.Triangles, [3]int32(v))
		if grouped {
			m.Group = append(m.Group, rapid.Int32Range(0, 2).Draw(t, "group"))
		}
	}
	return m
}

func TestReduceAnySoup(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawSoup(t)
		o := Options{Triangles: rapid.IntRange(1, 30).Draw(t, "target")}
		before := fmt.Sprint(m)
		r, report := Reduce(m, o)
		soundness(t, m, r, o, report)
		require.Equal(t, before, fmt.Sprint(m), "the source changed")
		again, _ := Reduce(m, o)
		require.Equal(t, r, again)
	})
}

// FuzzReduce reads a soup from bytes: three a vertex, then three a triangle.
func FuzzReduce(f *testing.F) {
	f.Add(uint8(4), uint8(4), uint8(0), []byte{0, 0, 0, 9, 0, 0, 0, 9, 0, 0, 0, 9, 0, 2, 1, 0, 1, 3, 1, 2, 3, 0, 3, 2})
	f.Add(uint8(0), uint8(0), uint8(2), []byte("000000000102021021102210"))
	f.Add(uint8(6), uint8(5), uint8(1), []byte("eighteen bytes of vertices and then some triangles"))
	f.Fuzz(func(t *testing.T, vertices, target, mode uint8, data []byte) {
		n := int(vertices)%64 + 3
		if len(data) < 3*n {
			return
		}
		scale := []float64{1, 1e-6, 1e6, 1}[mode&3]
		offset := []float64{0, 0, 0, 1e5}[mode&3]
		m := &mesh.Mesh{}
		for i := range n {
			p := mesh.Vec{float64(int8(data[3*i])), float64(int8(data[3*i+1])), float64(int8(data[3*i+2]))}
			m.Positions = append(m.Positions, p.Scale(scale).Add(mesh.Vec{offset, offset, offset}))
		}
		for rest := data[3*n:]; len(rest) >= 3; rest = rest[3:] {
			m.Triangles = append(m.Triangles, [3]int32{int32(rest[0]) % int32(n), int32(rest[1]) % int32(n), int32(rest[2]) % int32(n)})
		}
		o := Options{Triangles: int(target)}
		r, report := Reduce(m, o)
		soundness(t, m, r, o, report)
	})
}
