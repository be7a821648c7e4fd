package reduce

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/mesh"
)

// dress gives each corner of m what paint says of its place, seen from the middle of
// its triangle; equal values of a vertex share a wedge.
func dress(m *mesh.Mesh, paint func(p, middle mesh.Vec) ([4]float32, [2]float32)) *mesh.Mesh {
	type key struct {
		v       int32
		color   [4]float32
		texture [2]float32
	}
	at := map[key]int32{}
	for _, t := range m.Triangles {
		middle := m.Positions[t[0]].Add(m.Positions[t[1]]).Add(m.Positions[t[2]]).Scale(1.0 / 3)
		var w [3]int32
		for k, v := range t {
			c, x := paint(m.Positions[v], middle)
			i, there := at[key{v, c, x}]
			if !there {
				i = int32(len(m.Colors))
				at[key{v, c, x}] = i
				m.Colors = append(m.Colors, c)
				m.TexCoords = append(m.TexCoords, x)
			}
			w[k] = i
		}
		m.Wedges = append(m.Wedges, w)
	}
	return m
}

// plate is painted with a spot, which is no linear function, and with two halves that
// meet at x = 1 without a transition.
func plate(nu, nv int, wave float64) *mesh.Mesh { return dress(panel(nu, nv, wave), spot) }

func spot(p, middle mesh.Vec) ([4]float32, [2]float32) {
	x, y := p[0]-0.5, p[1]-0.4
	c := [4]float32{float32(math.Exp(-30 * (x*x + y*y))), 0.2, 0.4, 1}
	if middle[0] > 1 {
		c = [4]float32{0.1, 0.9, float32(p[1]), 1}
	}
	return c, [2]float32{float32(p[0] / 2), float32(p[1])}
}

// pipe is a cylinder's wall whose texture goes around once: it has a seam where the
// end of the texture meets its beginning.
func pipe(nu, nv int) *mesh.Mesh {
	var b builder
	b.patch(nu, nv, func(i, j int) mesh.Vec {
		x, y := circle(i, nu)
		return mesh.Vec{x, y, -1 + 2*float64(j)/float64(nv)}
	})
	return dress(&b.m, around)
}

func around(p, middle mesh.Vec) ([4]float32, [2]float32) {
	u := math.Atan2(p[1], p[0]) / (2 * math.Pi)
	if near := math.Atan2(middle[1], middle[0]) / (2 * math.Pi); u-near > 0.5 {
		u--
	} else if near-u > 0.5 {
		u++
	}
	return [4]float32{1, 1, 1, 1}, [2]float32{float32(u), float32(p[2])}
}

// validWedges checks what the model promises of wedges.
func validWedges(t require.TestingT, m *mesh.Mesh) {
	require.Len(t, m.Wedges, len(m.Triangles))
	n := max(len(m.Colors), len(m.TexCoords))
	of := make([]int32, n)
	for i := range of {
		of[i] = -1
	}
	for i, w := range m.Wedges {
		for k := range 3 {
			require.Less(t, w[k], int32(n))
			v := m.Triangles[i][k]
			require.True(t, of[w[k]] == -1 || of[w[k]] == v, "a wedge of two positions")
			of[w[k]] = v
		}
	}
	require.NotContains(t, of, int32(-1), "a wedge without a corner")
}

// fading is the root mean square and the largest of how much the colours of m and r
// differ at the middles of m's triangles.
func fading(m, r *mesh.Mesh) (rms, most float64) {
	for i, v := range m.Triangles {
		p := m.Positions[v[0]].Add(m.Positions[v[1]]).Add(m.Positions[v[2]]).Scale(1.0 / 3)
		var want [4]float64
		for k := range 3 {
			for j := range want {
				want[j] += float64(m.Colors[m.Wedges[i][k]][j]) / 3
			}
		}
		got := colorAt(r, p)
		sum := 0.0
		for j := range want {
			sum += (got[j] - want[j]) * (got[j] - want[j])
		}
		rms += sum
		most = max(most, math.Sqrt(sum))
	}
	return math.Sqrt(rms / float64(len(m.Triangles))), most
}

// colorAt is the colour of the triangle of r that is nearest to p.
func colorAt(r *mesh.Mesh, p mesh.Vec) (c [4]float64) {
	best := math.Inf(1)
	for i, v := range r.Triangles {
		a, b, d := r.Positions[v[0]], r.Positions[v[1]], r.Positions[v[2]]
		far := distanceToTriangle(p, a, b, d)
		if far >= best {
			continue
		}
		best = far
		n := b.Sub(a).Cross(d.Sub(a))
		nn := n.Dot(n)
		y := p.Sub(a).Cross(d.Sub(a)).Dot(n) / nn
		z := b.Sub(a).Cross(p.Sub(a)).Dot(n) / nn
		w := [3]float64{1 - y - z, y, z}
		c = [4]float64{}
		for k := range 3 {
			for j := range c {
				c[j] += w[k] * float64(r.Colors[r.Wedges[i][k]][j])
			}
		}
	}
	return c
}

// TestReduceKeepsColours: at a tenth of the triangles a spot and a sharp edge between
// colours are where they were. Without the metric of attributes the error of the flat
// plate is four times as large.
func TestReduceKeepsColours(t *testing.T) {
	for _, wave := range []float64{0, 0.2} {
		m := plate(40, 20, wave)
		r, report := Reduce(m, Options{Triangles: len(m.Triangles) / 10})
		require.True(t, report.Reached, report.Reason)
		validWedges(t, r)
		faithful(t, m, r)
		rms, most := fading(m, r)
		require.Less(t, rms, 0.005+0.075*wave)
		require.Less(t, most, 0.03+0.6*wave)
	}
}

// TestReduceKeepsTextureAcrossItsSeam: whichever side of the seam a triangle is on, its
// corners have the texture that belongs there.
func TestReduceKeepsTextureAcrossItsSeam(t *testing.T) {
	m := pipe(64, 32)
	for _, target := range []int{400, 100} {
		r, report := Reduce(m, Options{Triangles: target})
		require.True(t, report.Reached, report.Reason)
		validWedges(t, r)
		for i, v := range r.Triangles {
			middle := r.Positions[v[0]].Add(r.Positions[v[1]]).Add(r.Positions[v[2]]).Scale(1.0 / 3)
			for k := range 3 {
				_, want := around(r.Positions[v[k]], middle)
				got := r.TexCoords[r.Wedges[i][k]]
				require.InDelta(t, want[0], got[0], 0.002)
				require.InDelta(t, want[1], got[1], 0.002)
			}
		}
	}
}

// TestVertexThatStaysKeepsItsAttributes, to the bit.
func TestVertexThatStaysKeepsItsAttributes(t *testing.T) {
	m := plate(32, 16, 0.2)
	m.Fixed = make([]bool, len(m.Positions))
	type dressed struct {
		p       mesh.Vec
		color   [4]float32
		texture [2]float32
	}
	all := func(m *mesh.Mesh) map[dressed]bool {
		out := map[dressed]bool{}
		for i, v := range m.Triangles {
			for k := range 3 {
				w := m.Wedges[i][k]
				out[dressed{m.Positions[v[k]], m.Colors[w], m.TexCoords[w]}] = true
			}
		}
		return out
	}
	for v := range m.Fixed {
		m.Fixed[v] = v%37 == 0
	}
	before := all(m)
	r, _ := Reduce(m, Options{Triangles: len(m.Triangles) / 5})
	after := all(r)
	for d := range before {
		for v, p := range m.Positions {
			if p == d.p && m.Fixed[v] {
				require.True(t, after[d], "%v", d)
			}
		}
	}
}

func TestReduceAnySoupWithAttributes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawSoup(t)
		kinds := rapid.IntRange(1, 3).Draw(t, "wedges a vertex")
		dress(m, func(p, _ mesh.Vec) ([4]float32, [2]float32) {
			x := float32(rapid.IntRange(0, kinds-1).Draw(t, "wedge"))
			return [4]float32{x / 3, float32(p[0]) / 6, 0, 1}, [2]float32{x, float32(p[1])}
		})
		if rapid.Bool().Draw(t, "plain") {
			m.Colors = nil
		}
		o := Options{Triangles: rapid.IntRange(1, 30).Draw(t, "target")}
		r, report := Reduce(m, o)
		soundness(t, m, r, o, report)
		validWedges(t, r)
		require.Equal(t, m.Colors == nil || len(r.Triangles) == 0, len(r.Colors) == 0)
		for _, c := range r.Colors {
			for _, x := range c {
				require.True(t, x >= 0 && x <= 1)
			}
		}
		for _, c := range r.TexCoords {
			require.False(t, math.IsNaN(float64(c[0]+c[1])) || math.IsInf(float64(c[0]+c[1]), 0))
		}
	})
}
