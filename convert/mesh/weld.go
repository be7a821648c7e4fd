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

	slots []uint64 // open addressing: half a hash, and the number of a vertex plus 1
	ahead uint64   // of what Soup reads ahead, so that it is read
	// The triangles of one highest vertex are a chain. As vertices are numbered by
	// first use, few have the same one, and the chain to look at is near the last.
	newest []int32 // by vertex: the last triangle of its chain plus 1
	links  []link  // by triangle
	crowd  map[[3]int32]bool
	wedges wedges
}

type link struct {
	earlier int32 // the one before in the chain plus 1
	after   int32 // the corner that follows the highest
}

// longestChain bounds the time that an unlucky vertex takes; further triangles of
// it are found in a map.
const longestChain = 32

// Expect makes room for a number of triangles and the vertices of a closed
// surface, half as many. It saves time only.
func (w *Welder) Expect(triangles int) {
	vertices := triangles/2 + triangles/64 + 4
	w.positions = make([]Vec, 0, vertices)
	w.newest = make([]int32, 0, vertices)
	w.triangles = make([][3]int32, 0, triangles)
	w.links = make([]link, 0, triangles)
	w.slots = make([]uint64, slotsFor(vertices+3*batch))
}

// Vertex is the number of the vertex at p.
func (w *Welder) Vertex(p Vec) int32 {
	w.room(1)
	return w.vertex(&p, hashPlace(&p))
}

// batch is how many triangles Soup looks up together.
const batch = 32

// Soup adds triangles to group 0, by their corners. It is faster than one by one: a
// batch is hashed before it is looked up, so that the memory's answers to many
// corners are on their way at once.
func (w *Welder) Soup(triangles [][3]Vec) {
	var hashes [batch][3]uint64
	for len(triangles) > 0 {
		some := triangles[:min(batch, len(triangles))]
		triangles = triangles[len(some):]
		w.room(3 * len(some))
		mask := uint64(len(w.slots) - 1)
		for i := range some {
			for k := range some[i] {
				hashes[i][k] = hashPlace(&some[i][k])
				w.ahead ^= w.slots[hashes[i][k]&mask]
			}
		}
		for i := range some {
			t, h := &some[i], &hashes[i]
			w.Triangle(w.vertex(&t[0], h[0]), w.vertex(&t[1], h[1]), w.vertex(&t[2], h[2]), 0)
		}
	}
}

func (w *Welder) vertex(p *Vec, hash uint64) int32 {
	mask := uint64(len(w.slots) - 1)
	for i := hash & mask; ; i = (i + 1) & mask {
		switch s := w.slots[i&mask]; {
		case s == 0:
			w.positions = append(w.positions, Vec{p[0] + 0, p[1] + 0, p[2] + 0})
			w.newest = append(w.newest, 0)
			n := len(w.positions)
			w.slots[i&mask] = hash>>32<<32 | uint64(uint32(n))
			return int32(n - 1)
		case s>>32 == hash>>32:
			if v := int32(uint32(s)) - 1; w.positions[v] == *p {
				return v
			}
		}
	}
}

// room makes room for n more vertices.
func (w *Welder) room(n int) {
	if 2*(len(w.positions)+n) > len(w.slots) {
		w.grow(n)
	}
}

func (w *Welder) grow(n int) {
	w.slots = make([]uint64, slotsFor(2*len(w.positions)+n))
	mask := uint64(len(w.slots) - 1)
	for v := range w.positions {
		hash := hashPlace(&w.positions[v])
		i := hash & mask
		for w.slots[i] != 0 {
			i = (i + 1) & mask
		}
		w.slots[i] = hash>>32<<32 | uint64(uint32(v+1))
	}
}

// slotsFor n vertices is a power of two that leaves half of the slots free.
func slotsFor(n int) int { return max(64, 1<<bits.Len(uint(2*n))) }

// Triangle adds the triangle of three vertices to a group, unless it is
// degenerate or there already. It reports whether the triangle stays.
func (w *Welder) Triangle(a, b, c, group int32) bool {
	if a == b || b == c || c == a {
		w.Degenerate++
		return false
	}
	t := [3]int32{a, b, c}
	highest, after, last := a, b, c // the same sense
	if b > a && b > c {
		highest, after, last = b, c, a
	} else if c > a && c > b {
		highest, after, last = c, a, b
	}
	there, full := w.find(highest, after, last)
	if there {
		w.Duplicate++
		return false
	}
	w.triangles = append(w.triangles, t)
	w.links = append(w.links, link{w.newest[highest], after})
	if full {
		w.crowd[[3]int32{highest, after, last}] = true
	} else {
		w.newest[highest] = int32(len(w.triangles))
	}
	if group != 0 && w.groups == nil {
		w.groups = make([]int32, len(w.triangles)-1, cap(w.triangles))
	}
	if w.groups != nil {
		w.groups = append(w.groups, group)
	}
	return true
}

// find looks for a triangle, given from its highest vertex on. The chain is full
// when another triangle of that vertex must go to the crowd.
func (w *Welder) find(highest, after, last int32) (there, full bool) {
	length := 0
	for i := w.newest[highest]; i != 0; length++ {
		l := &w.links[i-1]
		if l.after == after {
			if t := &w.triangles[i-1]; t[0]+t[1]+t[2] == highest+after+last {
				return true, false
			}
		}
		i = l.earlier
	}
	if length < longestChain {
		return false, false
	}
	if w.crowd == nil {
		w.crowd = map[[3]int32]bool{}
	}
	return w.crowd[[3]int32{highest, after, last}], true
}

// Mesh is what was added so far, or nil without triangles. The welder must not
// be used afterwards.
func (w *Welder) Mesh() *Mesh {
	if len(w.triangles) == 0 {
		return nil
	}
	if w.wedges.corners != nil {
		w.attachPlain(len(w.triangles))
	}
	w.slots, w.newest, w.links, w.crowd = nil, nil, nil, nil
	if w.Degenerate > 0 {
		w.renumber()
	}
	m := &Mesh{Positions: w.positions, Triangles: w.triangles, Group: w.groups}
	w.wedges.give(m)
	return m
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

// hashPlace takes -0 and 0 for one place, as a comparison does.
func hashPlace(p *Vec) uint64 {
	return mix(mix(math.Float64bits(p[0]+0), math.Float64bits(p[1]+0)), math.Float64bits(p[2]+0))
}

// mix folds a product of 128 bits; the constants are odd and without pattern
// (the fractions of two square roots).
func mix(a, b uint64) uint64 {
	hi, lo := bits.Mul64(a^0x6a09e667f3bcc909, b^0xbb67ae8584caa73b)
	return hi ^ lo
}
