package glb

import (
	"math"
	"math/bits"

	"planfold/convert/glb/meshopt"
	"planfold/convert/mesh"
)

// Triangles are ordered for the compressed stream and, which is nearly the same, for
// the cache of vertices that a GPU keeps: each comes across an edge seen lately if it
// can, and by preference one of whose corners few triangles are left, so that they
// need not be remembered, and whose new vertex differs least from the one before in the
// streams of vertices, which hold the differences. (After T. Forsyth, Linear-Speed Vertex
// Cache Optimisation, 2006, with the stream's list of edges in place of a cache.)
// Vertices are in the order of their first use.

// keptEdges is how many a stream can take up again.
const keptEdges = 15

// What going on with a triangle costs, found by search on parts and assemblies: by the
// age of its edge, by the triangles that an end of it still has, and, where it brings a
// new vertex, by the bits of each difference from the last one.
const (
	perAge         = 4
	perLeft        = 5
	perPositionBit = 3
	perNormalBit   = 6
)

// place is about what the streams hold of a vertex: its position, to fourteen bits of
// the mesh's extent, and its normal.
type place [5]int32

// order holds what is done of the triangles of one primitive.
type order struct {
	index  []int32
	twin   []int32 // by side, which starts at its corner: the side across, or -1
	done   []bool
	cursor int     // no triangle before it is to come
	edges  []int32 // sides of triangles that are done, newest last
	out    []int32

	place  []place // by vertex
	left   []int32 // by vertex: triangles to come
	number []int32 // by vertex: how many were seen before it; -1: not seen
	seen   int32
	last   place // of the newest vertex
}

// arrange orders the triangles of each primitive, then the vertices.
func arrange(m *mesh.Mesh, v shaded) shaded {
	n := len(v.position)
	o := order{place: places(m, &v), left: make([]int32, n), number: make([]int32, n)}
	for i := range o.number {
		o.number[i] = -1
	}
	for _, x := range v.index {
		o.left[x]++
	}
	for _, p := range v.primitives {
		o.primitive(v.index[p.First : p.First+p.Count])
	}
	return v.renumbered(o.number)
}

func places(m *mesh.Mesh, v *shaded) []place {
	bounds := m.Bounds()
	cell := 0.0
	for k := range 3 {
		cell = max(cell, (bounds.Max[k]-bounds.Min[k])/(1<<14))
	}
	list := make([]place, len(v.position))
	for i, p := range v.position {
		if cell > 0 {
			for k, x := range m.Positions[p] {
				list[i][k] = int32((x - bounds.Min[k]) / cell)
			}
		}
		e, _ := meshopt.PackUnit(v.normal[i])
		list[i][3], list[i][4] = int32(int8(e[0])), int32(int8(e[1]))
	}
	return list
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
	best, least := int32(-1), math.MaxInt
	for age := range min(keptEdges, len(o.edges)) {
		side := o.twin[o.edges[len(o.edges)-1-age]]
		if side < 0 || o.done[side/3] {
			continue
		}
		if cost := o.cost(side) + perAge*age; cost < least {
			best, least = side, cost
		}
	}
	return best
}

// cost of going on with the triangle of a side.
func (o *order) cost(side int32) int {
	a, b, apex := o.index[side], o.index[next(side)], o.index[before(side)]
	cost := perLeft * int(min(o.left[a], o.left[b]))
	if o.number[apex] < 0 {
		p := &o.place[apex]
		position := length(p[0]-o.last[0]) + length(p[1]-o.last[1]) + length(p[2]-o.last[2])
		normal := length(p[3]-o.last[3]) + length(p[4]-o.last[4])
		cost += perPositionBit*position + perNormalBit*normal
	}
	return cost
}

// length of a difference in bits.
func length(d int32) int { return bits.Len32(uint32(max(d, -d))) }

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
