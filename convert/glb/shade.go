package glb

import (
	"cmp"
	"slices"

	"planfold/convert/mesh"
)

// shaded is a mesh with one vertex for each smooth fan around a position.
type shaded struct {
	position   []int32 // by vertex: index into the mesh's positions
	normal     []mesh.Vec
	wedge      []int32 // nil for a mesh without attributes
	index      []int32
	primitives []Primitive
}

// creaseCosine is cos 30°, half the square root of 3, a hair less: neighbours that
// meet at a larger angle keep an edge between them, unless the mesh was reduced and its
// source has none there. Sources carry no normals that survive reduction, so one angle
// has to tell a fillet from an edge; 30° keeps a twelve-sided cylinder round and a
// chamfer sharp.
const creaseCosine = 0.866

// shade finds the vertices to store. Two triangles that share an edge without a
// crease share the normals at both of its ends; a vertex's normal is the sum of its
// fan's triangle normals, each as long as twice the triangle's area. A fan has a vertex
// for each wedge in it.
func shade(m *mesh.Mesh) shaded {
	fans := fansOf(m)
	var out shaded
	vertex := make([]int32, len(fans.sum)) // by fan: one more than its last vertex
	var other []int32                      // by vertex: one more than the one before of its fan
	out.index = make([]int32, 0, len(fans.sum))
	corner := func(c int32) {
		r := fans.root(c)
		v := vertex[r]
		for m.Wedges != nil && v != 0 && out.wedge[v-1] != m.Wedges[c/3][c%3] {
			v = other[v-1]
		}
		if v == 0 {
			out.position = append(out.position, m.Triangles[c/3][c%3])
			out.normal = append(out.normal, fans.normal(c))
			if m.Wedges != nil {
				out.wedge = append(out.wedge, m.Wedges[c/3][c%3])
				other = append(other, vertex[r])
			}
			v = int32(len(out.position))
			vertex[r] = v
		}
		out.index = append(out.index, v-1)
	}
	for g, triangles := range byGroup(m) {
		if len(triangles) == 0 {
			continue
		}
		first := len(out.index)
		for _, t := range triangles {
			corner(3 * t)
			corner(3*t + 1)
			corner(3*t + 2)
		}
		out.primitives = append(out.primitives, Primitive{Group: g, First: first, Count: len(out.index) - first})
	}
	return out
}

// Normals gives the normals that a mesh is shown with, by triangle and corner.
func Normals(m *mesh.Mesh) [][3]mesh.Vec {
	fans := fansOf(m)
	out := make([][3]mesh.Vec, len(m.Triangles))
	for t := range out {
		for k := range 3 {
			out[t][k] = fans.normal(int32(3*t + k))
		}
	}
	return out
}

// fans are the corners of a mesh that share a normal.
type fans struct {
	forest
	sum, unit []mesh.Vec // of a root's triangles; by triangle
}

func fansOf(m *mesh.Mesh) fans {
	area, unit := triangleNormals(m)
	pairs := sharedEdges(m)
	lend(m, unit, pairs)
	f := fans{smoothFans(m, unit, pairs), make([]mesh.Vec, 3*len(m.Triangles)), unit}
	for c := range f.sum {
		r := f.root(int32(c))
		f.sum[r] = f.sum[r].Add(area[c/3])
	}
	return f
}

// normal of a corner. It falls back to the triangle's own where a fan's normals cancel
// out, and to any direction where the triangle has none.
func (f *fans) normal(c int32) mesh.Vec {
	for _, n := range []mesh.Vec{f.sum[f.root(c)].Unit(), f.unit[c/3]} {
		if l := n.Length(); l > 0.5 {
			return n
		}
	}
	return mesh.Vec{0, 0, 1}
}

func byGroup(m *mesh.Mesh) [][]int32 {
	out := make([][]int32, m.Groups())
	for t := range m.Triangles {
		g := int32(0)
		if m.Group != nil {
			g = m.Group[t]
		}
		out[g] = append(out[g], int32(t))
	}
	return out
}

// triangleNormals gives each triangle's normal, as long as twice its area and of
// length 1. A sliver has zero vectors.
func triangleNormals(m *mesh.Mesh) (area, unit []mesh.Vec) {
	area = make([]mesh.Vec, len(m.Triangles))
	unit = make([]mesh.Vec, len(m.Triangles))
	grain := m.Grain()
	for i, t := range m.Triangles {
		area[i] = m.Facing(t, grain)
		unit[i] = area[i].Unit()
	}
	return area, unit
}

// lendings bounds how often slivers borrow from each other: once is enough along a run of
// them that has the order of the edges, or the opposite one.
const lendings = 4

// lend gives each sliver the direction of the triangle at its longest edge, along which
// it lies: what is on its other side meets that triangle in truth. One that has none
// there keeps its own.
func lend(m *mesh.Mesh, unit []mesh.Vec, pairs [][2]int32) {
	var thin [][2]int32 // what borrows, and from what, by the corner at the edge's start
	for _, p := range pairs {
		for k, c := range p {
			if unit[c/3] == (mesh.Vec{}) && isLongest(m, c) {
				thin = append(thin, [2]int32{c, p[1-k]})
			}
		}
	}
	for range lendings {
		for _, p := range thin {
			if unit[p[0]/3] == (mesh.Vec{}) {
				unit[p[0]/3] = unit[p[1]/3]
			}
		}
		slices.Reverse(thin)
	}
	for i, t := range m.Triangles {
		if unit[i] == (mesh.Vec{}) {
			unit[i] = m.Facing(t, 0).Unit()
		}
	}
}

// isLongest tells whether no edge of the triangle is longer than the one that starts at
// the corner.
func isLongest(m *mesh.Mesh, c int32) bool {
	length := func(c int32) float64 {
		d := m.Positions[m.Triangles[c/3][next(c)%3]].Sub(m.Positions[m.Triangles[c/3][c%3]])
		return d.Dot(d)
	}
	return length(c) >= max(length(next(c)), length(next(next(c))))
}

// side is one triangle's use of an edge.
type side struct {
	hi     int32 // the larger end; the smaller one is the bucket
	corner int32 // at the edge's start
}

// smoothFans joins the corners that share a normal.
func smoothFans(m *mesh.Mesh, unit []mesh.Vec, pairs [][2]int32) forest {
	f := newForest(3 * len(m.Triangles))
	for _, p := range pairs {
		joinAcross(m, unit, f, p[0], p[1])
	}
	return f
}

// sharedEdges lists the edges that exactly two triangles share, by a corner of each.
func sharedEdges(m *mesh.Mesh) (pairs [][2]int32) {
	first, sides := sidesByEdge(len(m.Positions), 3*len(m.Triangles), func(c int32) int32 { return m.Triangles[c/3][c%3] })
	pairs = make([][2]int32, 0, len(sides)/2)
	for lo := range m.Positions {
		bucket := sides[first[lo]:first[lo+1]]
		for i := 0; i < len(bucket); {
			j := i
			for j < len(bucket) && bucket[j].hi == bucket[i].hi {
				j++
			}
			if j == i+2 {
				pairs = append(pairs, [2]int32{bucket[i].corner, bucket[i+1].corner})
			}
			i = j
		}
	}
	return pairs
}

// joinAcross joins the corners at both ends of an edge that exactly two triangles
// share, unless it is a crease or the two are wound against each other.
func joinAcross(m *mesh.Mesh, unit []mesh.Vec, f forest, a, b int32) {
	start, end := m.Triangles[a/3][a%3], m.Triangles[b/3][b%3]
	smooth := m.Smooth != nil && (m.Smooth[start] || m.Smooth[end])
	if start == end || !smooth && unit[a/3].Dot(unit[b/3]) < creaseCosine {
		return
	}
	f.join(a, next(b))
	f.join(next(a), b)
}

func next(corner int32) int32 {
	if corner%3 == 2 {
		return corner - 2
	}
	return corner + 1
}

// sidesByEdge sorts the sides of triangles of so many corners into buckets by the
// smaller end of their edge, and each bucket by the larger one; bucket i is
// sides[first[i]:first[i+1]].
func sidesByEdge(vertices, corners int, vertex func(corner int32) int32) (first []int32, sides []side) {
	ends := func(c int32) (lo, hi int32) {
		a, b := vertex(c), vertex(next(c))
		return min(a, b), max(a, b)
	}
	first = make([]int32, vertices+2)
	for c := range int32(corners) {
		lo, _ := ends(c)
		first[lo+2]++
	}
	for i := 2; i < len(first); i++ {
		first[i] += first[i-1]
	}
	sides = make([]side, corners)
	for c := range int32(corners) {
		lo, hi := ends(c)
		sides[first[lo+1]] = side{hi, c}
		first[lo+1]++
	}
	for i := range vertices {
		slices.SortFunc(sides[first[i]:first[i+1]], func(a, b side) int {
			return cmp.Or(cmp.Compare(a.hi, b.hi), cmp.Compare(a.corner, b.corner))
		})
	}
	return first[:len(first)-1], sides
}

// forest is a union of sets whose root is always the smallest member.
type forest []int32

func newForest(n int) forest {
	f := make(forest, n)
	for i := range f {
		f[i] = int32(i)
	}
	return f
}

func (f forest) root(i int32) int32 {
	for f[i] != i {
		f[i] = f[f[i]]
		i = f[i]
	}
	return i
}

func (f forest) join(a, b int32) {
	a, b = f.root(a), f.root(b)
	f[max(a, b)] = min(a, b)
}
