package reduce

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
)

func TestReduceLeavesWhatIsSmallEnough(t *testing.T) {
	m := box(1, mesh.Vec{})
	r, report := Reduce(m, Options{Triangles: 12})
	require.Same(t, m, r)
	require.True(t, report.Reached)
	r, _ = Reduce(m, Options{})
	require.Same(t, m, r)
	r, report = Reduce(&mesh.Mesh{}, Options{Triangles: 5})
	require.Empty(t, r.Triangles)
	require.True(t, report.Reached)
}

// TestReduceEndsAtATetrahedron: a closed surface has no fewer triangles.
func TestReduceEndsAtATetrahedron(t *testing.T) {
	m := sphere(12, 8)
	r, report := Reduce(m, Options{Triangles: 1})
	require.True(t, report.Reached || report.Reason != "")
	require.GreaterOrEqual(t, len(r.Triangles), 4)
	require.Zero(t, healthOf(r).border)
}

// TestReduceFlatSquareToItsCorners: nothing but the four corners carries the shape.
func TestReduceFlatSquareToItsCorners(t *testing.T) {
	r, _ := Reduce(panel(20, 10, 0), Options{Triangles: 4})
	h := healthOf(r)
	require.LessOrEqual(t, h.triangles, 4)
	require.InDelta(t, 2, h.area, 2e-6)
}

func TestReduceKeepsCylinderCreases(t *testing.T) {
	m := cylinder(48, 12, 8)
	r, report := Reduce(m, Options{Triangles: 180})
	require.True(t, report.Reached, report.Reason)
	for _, p := range r.Positions {
		if p[2] > 1-1e-5 || p[2] < -1+1e-5 {
			continue
		}
		require.Less(t, p[2], 1.0-0.05, "a vertex near the crease but not on it")
		require.Greater(t, p[2], -1.0+0.05)
	}
	faithful(t, m, r)
}

func TestReduceKeepsSeamBetweenGroups(t *testing.T) {
	m := panel(40, 20, 0.05)
	for _, v := range m.Triangles {
		g := int32(0)
		if m.Positions[v[0]].Add(m.Positions[v[1]]).Add(m.Positions[v[2]])[0] > 3 {
			g = 1
		}
		m.Group = append(m.Group, g)
	}
	r, report := Reduce(m, Options{Triangles: 120})
	require.True(t, report.Reached, report.Reason)
	require.Len(t, r.Group, len(r.Triangles))
	for i, v := range r.Triangles {
		for _, p := range v {
			x := r.Positions[p][0]
			if r.Group[i] == 0 {
				require.LessOrEqual(t, x, 1+1e-3)
			} else {
				require.GreaterOrEqual(t, x, 1-1e-3)
			}
		}
	}
	faithful(t, m, r)
}

// shelves is n boxes apart, each of 12 × k × k triangles.
func shelves(n, k int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range n {
		b := box(k, mesh.Vec{2 * float64(i%10), 2 * float64(i/10), 0})
		base := int32(len(m.Positions))
		m.Positions = append(m.Positions, b.Positions...)
		for _, v := range b.Triangles {
			m.Triangles = append(m.Triangles, [3]int32{v[0] + base, v[1] + base, v[2] + base})
		}
	}
	return m
}

func TestReduceManyShellsToTheLast(t *testing.T) {
	m := shelves(50, 4)
	r, report := Reduce(m, Options{Triangles: 50 * 12})
	require.True(t, report.Reached, report.Reason)
	require.Len(t, r.Triangles, 50*12)
	require.Equal(t, 50, healthOf(r).shells)
	require.InDelta(t, 50, healthOf(r).volume, 1e-5)

	r, report = Reduce(m, Options{Triangles: 100})
	require.False(t, report.Reached)
	require.NotEmpty(t, report.Reason)
	require.Equal(t, 50, healthOf(r).shells, "a shell vanished")
	require.LessOrEqual(t, len(r.Triangles), 50*8)
}

// TestReduceCollapsesAcrossFolds: boxes that share faces' edges, so that edges have
// four triangles, with some triangles twice and some of no height.
func TestReduceCollapsesAcrossFolds(t *testing.T) {
	var b builder
	for i := range 4 {
		for _, v := range box(6, mesh.Vec{float64(i), float64(i), 0}).Triangles {
			p := box(6, mesh.Vec{float64(i), float64(i), 0}).Positions
			b.triangle(p[v[0]], p[v[1]], p[v[2]])
		}
	}
	m := &b.m
	require.Positive(t, healthOf(m).folds)
	m.Triangles = append(m.Triangles, m.Triangles[:20]...)
	o := Options{Triangles: len(m.Triangles) / 10}
	r, report := Reduce(m, o)
	require.True(t, report.Reached, report.Reason)
	soundness(t, m, r, o, report)
}

// TestReduceKeepsWhatHangsOnTwoTriangles: back to back, they are all that joins the rest.
func TestReduceKeepsWhatHangsOnTwoTriangles(t *testing.T) {
	m := &mesh.Mesh{Positions: make([]mesh.Vec, 13)}
	m.Triangles = [][3]int32{{0, 1, 2}, {0, 6, 7}, {0, 6, 7}, {3, 4, 5}, {4, 1, 12}, {12, 1, 4}}
	o := Options{Triangles: 1}
	r, report := Reduce(m, o)
	soundness(t, m, r, o, report)
}

func TestReduceStopsAtDeviation(t *testing.T) {
	m := sphere(48, 24)
	few, _ := Reduce(m, Options{Deviation: 0.05})
	require.LessOrEqual(t, distanceByForce(m, few), 0.05)
	require.Less(t, len(few.Triangles), len(m.Triangles)/4)
	finer, _ := Reduce(m, Options{Deviation: 0.01})
	require.Greater(t, len(finer.Triangles), len(few.Triangles))
	both, report := Reduce(m, Options{Triangles: 10, Deviation: 0.05})
	require.False(t, report.Reached)
	require.NotEmpty(t, report.Reason)
	require.LessOrEqual(t, distanceByForce(m, both), 0.05)
}

// TestReduceFarFromOrigin: planes are kept near their vertices, so a place in the
// field costs nothing but the last digits of the positions.
func TestReduceFarFromOrigin(t *testing.T) {
	far := mesh.Vec{4096, -8192, 1024}
	m := sphere(40, 20)
	moved := &mesh.Mesh{Triangles: m.Triangles}
	for _, p := range m.Positions {
		moved.Positions = append(moved.Positions, p.Add(far))
	}
	r, _ := Reduce(m, Options{Triangles: 300})
	s, _ := Reduce(moved, Options{Triangles: 300})
	require.Len(t, s.Triangles, len(r.Triangles))
	require.InDelta(t, Deviation(m, r), Deviation(moved, s), 0.01)
}

func TestLadderLevelsAreAsGoodAsReduce(t *testing.T) {
	for _, m := range []*mesh.Mesh{torus(96, 48, 0.4), panel(96, 48, 0.2), cylinder(96, 24, 10)} {
		for _, l := range Ladder(m, m.Bounds().Centre())[1:] {
			r, _ := Reduce(m, Options{Triangles: len(l.Mesh.Triangles)})
			require.InDelta(t, rms(m, r), rms(m, l.Mesh), 1e-6, "%d triangles", len(r.Triangles))
		}
	}
}

// rms is over the vertices and the middles of m.
func rms(m, r *mesh.Mesh) float64 {
	tree := newTree(r)
	sum, n := 0.0, 0
	add := func(p mesh.Vec) {
		d2, _ := tree.nearest(&p, 0)
		sum += d2
		n++
	}
	for _, v := range m.Triangles {
		add(m.Positions[v[0]].Add(m.Positions[v[1]]).Add(m.Positions[v[2]]).Scale(1.0 / 3))
	}
	for _, p := range m.Positions {
		add(p)
	}
	return math.Sqrt(sum / float64(n))
}

// BenchmarkReduce is to a tenth of the triangles.
func BenchmarkReduce(b *testing.B) {
	for _, size := range []struct {
		name   string
		nu, nv int
	}{{"10k", 100, 50}, {"100k", 320, 160}, {"1m", 1000, 500}} {
		b.Run(size.name, func(b *testing.B) {
			m := torus(size.nu, size.nv, 0.4)
			for b.Loop() {
				Reduce(m, Options{Triangles: len(m.Triangles) / 10})
			}
			b.ReportMetric(float64(len(m.Triangles))*float64(b.N)/b.Elapsed().Seconds(), "triangles/s")
		})
	}
}

// BenchmarkLadder and BenchmarkDeviation also say how many reductions to a tenth they
// cost.
func BenchmarkLadder(b *testing.B) {
	m := torus(320, 160, 0.4)
	inReductions(b, m, func() { Ladder(m, m.Bounds().Centre()) })
}

func BenchmarkDeviation(b *testing.B) {
	m := torus(320, 160, 0.4)
	tenth, _ := Reduce(m, Options{Triangles: len(m.Triangles) / 10})
	inReductions(b, m, func() { Deviation(m, tenth) })
}

func inReductions(b *testing.B, m *mesh.Mesh, do func()) {
	var reducing time.Duration
	for b.Loop() {
		do()
		b.StopTimer()
		begin := time.Now()
		Reduce(m, Options{Triangles: len(m.Triangles) / 10})
		reducing += time.Since(begin)
		b.StartTimer()
	}
	b.ReportMetric(float64(b.Elapsed())/float64(reducing), "reductions")
}
