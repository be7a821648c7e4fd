package glb

import (
	"math"

	"planfold/convert/mesh"
)

// Triangles are ordered for the compressed stream and, which is nearly the same, for
// the cache of vertices that a GPU keeps: each comes across an edge seen lately if it
// can, and by preference one of whose corners few triangles are left, so that they
// need not be remembered. (After T. Forsyth, Linear-Speed Vertex Cache Optimisation,
// 2006, with the stream's list of edges in place of a cache.) Vertices are in the order
// of their first use.

// keptEdges is how many a stream can take up again.
const keptEdges = 15

// What a triangle is worth, found by search on parts and assemblies: it loses by the
// age of its edge, by the triangles that its corners still have, and, where it brings
// a new vertex, by how far that is from the last one.
const (
	perAge      = 1.107
	perApexLeft = 0.389
	perEndLeft  = 1.486
	perDistance = 0.369
	forNew      = 0.773
	farthest    = 14 // beyond it one is as far as another; in mean lengths of an edge
)

// order holds what is done of the triangles of one primitive.
type order struct {
	index  []int32
	twin   []int32 // by side, which starts at its corner: the side across, or -1
	done   []bool
	cursor int     // no triangle before it is to come
	edges  []int32 // sides of triangles that are done, newest last
	out    []int32

	place  []mesh.Vec // by vertex
	left   []int32    // by vertex: triangles to come
	number []int32    // by vertex: how many were seen before it; -1: not seen
	seen   int32
	last   mesh.Vec // where the newest vertex is
	mean   float64  // length of an edge
}

// arrange orders the triangles of each primitive, then the vertices.
func arrange(m *mesh.Mesh, v shaded) shaded {
	n := len(v.position)
	o := order{place: make([]mesh.Vec, n), left: make([]int32, n), number: make([]int32, n)}
	for i, p := range v.position {
		o.place[i], o.number[i] = m.Positions[p], -1
	}
	for i, x := range v.index {
		o.left[x]++
		o.mean += o.place[x].Distance(o.place[v.index[next(int32(i))]]) / float64(len(v.index))
	}
	for _, p := range v.primitives {
		o.primitive(v.index[p.First : p.First+p.Count])
	}
	return v.renumbered(o.number)
}

// renumbered gives vertices the numbers in which they are first used.
func (v shaded) renumbered(number []int32) shaded {
	out := shaded{position: make([]int32, len(number)), normal: make([]mesh.Vec, len(number)), index: v.index, primitives: v.primitives}
	if v.wedge != nil {
		out.wedge = make([]int32, len(number))
	}
	for from, to := range number {
		out.position[to], out.normal[to] = v.position[from], v.normal[from]
		if v.wedge != nil {
			out.wedge[to] = v.wedge[from]
		}
	}
	for i, x := range v.index {
		v.index[i] = number[x]
	}
	return out
}

// primitive puts the triangles of index in order, in place.
func (o *order) primitive(index []int32) {
	o.index, o.twin, o.done = index, twins(index, len(o.place)), make([]bool, len(index)/3)
	o.cursor, o.edges, o.out = 0, o.edges[:0], make([]int32, 0, len(index))
	for len(o.out) < len(index) {
		side := o.best()
		if side < 0 {
			side = o.start()
		}
		o.take(side)
	}
	copy(index, o.out)
}

// best is the side, of a triangle to come, that goes on best from a side seen
// lately, or -1.
func (o *order) best() int32 {
	best, most := int32(-1), math.Inf(-1)
	for age := range min(keptEdges, len(o.edges)) {
		side := o.twin[o.edges[len(o.edges)-1-age]]
		if side < 0 || o.done[side/3] {
			continue
		}
		if worth := o.worth(side) - float64(perAge*float64(age)); worth > most {
			best, most = side, worth
		}
	}
	return best
}

func (o *order) worth(side int32) float64 {
	a, b, apex := o.index[side], o.index[next(side)], o.index[before(side)]
	worth := -float64(perApexLeft*float64(o.left[apex])) - float64(perEndLeft*float64(min(o.left[a], o.left[b])))
	if o.number[apex] < 0 {
		worth += forNew
		if o.mean > 0 {
			worth -= float64(perDistance * min(farthest, o.place[apex].Distance(o.last)/o.mean))
		}
	}
	return worth
}

// start is a side of the triangle that goes on from the newest edge with one to come,
// or else of the next in the old order.
func (o *order) start() int32 {
	for len(o.edges) > 0 {
		side := o.twin[o.edges[len(o.edges)-1]]
		if side >= 0 && !o.done[side/3] {
			return side
		}
		o.edges = o.edges[:len(o.edges)-1]
	}
	for o.done[o.cursor] {
		o.cursor++
	}
	return int32(3 * o.cursor)
}

// take appends the triangle of a side, beginning with it.
func (o *order) take(side int32) {
	o.done[side/3] = true
	for _, corner := range [3]int32{side, next(side), before(side)} {
		v := o.index[corner]
		o.left[v]--
		if o.number[v] < 0 {
			o.number[v] = o.seen
			o.seen++
			o.last = o.place[v]
		}
		o.out = append(o.out, v)
	}
	o.edges = append(o.edges, next(side), before(side))
}

func before(corner int32) int32 { return next(next(corner)) }

// twins pairs the sides that run along each other in opposite directions.
func twins(index []int32, vertices int) []int32 {
	twin := make([]int32, len(index))
	for i := range twin {
		twin[i] = -1
	}
	first, sides := sidesByEdge(vertices, len(index), func(c int32) int32 { return index[c] })
	for lo := range vertices {
		bucket := sides[first[lo]:first[lo+1]]
		for i := 1; i < len(bucket); i++ {
			a, b := bucket[i-1], bucket[i]
			if a.hi == b.hi && twin[a.corner] < 0 && index[a.corner] != index[b.corner] {
				twin[a.corner], twin[b.corner] = b.corner, a.corner
			}
		}
	}
	return twin
}
