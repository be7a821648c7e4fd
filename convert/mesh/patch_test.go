package mesh

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// tiles cuts a wavy sheet of nx × ny quads into pieces, each a mesh of its own under a
// node of its own, as a file of patches holds them.
func tiles(nx, ny, pieces int, piece func(x, y int) int) *Scene {
	welders := make([]Welder, pieces)
	at := func(x, y int) Vec { return Vec{float64(x) / 3, float64(y) / 7, float64(x*x-y) / 11} }
	for x := range nx {
		for y := range ny {
			w := &welders[piece(x, y)]
			a, b, c, d := w.Vertex(at(x, y)), w.Vertex(at(x+1, y)), w.Vertex(at(x+1, y+1)), w.Vertex(at(x, y+1))
			w.Triangle(a, b, c, 0)
			w.Triangle(a, c, d, 0)
		}
	}
	s := &Scene{}
	for i := range welders {
		m := welders[i].Mesh()
		if m == nil {
			continue
		}
		s.Roots = append(s.Roots, len(s.Nodes))
		s.Nodes = append(s.Nodes, Node{Name: fmt.Sprint("piece ", i), Transform: Identity(), Mesh: len(s.Meshes), Materials: []int{i}})
		s.Meshes = append(s.Meshes, m)
	}
	return s
}

func quarters(x, y int) int { return x/4 + 2*(y/4) }

// edgesByPlace counts the triangles of each edge, told apart by place alone.
func edgesByPlace(m *Mesh) map[frontier]int {
	count := map[frontier]int{}
	for _, t := range m.Triangles {
		for k := range 3 {
			count[m.frontier([2]int32{t[k], t[(k+1)%3]})]++
		}
	}
	return count
}

func TestPatchesBecomeOneMesh(t *testing.T) {
	s := tiles(8, 8, 4, quarters)
	list := s.Patches()
	require.Len(t, list, 1)
	p := list[0]
	require.Equal(t, []int{0, 1, 2, 3}, p.Nodes)
	require.Equal(t, []int{0, 1, 2, 3, 4}, p.First)
	require.Len(t, p.Mesh.Positions, 81, "shared vertices are one")
	require.Len(t, p.Mesh.border(), 32, "only the sheet's own border is left")
	fixed := 0
	for _, f := range p.Alone[0].Fixed {
		if f {
			fixed++
		}
	}
	require.Equal(t, 9, fixed, "two sides of five vertices, one of them in both")

	s.Join(list)
	require.Len(t, s.Meshes, 1)
	for i, n := range s.Nodes {
		require.Equal(t, Node{Name: n.Name, Transform: Identity(), Materials: []int{i}, First: i, Count: 1}, n)
	}
}

func TestPatchesOfTransformsThatDifferStayApart(t *testing.T) {
	s := tiles(8, 8, 4, quarters)
	s.Nodes[1].Transform = Translation(Vec{1e-9})
	list := s.Patches()
	require.Len(t, list, 1)
	require.Equal(t, []int{0, 2, 3}, list[0].Nodes)
	s.Join(list)
	require.Len(t, s.Meshes, 2)
	require.Equal(t, 0, s.Nodes[1].Mesh)
	require.Equal(t, 1, s.Nodes[3].Mesh)
}

func TestPatchesLeaveOutWhatIsShownTwice(t *testing.T) {
	s := tiles(8, 4, 2, quarters)
	s.Roots = append(s.Roots, len(s.Nodes))
	s.Nodes = append(s.Nodes, Node{Transform: Translation(Vec{5}), Mesh: 0})
	require.Empty(t, s.Patches())
}

// TestClosedMeshesThatTouchStayApart: two boxes face to face share no open border.
func TestClosedMeshesThatTouchStayApart(t *testing.T) {
	s := &Scene{}
	for i := range 2 {
		var w Welder
		for _, q := range [][4]int{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
			var v [4]int32
			for k, c := range q {
				v[k] = w.Vertex(Vec{float64(c&1 + i), float64(c >> 1 & 1), float64(c >> 2)})
			}
			w.Triangle(v[0], v[1], v[2], 0)
			w.Triangle(v[0], v[2], v[3], 0)
		}
		s.Roots = append(s.Roots, i)
		s.Nodes = append(s.Nodes, Node{Transform: Identity(), Mesh: i})
		s.Meshes = append(s.Meshes, w.Mesh())
		require.Empty(t, s.Meshes[i].border())
	}
	require.Empty(t, s.Patches())
}

// faces adds a node with the faces of a box, each under a node of its own.
func faces(s *Scene, at Vec) {
	s.Nodes = append(s.Nodes, Node{Transform: Identity(), Mesh: -1})
	body := len(s.Nodes) - 1
	for _, q := range [][4]int{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		var places [4]Vec
		for k, c := range q {
			places[k] = Vec{float64(c & 1), float64(c >> 1 & 1), float64(c >> 2)}.Add(at)
		}
		s.Nodes[body].Children = append(s.Nodes[body].Children, sheet(s, places))
	}
	s.Roots = append(s.Roots, body)
}

// sheet adds two triangles under a node of their own.
func sheet(s *Scene, at [4]Vec) int {
	var w Welder
	a, b, c, d := w.Vertex(at[0]), w.Vertex(at[1]), w.Vertex(at[2]), w.Vertex(at[3])
	w.Triangle(a, b, c, 0)
	w.Triangle(a, c, d, 0)
	s.Nodes = append(s.Nodes, Node{Transform: Identity(), Mesh: len(s.Meshes)})
	s.Meshes = append(s.Meshes, w.Mesh())
	return len(s.Nodes) - 1
}

// TestBodiesOfFacesThatTouch: of a file that has each face of two boxes as a mesh, one
// on top of the other, each box is a surface, and closed.
func TestBodiesOfFacesThatTouch(t *testing.T) {
	s := &Scene{}
	faces(s, Vec{})
	faces(s, Vec{0, 0, 1})
	list := s.Patches()
	require.Len(t, list, 2)
	for i, p := range list {
		require.Len(t, p.Nodes, 6)
		require.Equal(t, 7*i+1, p.Nodes[0])
		require.Len(t, p.Mesh.Positions, 8)
		require.Empty(t, p.Mesh.border())
	}
}

func TestSheetsThatMeetInATAreOneSurface(t *testing.T) {
	s := &Scene{}
	a, b := Vec{0, 0, 0}, Vec{0, 1, 0}
	for _, d := range []Vec{{-1}, {1}, {0, 0, 1}} {
		s.Roots = append(s.Roots, sheet(s, [4]Vec{a, b, b.Add(d), a.Add(d)}))
	}
	list := s.Patches()
	require.Len(t, list, 1)
	require.Len(t, list[0].Mesh.Positions, 8)
}

func TestJoinKeepsAttributes(t *testing.T) {
	s := tiles(8, 4, 2, quarters)
	red := s.Meshes[0]
	red.Wedges = red.Triangles
	for range red.Positions {
		red.Colors = append(red.Colors, [4]float32{1, 0, 0, 1})
	}
	m := s.Patches()[0].Mesh
	require.Nil(t, m.TexCoords)
	place := map[int32]Vec{}
	for i, w := range m.Wedges {
		want := [4]float32{1, 0, 0, 1}
		if m.Group[i] == 1 {
			want = [4]float32{1, 1, 1, 1}
		}
		for k := range 3 {
			require.Equal(t, want, m.Colors[w[k]])
			p, there := place[w[k]]
			require.True(t, !there || p == m.Positions[m.Triangles[i][k]], "a wedge of two positions")
			place[w[k]] = m.Positions[m.Triangles[i][k]]
		}
	}
}

// TestPatchesOfAnyCut: however a sheet is cut, the pieces that share an edge become
// one, nothing is lost, and each edge has as many triangles as in the uncut sheet.
func TestPatchesOfAnyCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nx, ny := rapid.IntRange(1, 6).Draw(t, "nx"), rapid.IntRange(1, 6).Draw(t, "ny")
		cut := rapid.SliceOfN(rapid.IntRange(0, 4), nx*ny, nx*ny).Draw(t, "cut")
		whole := tiles(nx, ny, 1, func(int, int) int { return 0 }).Meshes[0]
		s := tiles(nx, ny, 5, func(x, y int) int { return cut[x*ny+y] })
		pieces := len(s.Meshes)
		s.Join(s.Patches())
		require.Len(t, s.Meshes, 1, "the sheet hangs together by edges, of %d pieces", pieces)
		require.Equal(t, edgesByPlace(whole), edgesByPlace(s.Meshes[0]))
		require.Len(t, s.Meshes[0].border(), len(whole.border()))
	})
}
