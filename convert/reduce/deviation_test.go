package reduce

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/mesh"
)

// distanceToTriangle is the textbook's: the foot on the plane if it lies inside all
// three edges, or else the nearest of them.
func distanceToTriangle(p, a, b, c mesh.Vec) float64 {
	n := b.Sub(a).Cross(c.Sub(a)).Unit()
	inside := n != mesh.Vec{}
	best := math.Inf(1)
	for _, e := range [3][2]mesh.Vec{{a, b}, {b, c}, {c, a}} {
		way := e[1].Sub(e[0])
		inside = inside && n.Cross(way).Dot(p.Sub(e[0])) >= 0
		f := 0.0
		if way.Dot(way) > 0 {
			f = min(max(p.Sub(e[0]).Dot(way)/way.Dot(way), 0), 1)
		}
		best = min(best, p.Distance(e[0].Add(way.Scale(f))))
	}
	if inside {
		return math.Abs(n.Dot(p.Sub(a)))
	}
	return best
}

// distanceByForce samples both surfaces and tries all triangles, those that cannot
// be nearest by their bounding spheres aside, and points that are not the farthest so far.
func distanceByForce(a, b *mesh.Mesh) float64 {
	return max(oneWayByForce(a, b), oneWayByForce(b, a))
}

func oneWayByForce(from, to *mesh.Mesh) float64 {
	type ball struct {
		at     mesh.Vec
		radius float64
	}
	balls := make([]ball, len(to.Triangles))
	for i, v := range to.Triangles {
		a, b, c := to.Positions[v[0]], to.Positions[v[1]], to.Positions[v[2]]
		m := a.Add(b).Add(c).Scale(1.0 / 3)
		balls[i] = ball{m, max(m.Distance(a), m.Distance(b), m.Distance(c))}
	}
	steps := max(2, int(math.Sqrt(800/float64(len(from.Triangles)))))
	worst, last := 0.0, 0
	distance := func(p mesh.Vec, k int) float64 {
		w := to.Triangles[k]
		return distanceToTriangle(p, to.Positions[w[0]], to.Positions[w[1]], to.Positions[w[2]])
	}
	for _, v := range from.Triangles {
		a, b, c := from.Positions[v[0]], from.Positions[v[1]], from.Positions[v[2]]
		for i := range steps + 1 {
			for j := range steps + 1 - i {
				s, t := float64(i)/float64(steps), float64(j)/float64(steps)
				p := a.Add(b.Sub(a).Scale(s)).Add(c.Sub(a).Scale(t))
				d := distance(p, last)
				if d <= worst { // which is all that counts
					continue
				}
				for k, o := range balls {
					if out := d + o.radius; p.Sub(o.at).Dot(p.Sub(o.at)) > out*out {
						continue
					}
					if x := distance(p, k); x < d {
						d, last = x, k
					}
				}
				worst = max(worst, d)
			}
		}
	}
	return worst
}

func TestDeviationOfKnownPairs(t *testing.T) {
	square := func(x0, x1, z float64) *mesh.Mesh {
		return &mesh.Mesh{
			Positions: []mesh.Vec{{x0, 0, z}, {x1, 0, z}, {x1, 1, z}, {x0, 1, z}},
			Triangles: [][3]int32{{0, 1, 2}, {0, 2, 3}},
		}
	}
	near := func(want, got, diagonal float64) {
		t.Helper()
		require.GreaterOrEqual(t, got, want)
		require.LessOrEqual(t, got, 1.1*want+2e-3*diagonal)
	}
	near(0, Deviation(square(0, 1, 0), square(0, 1, 0)), 1.5)
	near(0.25, Deviation(square(0, 1, 0), square(0, 1, 0.25)), 1.5)
	near(2, Deviation(square(0, 1, 0), square(0, 3, 0)), 3.2)
	near(1, Deviation(box(4, mesh.Vec{}), box(8, mesh.Vec{1, 0, 0})), 1.8)
	require.Zero(t, Deviation(&mesh.Mesh{}, &mesh.Mesh{}))
	require.True(t, math.IsInf(Deviation(square(0, 1, 0), &mesh.Mesh{}), 1))
}

// TestDeviationSeesAPluggedHole: all vertices of the plug lie on the other surface.
func TestDeviationSeesAPluggedHole(t *testing.T) {
	ring := func(plugged bool) *mesh.Mesh {
		var b builder
		b.patch(32, 4, func(i, j int) mesh.Vec {
			x, y := circle(i, 32)
			r := 2 - float64(j)/4
			return mesh.Vec{r * x, r * y, 0}
		})
		for i := range 30 {
			if x, y := circle(i+1, 32); plugged {
				u, v := circle(i+2, 32)
				b.triangle(mesh.Vec{1, 0, 0}, mesh.Vec{x, y, 0}, mesh.Vec{u, v, 0})
			}
		}
		return &b.m
	}
	d := Deviation(ring(false), ring(true))
	require.GreaterOrEqual(t, d, 0.98)
	require.LessOrEqual(t, d, 1.1)
}

// TestDeviationBoundsAnySoup: open, folded, crossing, without area, far apart.
func TestDeviationBoundsAnySoup(t *testing.T) {
	soup := rapid.Custom(func(t *rapid.T) *mesh.Mesh {
		var b builder
		corner := func() mesh.Vec {
			var p mesh.Vec
			for k := range 3 {
				p[k] = float64(rapid.IntRange(0, 3).Draw(t, "x"))
			}
			return p
		}
		for range rapid.IntRange(1, 8).Draw(t, "triangles") {
			b.triangle(corner(), corner(), corner())
		}
		return &b.m
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := soup.Draw(t, "a"), soup.Draw(t, "b")
		if len(a.Triangles) == 0 || len(b.Triangles) == 0 {
			return
		}
		force, d := distanceByForce(a, b), Deviation(a, b)
		require.GreaterOrEqual(t, d, force*(1-1e-12))
		require.LessOrEqual(t, d, 1.1*(force+0.25)+1e-4, "the samples are a quarter apart, or less")
	})
}

// TestDeviationOfWaves: sheets over each other, of other triangles, that nowhere meet
// the search's easy case.
func TestDeviationOfWaves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sheet := func(n, k int) *mesh.Mesh {
			m := panel(n, k, 0)
			for i := range m.Positions {
				m.Positions[i][2] = rapid.Float64Range(0, 0.1).Draw(t, "height")
			}
			return m
		}
		a, b := sheet(rapid.IntRange(1, 5).Draw(t, "n"), 2), sheet(3, rapid.IntRange(1, 4).Draw(t, "k"))
		force, d := distanceByForce(a, b), Deviation(a, b)
		require.GreaterOrEqual(t, d, force*(1-1e-12))
		require.LessOrEqual(t, d, 1.1*force+0.02)
	})
}

func TestDeviationBoundsLadders(t *testing.T) {
	for name, make := range solids {
		t.Run(name, func(t *testing.T) {
			m := make(14)
			for i, l := range Ladder(m, m.Bounds().Centre())[1:] {
				force := distanceByForce(m, l.Mesh)
				t.Logf("level %d: %d triangles, %.5f, by force %.5f", i+1, len(l.Mesh.Triangles), l.Deviation, force)
				require.GreaterOrEqual(t, l.Deviation, force*(1-1e-12))
				require.LessOrEqual(t, l.Deviation, 1.5*force+3e-5*m.Bounds().Diagonal())
				require.LessOrEqual(t, Deviation(m, l.Mesh), 1.15*force+2e-5*m.Bounds().Diagonal())
			}
		})
	}
}
