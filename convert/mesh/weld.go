package mesh

import (
	"math"
	"math/bits"
)

// Welder builds a mesh from triangles as a file lists them. Corners in exactly
// one place become one vertex; triangles with two corners in one place, and
// later copies of a triangle, are left out and counted. A triangle and its
// reverse both stay: they are the two sides of a sheet. So does a triangle
// whose three corners lie on a line: it closes the surface between its
// neighbours. Vertices are numbered by first use in the triangles that stay.
//
// The zero value is ready for use.
type Welder struct {
	Degenerate, Duplicate int // triangles left out

	positions []Vec
	triangles [][3]int32
	groups    []int32 // nil until a group other than 0 comes
	vertexAt  table
	cornersAt table
}

// Expect makes room for a number of triangles and the vertices of a closed
// surface, half as many. It saves time only.
func (w *Welder) Expect(triangles int) {
	w.positions = make([]Vec, 0, triangles/2+triangles/64+4)
	w.triangles = make([][3]int32, 0, triangles)
	w.vertexAt.slots = make([]uint64, slotsFor(cap(w.positions)))
	w.cornersAt.slots = make([]uint64, slotsFor(triangles))
}

// Vertex is the number of the vertex at p.
func (w *Welder) Vertex(p Vec) int32 {
	for k := range p {
		p[k] += 0 // -0 and 0 are one place
	}
	w.vertexAt.grow(len(w.positions), func(i int32) uint64 { return hashPlace(w.positions[i]) })
	slot := w.vertexAt.find(hashPlace(p), func(i int32) bool { return w.positions[i] == p })
	if *slot == 0 {
		w.positions = append(w.positions, p)
		w.vertexAt.fill(slot, hashPlace(p), len(w.positions))
	}
	return int32(uint32(*slot)) - 1
}

// Triangle adds the triangle of three vertices to a group, unless it is
// degenerate or there already.
func (w *Welder) Triangle(a, b, c, group int32) {
	if a == b || b == c || c == a {
		w.Degenerate++
		return
	}
	t := [3]int32{a, b, c}
	key := rotated(t)
	w.cornersAt.grow(len(w.triangles), func(i int32) uint64 { return hashCorners(rotated(w.triangles[i])) })
	slot := w.cornersAt.find(hashCorners(key), func(i int32) bool { return rotated(w.triangles[i]) == key })
	if *slot != 0 {
		w.Duplicate++
		return
	}
	w.triangles = append(w.triangles, t)
	w.cornersAt.fill(slot, hashCorners(key), len(w.triangles))
	if group != 0 && w.groups == nil {
		w.groups = make([]int32, len(w.triangles)-1, cap(w.triangles))
	}
	if w.groups != nil {
		w.groups = append(w.groups, group)
	}
}

// Mesh is what was added so far, or nil without triangles. The welder must not
// be used afterwards.
func (w *Welder) Mesh() *Mesh {
	if len(w.triangles) == 0 {
		return nil
	}
	w.vertexAt, w.cornersAt = table{}, table{}
	if w.Degenerate > 0 {
		w.renumber()
	}
	return &Mesh{Positions: w.positions, Triangles: w.triangles, Group: w.groups}
}

// renumber leaves out the vertices that only degenerate triangles had, and
// numbers the others as if those triangles had never come.
func (w *Welder) renumber() {
	number := make([]int32, len(w.positions)) // plus 1; 0: not used so far
	kept := make([]Vec, 0, len(w.positions))
	for i := range w.triangles {
		for k, v := range w.triangles[i] {
			if number[v] == 0 {
				kept = append(kept, w.positions[v])
				number[v] = int32(len(kept))
			}
			w.triangles[i][k] = number[v] - 1
		}
	}
	w.positions = kept
}

// rotated starts a triangle at its lowest vertex and keeps its sense.
func rotated(t [3]int32) [3]int32 {
	switch {
	case t[1] < t[0] && t[1] < t[2]:
		return [3]int32{t[1], t[2], t[0]}
	case t[2] < t[0] && t[2] < t[1]:
		return [3]int32{t[2], t[0], t[1]}
	}
	return t
}

// table is an open-addressing set of numbers. A slot holds the upper half of
// the hash, so that most probes touch no other memory, and the number plus 1.
type table struct{ slots []uint64 }

// grow makes room for one more than n numbers; hash gives those of the present.
func (t *table) grow(n int, hash func(int32) uint64) {
	if 2*(n+1) <= len(t.slots) {
		return
	}
	t.slots = make([]uint64, slotsFor(2*n+1))
	for i := range n {
		h := hash(int32(i))
		t.fill(t.find(h, func(int32) bool { return false }), h, i+1)
	}
}

// slotsFor n numbers is a power of two that leaves half of the slots free.
func slotsFor(n int) int { return max(64, 1<<bits.Len(uint(2*n))) }

// find is the slot of the number that same accepts, or the free slot for it.
func (t *table) find(hash uint64, same func(int32) bool) *uint64 {
	mask := uint64(len(t.slots) - 1)
	for i := hash & mask; ; i = (i + 1) & mask {
		s := &t.slots[i]
		if *s == 0 || *s>>32 == hash>>32 && same(int32(uint32(*s))-1) {
			return s
		}
	}
}

func (t *table) fill(slot *uint64, hash uint64, numberPlus1 int) {
	*slot = hash>>32<<32 | uint64(uint32(numberPlus1))
}

func hashPlace(p Vec) uint64 {
	return mix(mix(math.Float64bits(p[0]), math.Float64bits(p[1])), math.Float64bits(p[2]))
}

func hashCorners(t [3]int32) uint64 {
	return mix(uint64(uint32(t[0]))<<32|uint64(uint32(t[1])), uint64(uint32(t[2])))
}

// mix folds a product of 128 bits; the constants are odd and without pattern
// (the fractions of two square roots).
func mix(a, b uint64) uint64 {
	hi, lo := bits.Mul64(a^0x6a09e667f3bcc909, b^0xbb67ae8584caa73b)
	return hi ^ lo
}
