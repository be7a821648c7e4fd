package reduce

import (
	"math"
	"slices"
)

// Candidates are ranked by the upper bits of their error as a float32: the
// exponent and four bits of the mantissa, so that one rank spans about 6 %.
const (
	rankShift = 19
	ranks     = 1 << (31 - rankShift)
	unlisted  = math.MaxUint32
	// Below the rank an error's bits say whether its edge waits until its surroundings have
	// changed, and whether the error is from before a merge.
	waits     = 1 << (rankShift - 1)
	stale     = 1
	errorBits = math.MaxUint32 << rankShift & math.MaxUint32
	// Errors that are some ranks above those that a pass takes are left stale: they seldom
	// fall, so they can wait.
	horizon = 32
	// blockBits is how many triangles a block has: about what a core keeps near.
	blockBits = 11
)

// run carries out collapses in passes. A pass takes the edges below an error in order, and
// skips those that touch a vertex which it has merged already. Their errors are exact: an
// edge's error depends on nothing but its two vertices.
//
// While there is far to go, a pass does so in one block of triangles after the other, so
// that what it jumps about in stays near.
type run struct {
	s      *surface
	cost   []uint32             // by edge: bits of the float32 error; unlisted if another answers for it
	edges  [][]int32            // by block; what is unlisted stays until it is picked from
	counts [2 * 2 * ranks]int32 // how many edges of each rank can be taken, and how many wait
	known  uint32               // rank up to which no error is stale
	again  uint32               // rank below which those that wait may try again
	picked []edge               // to be taken up next
	order  []int32              // the same in order
	starts [ranks + 1]int32     // where each rank begins in order
	merged set                  // vertices whose edges are to be weighed anew
	news   []int32              // the same
	try    attempt
	level  int  // of patience
	gained bool // since it last relented
	moved  bool // since those that wait were last let in
	stuck  bool
}

type edge struct {
	corner int32
	rank   uint32
}

// set holds a bit by vertex: small enough to stay near while a pass jumps about.
type set []uint64

func (m set) has(v int32) bool { return m[v>>6]>>(v&63)&1 != 0 }
func (m set) add(v int32)      { m[v>>6] |= 1 << (v & 63) }
func (m set) remove(v int32)   { m[v>>6] &^= 1 << (v & 63) }

func newRun(s *surface) *run {
	r := &run{
		s:      s,
		cost:   make([]uint32, 4*len(s.triangles)),
		edges:  make([][]int32, len(s.triangles)>>blockBits+1),
		merged: make(set, len(s.vertices)/64+1),
	}
	for b := range r.edges {
		r.edges[b] = make([]int32, 0, 2<<blockBits)
	}
	for i := range s.triangles {
		t, cost := &s.triangles[i], r.cost[4*i:4*i+3]
		cost[0], cost[1], cost[2] = unlisted, unlisted, unlisted
		if t.v[0] == dead {
			continue
		}
		for k := range cost {
			if a, b := t.v[k], t.v[after[k]&3]; a < b || t.alone>>k&1 != 0 {
				r.reweigh(int32(4*i + k))
			}
		}
	}
	return r
}

// weigh computes the error of an edge.
func (r *run) weigh(c int32) uint32 {
	a, b := r.s.ends(c)
	_, _, _, e := r.s.edgeError(a, b)
	return r.put(c, bitsOf(e))
}

// put sets the bits of an edge, and counts it.
func (r *run) put(c int32, e uint32) uint32 {
	r.counts[r.cost[c]/waits]--
	r.counts[e/waits]++
	r.cost[c] = e
	return e
}

// down goes to the target by way of a ladder's levels above it, so that a level of a
// ladder is what Reduce gives for its triangles.
func (r *run) down(target int) {
	for n := r.s.live / 2; n > target && !r.stuck; n = r.s.live / 2 {
		r.to(n)
	}
	r.to(target)
}

// to collapses edges until at most target triangles are left or none fits.
func (r *run) to(target int) {
	for r.s.live > target && !r.stuck {
		open, least, waiting := r.count()
		r.again = 0
		if r.moved && waiting < least {
			r.again, r.moved = least, false
		}
		if open == 0 && r.again > 0 {
			r.letIn()
			continue
		}
		if open == 0 {
			r.relent()
			continue
		}
		r.pass(open, target)
	}
}

// pass takes up the least edges of those that are open. Few make better choices, many make
// fewer passes.
func (r *run) pass(open, target int) {
	need := (r.s.live - target + 1) / 2
	top := r.top(max(need, open/16, 1))
	r.known = min(top+horizon, ranks-1)
	if need <= open/16 { // it may reach the target, with the least edges of all
		r.collapse(r.edges, top, target)
		return
	}
	for b := range r.edges {
		if r.s.live > target {
			r.collapse(r.edges[b:b+1], top, target)
		}
	}
}

// count tells how many edges can be taken, and the least rank of those and of those that wait.
func (r *run) count() (open int, least, waiting uint32) {
	least, waiting = ranks, ranks
	for k := uint32(ranks); k > 0; k-- {
		if n := r.counts[2*k-2]; n > 0 {
			open += int(n)
			least = k - 1
		}
		if r.counts[2*k-1] > 0 {
			waiting = k - 1
		}
	}
	return open, least, waiting
}

// top is the rank below which about as many edges can be taken as asked for.
func (r *run) top(want int) uint32 {
	n, top := 0, uint32(0)
	for top < ranks && n < want {
		n += int(r.counts[2*top])
		top++
	}
	return top
}

// letIn lets edges try again: what they failed for may have changed.
func (r *run) letIn() {
	for _, edges := range r.edges {
		for _, c := range edges {
			if e := r.cost[c]; e != unlisted {
				r.put(c, e&^waits)
			}
		}
	}
}

// relent is called when no edge fits: all get another try, with more patience if none
// has collapsed since the last time, until there is no more.
func (r *run) relent() {
	if !r.gained {
		r.level++
	}
	if r.level == len(patiences) {
		r.stuck = true
		return
	}
	r.gained = false
	r.letIn()
}

// collapse takes up the edges of some blocks that are below a rank.
func (r *run) collapse(blocks [][]int32, top uint32, target int) {
	clear(r.starts[:top+1])
	r.picked = r.picked[:0]
	for b := range blocks {
		blocks[b] = r.pick(blocks[b], top)
	}
	r.rank(top)
	r.take(target)
	slices.Sort(r.news) // neighbours are likely to be so in memory too
	for _, v := range r.news {
		r.reweighAround(v)
	}
	for _, v := range r.news {
		r.merged.remove(v)
	}
	r.news = r.news[:0]
}

// pick picks the edges below a rank, and returns those that are still listed.
func (r *run) pick(edges []int32, top uint32) []int32 {
	kept := 0
	for _, c := range edges {
		e := r.cost[c]
		if e == unlisted {
			continue
		}
		edges[kept] = c
		kept++
		if e>>rankShift >= top {
			continue
		}
		if e&waits != 0 {
			if e>>rankShift >= r.again {
				continue
			}
			e = r.put(c, e&^waits)
		}
		if e&stale != 0 {
			if e = r.weigh(c); e>>rankShift >= top {
				continue
			}
		}
		r.starts[e>>rankShift+1]++
		r.picked = append(r.picked, edge{c, e >> rankShift})
	}
	return edges[:kept]
}

// rank sorts those that are picked into order.
func (r *run) rank(top uint32) {
	for k := range top {
		r.starts[k+1] += r.starts[k]
	}
	r.order = slices.Grow(r.order[:0], len(r.picked))[:len(r.picked)]
	for _, e := range r.picked {
		r.order[r.starts[e.rank]] = e.corner
		r.starts[e.rank]++
	}
}

// reweigh weighs an edge, or leaves that for later.
func (r *run) reweigh(c int32) {
	e := r.cost[c]
	if e == unlisted {
		block := &r.edges[c>>(2+blockBits)]
		*block = append(*block, c)
	} else if e>>rankShift > r.known {
		r.put(c, e&errorBits|stale)
		return
	}
	r.weigh(c)
}

// reweighAround weighs the edges of a merged vertex. An edge that is met from its other side
// too is listed there only.
func (r *run) reweighAround(v int32) {
	s := r.s
	for _, c := range s.around(v) {
		t, k := &s.triangles[c>>2], c&3
		j := before[k]
		next, last := t.v[after[k]&3], t.v[j&3]
		// An edge between two merged vertices is weighed from the lower one.
		switch out := c; {
		case v > next && t.alone>>k&1 == 0:
			r.put(out, unlisted)
		case v < next || !r.merged.has(next):
			r.reweigh(out)
		}
		switch in := c - k + j; {
		case last > v && t.alone>>j&1 == 0:
			r.put(in, unlisted)
		case v < last || !r.merged.has(last):
			r.reweigh(in)
		}
	}
}

func bitsOf(e float64) uint32 {
	if e > math.MaxFloat32/2 || e != e {
		return unlisted
	}
	return math.Float32bits(float32(e)) & errorBits
}

// take collapses the edges in order.
func (r *run) take(target int) {
	s, limit := r.s, &patiences[r.level]
	for _, c := range r.order {
		if s.triangles[c>>2].v[0] == dead {
			continue
		}
		a, b := s.ends(c)
		if r.merged.has(a) || r.merged.has(b) {
			continue
		}
		if s.vertices[b].marks&isFixed != 0 {
			a, b = b, a
		}
		if !s.gather(&r.try, a, b, limit) || s.live-len(r.try.shared) < leastTriangles {
			r.put(c, r.cost[c]|waits)
			continue
		}
		p, ok := s.place(&r.try, limit)
		if !ok {
			r.put(c, r.cost[c]|waits)
			continue
		}
		if !s.hasRoom(&r.try) {
			s.layRings()
			continue
		}
		s.apply(&r.try, p)
		r.unlist(r.try.shared)
		r.merged.add(a)
		r.news = append(r.news, a)
		r.gained, r.moved = true, true
		if s.live <= target {
			return
		}
	}
}

// unlist takes the edges of dead triangles out.
func (r *run) unlist(triangles []int32) {
	for _, t := range triangles {
		c := 4 * t
		r.put(c, unlisted)
		r.put(c+1, unlisted)
		r.put(c+2, unlisted)
	}
}
