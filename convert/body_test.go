package convert

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/profile"
	"planfold/convert/scene"
	"planfold/convert/store"
)

// sheets is a file of a wavy sheet far from the origin, cut along x into patches of
// 16 × 16 quads, each under a node of its own.
func sheets(names ...string) *mesh.Scene {
	at := func(x, y int) mesh.Vec {
		u, v := float64(x)/7, float64(y)/7
		return mesh.Vec{1e4/3.0 + u, v, math.Sqrt(1+u*u+v) / 3}
	}
	s := &mesh.Scene{Materials: []mesh.Material{{Name: "red"}, {Name: "blue"}}}
	for i, name := range names {
		var w mesh.Welder
		for x := 16 * i; x < 16*i+16; x++ {
			for y := range 16 {
				a, b, c, d := w.Vertex(at(x, y)), w.Vertex(at(x+1, y)), w.Vertex(at(x+1, y+1)), w.Vertex(at(x, y+1))
				w.Triangle(a, b, c, 0)
				w.Triangle(a, c, d, 0)
			}
		}
		s.Roots = append(s.Roots, i)
		s.Nodes = append(s.Nodes, mesh.Node{Name: name, Transform: mesh.Identity(), Mesh: i, Materials: []int{i % 2}})
		s.Meshes = append(s.Meshes, w.Mesh())
	}
	return s
}

func newRun(t *testing.T, compressed bool) *run {
	t.Helper()
	s, err := store.Open(t.TempDir())
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	cache, err := s.Cache("")
	require.NoError(t, err)
	return &run{Options: Options{Cache: cache, Store: s, Profile: profile.Profile{Compression: compressed}}}
}

func filled(t *testing.T, sc *mesh.Scene) (*run, *shapes) {
	t.Helper()
	r, s := newRun(t, false), &shapes{}
	require.NoError(t, r.fill(s, sc))
	return r, s
}

func TestPatchesAreDrawnAsOneWhereAllAreDrawn(t *testing.T) {
	_, s := filled(t, sheets("left", "middle", "right"))
	require.Equal(t, 3*512, s.record.Triangles)
	list := s.below("")
	require.Len(t, list, 1)
	require.Equal(t, []scene.Patch{{Name: "left", First: 0, Count: 1}, {Name: "middle", First: 1, Count: 1}, {Name: "right", First: 2, Count: 1}}, list[0].Patches)
	require.Equal(t, "blue", list[0].Materials[1].Name)
	require.Equal(t, 3*512, s.ladders[list[0].Mesh].Levels[0].Triangles)

	list = s.below("middle")
	require.Len(t, list, 1)
	require.Nil(t, list[0].Patches)
	require.Equal(t, 512, s.ladders[list[0].Mesh].Levels[0].Triangles)
	require.Empty(t, s.below("none"))
}

// TestItemsKeepTheBorderThatTheyShare: whichever level each of two items is drawn at,
// the bytes of the 17 vertices between them are the same, far from the origin too.
func TestItemsKeepTheBorderThatTheyShare(t *testing.T) {
	r, s := filled(t, sheets("left", "right"))
	left, right := s.ladders[s.below("left")[0].Mesh], s.ladders[s.below("right")[0].Mesh]
	require.Greater(t, len(left.Levels), 2)
	for _, a := range left.Levels {
		for _, b := range right.Levels {
			require.Equal(t, a.Blob.Layout.Centre, b.Blob.Layout.Centre)
			has := places(t, r, a)
			shared := 0
			for p := range places(t, r, b) {
				if has[p] {
					shared++
				}
			}
			require.Equal(t, 17, shared, "levels of %d and %d triangles", a.Triangles, b.Triangles)
		}
	}
}

// So do items too large for a grid, when levels are compressed.
func TestLargeItemsKeepTheBorderThatTheyShare(t *testing.T) {
	sc := sheets("left", "right")
	for _, m := range sc.Meshes {
		for i := range m.Positions {
			m.Positions[i] = m.Positions[i].Scale(1e3)
		}
	}
	r, s := newRun(t, true), &shapes{}
	require.NoError(t, r.fill(s, sc))
	left, right := s.ladders[s.below("left")[0].Mesh].Levels[0].Blob.Layout, s.ladders[s.below("right")[0].Mesh].Levels[0].Blob.Layout
	require.Zero(t, left.Step)
	require.Zero(t, right.Step)
	require.Equal(t, left.Centre, right.Centre)
}

// places are the positions of a blob.
func places(t *testing.T, r *run, l scene.Level) map[[3]uint32]bool {
	t.Helper()
	b, ok := r.Cache.Get(l.Blob.SHA256)
	require.True(t, ok)
	out := map[[3]uint32]bool{}
	for v := range l.Blob.Layout.Vertices {
		var p [3]uint32
		for k := range p {
			p[k] = binary.LittleEndian.Uint32(b[12*v+4*k:])
		}
		out[p] = true
	}
	return out
}

// TestColoursGoOnAndTexturesDoNot: at every level, plain or compressed.
func TestColoursGoOnAndTexturesDoNot(t *testing.T) {
	for _, compressed := range []bool{false, true} {
		sc := sheets("sheet")
		m := sc.Meshes[0]
		m.Wedges = m.Triangles
		for _, p := range m.Positions {
			m.Colors = append(m.Colors, [4]float32{float32(p[1]) / 3, 0, 0, 1})
			m.TexCoords = append(m.TexCoords, [2]float32{float32(p[1]), 0})
		}
		r, s := newRun(t, compressed), &shapes{}
		require.NoError(t, r.fill(s, sc))
		require.Greater(t, len(s.ladders[0].Levels), 2)
		for _, l := range s.ladders[0].Levels {
			require.True(t, l.Blob.Layout.Colors)
			require.False(t, l.Blob.Layout.TexCoords)
			require.Equal(t, compressed, l.Blob.Layout.Packed != nil)
		}
	}
}
