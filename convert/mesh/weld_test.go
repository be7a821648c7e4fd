package mesh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func add(w *Welder, group int32, corners ...Vec) {
	w.Triangle(w.Vertex(corners[0]), w.Vertex(corners[1]), w.Vertex(corners[2]), group)
}

func TestWelderLeavesOutAndCounts(t *testing.T) {
	a, b, c, d, lone := Vec{0, 0, 0}, Vec{1, 0, 0}, Vec{0, 1, 0}, Vec{0, 0, 1}, Vec{9, 9, 9}
	negative := Vec{math.Copysign(0, -1), 0, 0}
	var w Welder
	add(&w, 0, a, b, c)
	add(&w, 0, a, lone, negative) // degenerate once -0 is 0; its corner goes with it
	add(&w, 0, a, d, b)
	add(&w, 1, b, c, negative) // the first again, turned
	add(&w, 2, c, b, a)        // the first from behind: the other side of a sheet
	m := w.Mesh()
	assert.Equal(t, []Vec{a, b, c, d}, m.Positions)
	assert.Equal(t, [][3]int32{{0, 1, 2}, {0, 3, 1}, {2, 1, 0}}, m.Triangles)
	assert.Equal(t, []int32{0, 0, 2}, m.Group)
	assert.Equal(t, 1, w.Degenerate)
	assert.Equal(t, 1, w.Duplicate)
}

func TestWelderOfNothing(t *testing.T) {
	var w Welder
	assert.Nil(t, w.Mesh())
	add(&w, 0, Vec{}, Vec{}, Vec{1})
	assert.Nil(t, w.Mesh())
}

// The hashed welder agrees with a map and a scan, whatever is welded.
func TestWelderAgreesWithPlainWelding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.SampledFrom([]float64{0, 1, -1, 0.1, 1e-300, 1e9})
		corner := rapid.Custom(func(t *rapid.T) Vec {
			return Vec{coordinate.Draw(t, "x"), coordinate.Draw(t, "y"), coordinate.Draw(t, "z")}
		})
		soup := rapid.SliceOfN(corner, 0, 900).Draw(t, "soup")
		var w Welder
		if rapid.Bool().Draw(t, "expect") {
			w.Expect(rapid.IntRange(0, 50).Draw(t, "n"))
		}
		seen := map[[3]Vec]bool{}
		var want [][3]Vec
		for ; len(soup) >= 3; soup = soup[3:] {
			p := [3]Vec(soup[:3])
			add(&w, 0, p[:]...)
			if p[0] == p[1] || p[1] == p[2] || p[2] == p[0] {
				continue
			}
			if !seen[p] {
				want = append(want, p)
			}
			seen[p], seen[[3]Vec{p[1], p[2], p[0]}], seen[[3]Vec{p[2], p[0], p[1]}] = true, true, true
		}
		var got [][3]Vec
		places := map[Vec]bool{}
		if m := w.Mesh(); m != nil {
			for _, v := range m.Triangles {
				p := [3]Vec{m.Positions[v[0]], m.Positions[v[1]], m.Positions[v[2]]}
				got = append(got, p)
				places[p[0]], places[p[1]], places[p[2]] = true, true, true
			}
			assert.Len(t, m.Positions, len(places), "each vertex once, and used")
		}
		assert.Equal(t, want, got)
	})
}

// A hub that comes after its rim is the highest vertex of all its triangles.
func TestWelderOfManyTrianglesAtOneVertex(t *testing.T) {
	const n = 5 * longestChain
	rim := func(i int) Vec { return Vec{float64(i % n), 1, 0} }
	var w Welder
	for i := range n {
		w.Vertex(rim(i))
	}
	for i := range n {
		add(&w, 0, rim(i), rim(i+1), Vec{})
	}
	for i := range n {
		add(&w, 0, rim(i+1), Vec{}, rim(i)) // the same, turned
		add(&w, 0, rim(i+1), rim(i), Vec{}) // from behind
	}
	assert.Equal(t, n, w.Duplicate)
	assert.Len(t, w.Mesh().Triangles, 2*n)
}
