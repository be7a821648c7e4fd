package reduce

import (
	"math"
	"math/bits"
)

// Candidates are ranked by the upper bits of their error as a float32: the
// exponent and four bits of the mantissa, so that one rank spans about 6 %.
const (
	rankShift = 19
	ranks     = 1 << (31 - rankShift)
	noRank    = math.MaxUint32 - 1
	unlisted  = math.MaxUint32
	// Below the rank an error's bits say how often its edge failed to collapse and
	// whether it waits until its surroundings have changed.
	failures  = 7
	waits     = 8
	errorBits = math.MaxUint32 << rankShift & math.MaxUint32
)

// run carries out collapses in passes. A pass ranks all edges by their error,
// takes the least of them in order and skips those that touch a vertex which the
// pass has merged already. Their errors are exact: an edge's error depends on
// nothing but its two vertices.
type run struct {
	s       *surface
	cost    []uint32 // by edge: bits of the float32 error; unlisted if it is not in edges
	edges   []int32
	merged  set     // vertices of this pass
	order   []int32 // the ranked edges of this pass
	starts  [ranks + 1]int32
	try     attempt
	level   int  // of patience
	gained  bool // since it last relented
	stuck   bool
	count   int    // edges that do not wait
	least   uint32 // error among them
	waiting uint32 // least error among those that wait
	moved   bool   // since those that wait were last let in
}

// set holds a bit by vertex: small enough to stay near while a pass jumps about.
type set []uint64

func (m set) has(v int32) bool { return m[v>>6]>>(v&63)&1 != 0 }
func (m set) add(v int32)      { m[v>>6] |= 1 << (v & 63) }

func newRun(s *surface) *run {
	r := &run{
		s:      s,
		cost:   make([]uint32, 4*len(s.triangles)),
		edges:  make([]int32, 0, len(s.triangles)*3/2+len(s.triangles)/8+16),
		merged: make(set, len(s.vertices)/64+1),
	}
	for i := range s.triangles {
		t := &s.triangles[i]
		for k := range int32(3) {
			c := int32(4*i) + k
			r.cost[c] = unlisted
			a, b := t.v[k], t.v[after[k]&3]
			if t.v[0] != dead && (a < b || t.alone>>k&1 != 0) {
				r.weigh(c, a, b)
			}
		}
	}
	return r
}

// weigh computes the error of the edge c, which is ab, and lists it.
func (r *run) weigh(c, a, b int32) {
	_, e := r.s.edgeError(a, b)
	if r.cost[c] == unlisted {
		r.edges = append(r.edges, c)
	}
	r.cost[c] = bitsOf(e)
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
		r.list()
		if r.moved && r.waiting < r.least {
			r.letIn(r.least, waits)
			r.moved = false
			r.list()
		}
		if r.count == 0 {
			r.relent()
			continue
		}
		r.rank(r.quota(target))
		r.collapse(target)
	}
}

// letIn lets the edges below an error try again by taking the marks from them: what
// they failed for may have changed, and the alternative costs more.
func (r *run) letIn(below, marks uint32) {
	for _, c := range r.edges {
		if r.cost[c] < below {
			r.cost[c] &^= marks
		}
	}
}

// fail notes that the edge of corner c does not collapse for now, or for good once
// it has failed often.
func (r *run) fail(c int32) {
	if r.cost[c]&failures < failures {
		r.cost[c]++
	}
	r.cost[c] |= waits
}

// quota is how many edges a pass takes up. Few make better choices, many make
// fewer passes.
func (r *run) quota(target int) int {
	edges, need := r.count, (r.s.live-target+1)/2
	return max(min(edges/6, max(need+need/2, edges/24)), 1)
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
	r.letIn(noRank, waits|failures)
}

// list weighs the edges whose ends were merged since it was last called, and counts
// those that can be ranked.
func (r *run) list() {
	// In the order of the vertices, which are likely to be neighbours in memory too.
	for i, word := range r.merged {
		for ; word != 0; word &= word - 1 {
			r.reweigh(int32(64*i + bits.TrailingZeros64(word)))
		}
	}
	clear(r.merged)
	clear(r.starts[:])
	r.count, r.least, r.waiting = 0, noRank, noRank
	kept := 0
	for _, c := range r.edges {
		e := r.cost[c]
		if e == unlisted {
			continue
		}
		r.edges[kept] = c
		kept++
		switch {
		case e == noRank:
		case e&waits != 0:
			r.waiting = min(r.waiting, e)
		default:
			r.least = min(r.least, e)
			r.starts[e>>rankShift+1]++
			r.count++
		}
	}
	r.edges = r.edges[:kept]
}

// reweigh weighs the edges of a merged vertex. An edge that is met from its other side
// too is listed there only.
func (r *run) reweigh(v int32) {
	s := r.s
	for _, c := range s.around(v) {
		t, k := &s.triangles[c>>2], c&3
		j := before[k]
		next, last := t.v[after[k]&3], t.v[j&3]
		// An edge between two merged vertices is weighed from the lower one.
		switch out := c; {
		case v > next && t.alone>>k&1 == 0:
			r.cost[out] = unlisted
		case v < next || !r.merged.has(next):
			r.weigh(out, v, next)
		}
		switch in := c - k + j; {
		case last > v && t.alone>>j&1 == 0:
			r.cost[in] = unlisted
		case v < last || !r.merged.has(last):
			r.weigh(in, last, v)
		}
	}
}

func bitsOf(e float64) uint32 {
	if e > math.MaxFloat32/2 || e != e {
		return noRank
	}
	return math.Float32bits(float32(e)) & errorBits
}

// rank sorts the edges of the lowest ranks, about as many as asked for, into order.
func (r *run) rank(want int) {
	top := 0
	for top < ranks && int(r.starts[top]) < want {
		r.starts[top+1] += r.starts[top]
		top++
	}
	n := int(r.starts[top])
	if cap(r.order) < n {
		r.order = make([]int32, 0, max(n, cap(r.edges)/3))
	}
	r.order = r.order[:n]
	for _, c := range r.edges {
		if k := r.cost[c] >> rankShift; int(k) < top && r.cost[c]&waits == 0 {
			r.order[r.starts[k]] = c
			r.starts[k]++
		}
	}
}

// collapse takes the ranked edges in order.
func (r *run) collapse(target int) {
	s, limit := r.s, &patiences[r.level]
	for _, c := range r.order {
		t, k := &s.triangles[c>>2], c&3
		if t.v[0] == dead {
			continue
		}
		a, b := t.v[k], t.v[after[k]&3]
		if r.merged.has(a) || r.merged.has(b) {
			continue
		}
		if s.vertices[b].marks&isFixed != 0 {
			a, b = b, a
		}
		if !s.gather(&r.try, a, b, limit) || s.live-len(r.try.shared) < leastTriangles {
			r.fail(c)
			continue
		}
		p, ok := s.place(&r.try, limit)
		if !ok {
			r.fail(c)
			continue
		}
		if !s.hasRoom(&r.try) {
			s.layRings()
			continue
		}
		s.apply(&r.try, p)
		r.unlist(r.try.shared)
		r.merged.add(a)
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
		r.cost[c], r.cost[c+1], r.cost[c+2] = unlisted, unlisted, unlisted
	}
}
