package reduce

import (
	"planfold/convert/mesh"
)

const leafSize = 2

// tree finds the triangle nearest to a point: boxes in boxes, each halved where the cube
// around the mesh is, again and again.
type tree struct {
	nodes   []node
	corners [][3]mesh.Vec // of the triangles, in the order of the leaves
	// twin is, by triangle and edge, 4 × the triangle on its other side and its edge
	// there, which runs the other way, or -1.
	twin [][3]int32
}

// node is a leaf of count triangles from first on, or has its children at first
// and first+1.
type node struct {
	min, max mesh.Vec
	first    int32
	count    int32
}

func newTree(m *mesh.Mesh) *tree {
	n := len(m.Triangles)
	t := &tree{nodes: make([]node, 1, n+n/2+1), corners: make([][3]mesh.Vec, n)}
	triangles := make([][3]int32, n)
	items := sorted(m)
	for i, it := range items {
		triangles[i] = m.Triangles[it.triangle]
		t.corners[i] = cornersOf(m, triangles[i])
	}
	if n > 0 {
		t.split(items, 0, 0, n)
	}
	t.pair(triangles, len(m.Positions))
	return t
}

func (t *tree) diagonal() float64 {
	return t.nodes[0].max.Distance(t.nodes[0].min)
}

// pair finds the twins among the edges that leave each vertex.
func (t *tree) pair(triangles [][3]int32, vertices int) {
	first := make([]int32, vertices+1)
	for _, v := range triangles {
		first[v[0]]++
		first[v[1]]++
		first[v[2]]++
	}
	sum := int32(0)
	for i := range first {
		first[i], sum = sum, sum+first[i]
	}
	type edge struct{ to, edge int32 }
	leaves := make([]edge, sum)
	for i, v := range triangles {
		for k := range 3 {
			leaves[first[v[k]]] = edge{v[after[k]], int32(4*i + k)}
			first[v[k]]++
		}
	}
	t.twin = make([][3]int32, len(triangles))
	for i := range t.twin {
		t.twin[i] = [3]int32{-1, -1, -1}
	}
	for i, v := range triangles {
		for k := range 3 {
			if t.twin[i][k] >= 0 {
				continue
			}
			a, b := v[k], v[after[k]]
			from := int32(0)
			if b > 0 {
				from = first[b-1]
			}
			for _, e := range leaves[from:first[b]] {
				if other := &t.twin[e.edge>>2][e.edge&3]; e.to == a && *other < 0 {
					t.twin[i][k], *other = e.edge, int32(4*i+k)
					break
				}
			}
		}
	}
}

// split makes a node of the triangles between from and to.
func (t *tree) split(items []item, at int32, from, to int) {
	n := &t.nodes[at]
	if to-from <= leafSize {
		n.first, n.count = int32(from), int32(to-from)
		box := mesh.EmptyBox()
		for _, c := range t.corners[from:to] {
			box.Add(c[0])
			box.Add(c[1])
			box.Add(c[2])
		}
		n.min, n.max = box.Min, box.Max
		return
	}
	cut, left := cutOf(items, from, to), int32(len(t.nodes))
	n.first = left
	t.nodes = append(t.nodes, node{}, node{})
	t.split(items, left, from, cut)
	t.split(items, left+1, cut, to)
	l, r := &t.nodes[left], &t.nodes[left+1]
	box := mesh.Box{Min: l.min, Max: l.max}
	box.Add(r.min)
	box.Add(r.max)
	t.nodes[at].min, t.nodes[at].max = box.Min, box.Max
}

// distance2 is spelt out because max would have to think of NaN.
func (n *node) distance2(p *mesh.Vec) float64 {
	d := 0.0
	for k := range 3 {
		if l := n.min[k] - p[k]; l > 0 {
			d += float64(l * l)
		} else if h := p[k] - n.max[k]; h > 0 {
			d += float64(h * h)
		}
	}
	return d
}

// nearest is the squared distance from p to the triangles and the one nearest,
// trying hint first.
func (t *tree) nearest(p *mesh.Vec, hint int32) (float64, int32) {
	best, at := mesh.TriangleDistance2(p, &t.corners[hint]), hint
	var stack [96]struct {
		node int32
		d    float64
	}
	top := 0
	stack[0].d = t.nodes[0].distance2(p)
	for top >= 0 {
		s := stack[top]
		top--
		if s.d >= best {
			continue
		}
		n := &t.nodes[s.node]
		if n.count > 0 {
			for i := n.first; i < n.first+n.count; i++ {
				if d := mesh.TriangleDistance2(p, &t.corners[i]); d < best {
					best, at = d, i
				}
			}
			continue
		}
		near, far := n.first, n.first+1
		dn, df := t.nodes[near].distance2(p), t.nodes[far].distance2(p)
		if df < dn {
			near, far, dn, df = far, near, df, dn
		}
		if df < best {
			top++
			stack[top].node, stack[top].d = far, df
		}
		if dn < best {
			top++
			stack[top].node, stack[top].d = near, dn
		}
	}
	return best, at
}
