package gltf

import (
	"math"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
)

// mostNesting bounds how deep nodes stand below each other.
const mostNesting = 256

// graph is the nodes as the file lists them.
type graph struct {
	values    []int
	nodes     []mesh.Node
	parent    []int
	invisible []bool
}

// nodes reads the nodes and makes the scene of those that the file's scene shows,
// or of all where it has no scene.
func (r *reader) nodes(turn mesh.Mat) *mesh.Scene {
	g := &graph{values: r.objects("nodes")}
	for range g.values {
		g.parent = append(g.parent, -1)
	}
	g.invisible = make([]bool, len(g.values))
	for i, v := range g.values {
		g.nodes = append(g.nodes, r.node(g, i, v))
		if r.stopped() {
			return nil
		}
	}
	r.checkLoops(g)
	roots := r.roots(g)
	if r.stopped() {
		return nil
	}
	b := builder{r: r, g: g, scene: &mesh.Scene{Materials: r.materials}, meshAt: map[int]int{}}
	for _, root := range roots {
		b.root(root, turn)
	}
	return b.scene
}

func (r *reader) node(g *graph, i, v int) mesh.Node {
	n := mesh.Node{Name: r.str(r.field(v, "name")), Transform: r.transform(v), Mesh: r.index(r.field(v, "mesh"), len(r.shapes), "mesh")}
	for _, c := range r.array(r.field(v, "children")) {
		child := r.index(c, len(g.values), "node")
		if r.stopped() {
			return n
		}
		if g.parent[child] >= 0 {
			r.fail(diag.GltfGraph, c, "node %d has two parents, %d and %d", child, g.parent[child], i)
			return n
		}
		g.parent[child] = i
		n.Children = append(n.Children, child)
	}
	if r.field(v, "skin") >= 0 && n.Mesh >= 0 && r.skipped.shape == 0 {
		r.skipped.shape = v
	}
	if e := r.extension(v, visibility); e >= 0 {
		if visible := r.field(e, "visible"); visible >= 0 && !r.boolean(visible) {
			g.invisible[i] = true
		}
	}
	return n
}

// checkLoops uses that each node has one parent at most: what the parentless do
// not reach goes in circles.
func (r *reader) checkLoops(g *graph) {
	if r.stopped() {
		return
	}
	reached := make([]bool, len(g.nodes))
	type visit struct{ node, depth int }
	var stack []visit
	for i, p := range g.parent {
		if p < 0 {
			stack = append(stack, visit{i, 1})
		}
	}
	for len(stack) > 0 {
		at := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if at.depth > mostNesting {
			r.fail(diag.GltfGraph, g.values[at.node], "node %d stands more than %d deep", at.node, mostNesting)
			return
		}
		reached[at.node] = true
		for _, c := range g.nodes[at.node].Children {
			stack = append(stack, visit{c, at.depth + 1})
		}
	}
	for i, ok := range reached {
		if !ok {
			r.fail(diag.GltfGraph, g.values[i], "node %d is below itself", i)
			return
		}
	}
}

func (r *reader) roots(g *graph) (out []int) {
	scenes := r.objects("scenes")
	chosen := r.index(r.field(0, "scene"), len(scenes), "scene")
	if len(scenes) == 0 {
		for i, p := range g.parent {
			if p < 0 {
				out = append(out, i)
			}
		}
		return out
	}
	for i, s := range scenes {
		seen := map[int]bool{}
		for _, v := range r.array(r.field(s, "nodes")) {
			n := r.index(v, len(g.values), "node")
			if r.stopped() {
				return nil
			}
			if g.parent[n] >= 0 || seen[n] {
				r.fail(diag.GltfGraph, v, "node %d is a root of the scene and stands below node %d, or is a root twice", n, g.parent[n])
				return nil
			}
			seen[n] = true
			if i == max(0, chosen) {
				out = append(out, n)
			}
		}
	}
	return out
}

// transform is a node's matrix, or its translation, rotation and scale (clause 3.5.2).
func (r *reader) transform(v int) mesh.Mat {
	matrix, t, q, s := r.field(v, "matrix"), r.field(v, "translation"), r.field(v, "rotation"), r.field(v, "scale")
	m := mesh.Identity()
	if matrix >= 0 {
		if t >= 0 || q >= 0 || s >= 0 {
			r.fail(diag.GltfValue, matrix, "the node has a matrix and translation, rotation or scale")
		}
		r.numbers(matrix, m[:])
		if m[3] != 0 || m[7] != 0 || m[11] != 0 || m[15] != 1 {
			r.fail(diag.GltfValue, matrix, "the last row is not 0 0 0 1")
		}
		return m
	}
	if q >= 0 {
		var u [4]float64
		r.numbers(q, u[:])
		m = r.rotation(u, q)
	}
	if s >= 0 {
		var f mesh.Vec
		r.numbers(s, f[:])
		for c := range 3 {
			for k := range 3 {
				m[4*c+k] *= f[c]
			}
		}
	}
	if t >= 0 {
		r.numbers(t, m[12:15])
	}
	return m
}

// rotation is the matrix of a quaternion x y z w. Its length may differ from 1
// as much as 8-bit normalized components let it; more is no rounding.
func (r *reader) rotation(q [4]float64, v int) mesh.Mat {
	length := math.Sqrt(float64(q[0]*q[0]) + float64(q[1]*q[1]) + float64(q[2]*q[2]) + float64(q[3]*q[3]))
	if math.Abs(length-1) > 0.01 {
		r.fail(diag.GltfValue, v, "the rotation's length is %v, not 1", length)
		return mesh.Identity()
	}
	x, y, z, w := q[0]/length, q[1]/length, q[2]/length, q[3]/length
	double := func(a, b, c, d float64) float64 { return float64(2 * (float64(a*b) + float64(c*d))) }
	return mesh.Mat{
		1 - double(y, y, z, z), double(x, y, z, w), double(x, z, -y, w), 0,
		double(x, y, -z, w), 1 - double(x, x, z, z), double(y, z, x, w), 0,
		double(x, z, y, w), double(y, z, -x, w), 1 - double(x, x, y, y), 0,
		0, 0, 0, 1,
	}
}

// builder copies the nodes that show something or lead to it.
type builder struct {
	r      *reader
	g      *graph
	scene  *mesh.Scene
	meshAt map[int]int // reader's mesh: the scene's
}

func (b *builder) root(i int, turn mesh.Mat) {
	if n := b.add(i, turn); n >= 0 {
		b.scene.Nodes[n].Transform = turn.Mul(b.scene.Nodes[n].Transform)
		b.scene.Roots = append(b.scene.Roots, n)
	}
}

// add copies node i and those below it; -1 when it is invisible. The total
// placement is computed only to refuse what overflows.
func (b *builder) add(i int, above mesh.Mat) int {
	if b.r.stopped() {
		return -1
	}
	if b.g.invisible[i] {
		b.r.skipped.invisible++
		return -1
	}
	node := b.g.nodes[i]
	total := above.Mul(node.Transform)
	for c := range 4 {
		if !source.Near(mesh.Vec{total[4*c], total[4*c+1], total[4*c+2]}) {
			b.r.fail(diag.GeometryCoordinate, b.g.values[i], "the node's placement is out of bounds")
			return -1
		}
	}
	n := len(b.scene.Nodes)
	b.scene.Nodes = append(b.scene.Nodes, mesh.Node{Name: node.Name, Transform: node.Transform, Mesh: -1})
	if node.Mesh >= 0 {
		b.show(n, b.r.shapes[node.Mesh])
	}
	var children []int
	for _, c := range node.Children {
		if k := b.add(c, total); k >= 0 {
			children = append(children, k)
		}
	}
	b.scene.Nodes[n].Children = children
	return n
}

func (b *builder) show(n int, s shape) {
	if b.scene.Nodes[n].Name == "" {
		b.scene.Nodes[n].Name = s.name
	}
	if s.mesh < 0 {
		return
	}
	at, there := b.meshAt[s.mesh]
	if !there {
		at = len(b.scene.Meshes)
		b.meshAt[s.mesh] = at
		b.scene.Meshes = append(b.scene.Meshes, b.r.meshes[s.mesh])
	}
	b.scene.Nodes[n].Mesh, b.scene.Nodes[n].Materials = at, s.materials
}
