package reduce

import (
	"math"
	"math/bits"
	"slices"
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
	failures = 7
	waits    = 8
	// Edges beyond a horizon, some ranks above those that a pass takes, are put aside:
	// distant marks them, and stale an error from before a merge. Errors seldom fall, so
	// those can wait.
	stale     = 16
	distant   = 32
	horizon   = 32
	errorBits = math.MaxUint32 << rankShift & math.MaxUint32
)

// run carries out collapses in passes. A pass ranks the edges by their error,
// takes the least of them in order and skips those that touch a vertex which the
// pass has merged already. Their errors are exact: an edge's error depends on
// nothing but its two vertices.
type run struct {
	s       *surface
	cost    []uint32 // by edge: bits of the float32 error; unlisted if it is in neither list
	near    []int32  // edges of the ranks up to known
	far     []int32  // edges beyond; what has lost its mark no longer belongs here
	known   uint32   // rank up to which no error is stale
	merged  set      // vertices of this pass
	ranked  []edge   // of this pass, those of near that do not wait
	order   []int32  // of this pass, those that it takes
	starts  [ranks + 1]int32
	try     attempt
	level   int  // of patience
	gained  bool // since it last relented
	stuck   bool
	beyond  int    // edges of far that do not wait, or somewhat more
	least   uint32 // error in ranked
	waiting uint32 // least error among those of near that wait
	moved   bool   // since those that wait were last let in
}

type edge struct {
	corner int32
	rank   uint32
}

// set holds a bit by vertex: small enough to stay near while a pass jumps about.
type set []uint64

func (m set) has(v int32) bool { return m[v>>6]>>(v&63)&1 != 0 }
func (m set) add(v int32)      { m[v>>6] |= 1 << (v & 63) }

func newRun(s *surface) *run {
	r := &run{
		s:      s,
		known:  ranks - 1,
		cost:   make([]uint32, 4*len(s.triangles)),
		near:   make([]int32, 0, 2*len(s.triangles)),
		merged: make(set, len(s.vertices)/64+1),
	}
	for i := range s.triangles {
		t, cost := &s.triangles[i], r.cost[4*i:4*i+3]
		cost[0], cost[1], cost[2] = unlisted, unlisted, unlisted
		if t.v[0] == dead {
			continue
		}
		for k := range cost {
			a, b := t.v[k], t.v[after[k]&3]
			if a < b || t.alone>>k&1 != 0 {
				r.near = append(r.near, int32(4*i+k))
				_, _, _, e := s.edgeError(a, b)
				cost[k] = bitsOf(e)
			}
		}
	}
	return r
}

// weigh computes the error of an edge.
func (r *run) weigh(c int32) uint32 {
	a, b := r.s.ends(c)
	_, _, _, e := r.s.edgeError(a, b)
	r.cost[c] = bitsOf(e)
	return r.cost[c]
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
			letIn(r, r.near, r.least, waits)
			r.moved = false
			r.list()
		}
		if len(r.ranked)+r.beyond == 0 {
			r.relent()
			continue
		}
		want := r.quota(target)
		if 2*len(r.ranked) < want && r.beyond > 0 {
			r.fetch(want)
			continue
		}
		top := r.top(min(want, len(r.ranked)))
		if r.known > top+2*horizon {
			r.known = top + horizon
		}
		r.rank(top)
		r.collapse(target)
	}
}

// letIn lets the edges of a list that are below an error try again by taking the marks
// from them: what they failed for may have changed, and the alternative costs more.
func letIn(r *run, list []int32, below, marks uint32) {
	for _, c := range list {
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
	edges, need := len(r.ranked)+r.beyond, (r.s.live-target+1)/2
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
	r.near = append(r.near, r.far...)
	r.far = r.far[:0]
	letIn(r, r.near, noRank, waits|failures|distant)
}

// list weighs the edges whose ends were merged since it was last called, and lists those
// of near that can be ranked.
func (r *run) list() {
	// In the order of the vertices, which are likely to be neighbours in memory too.
	for i, word := range r.merged {
		for ; word != 0; word &= word - 1 {
			r.reweighAround(int32(64*i + bits.TrailingZeros64(word)))
		}
	}
	clear(r.merged)
	clear(r.starts[:])
	r.ranked = slices.Grow(r.ranked[:0], len(r.near))
	kept, least, waiting := 0, uint32(noRank), uint32(noRank)
	for _, c := range r.near {
		e := r.cost[c]
		if e == unlisted {
			continue
		}
		rank := e >> rankShift
		if rank > r.known {
			r.putAside(c)
			continue
		}
		r.near[kept] = c
		kept++
		if e&waits != 0 {
			waiting = min(waiting, e)
			continue
		}
		least = min(least, e)
		r.starts[rank+1]++
		r.ranked = append(r.ranked, edge{c, rank})
	}
	r.near = r.near[:kept]
	r.least, r.waiting = least, waiting
}

// putAside moves an edge that near gives up to far, but for one that can never collapse.
func (r *run) putAside(c int32) {
	e := &r.cost[c]
	if *e == noRank {
		*e = unlisted
		return
	}
	r.far = append(r.far, c)
	if *e&waits == 0 {
		r.beyond++
	}
	*e |= distant
}

// fetch moves the horizon to beyond the edges that are wanted, and the edges up to it
// from far to near.
func (r *run) fetch(want int) {
	clear(r.starts[:])
	for _, e := range r.ranked {
		r.starts[e.rank+1]++
	}
	kept := 0
	for _, c := range r.far {
		e := r.cost[c]
		if e == unlisted || e&distant == 0 {
			continue
		}
		r.far[kept] = c
		kept++
		if e&waits == 0 {
			r.starts[e>>rankShift+1]++
		}
	}
	r.known = min(r.top(want)+horizon, ranks-1)
	far := r.far[:kept]
	r.far, r.beyond = r.far[:0], 0
	for _, c := range far {
		e := r.cost[c]
		if e == unlisted || e&distant == 0 {
			continue // it was there twice
		}
		if e>>rankShift <= r.known && e&stale != 0 {
			e = r.weigh(c)
		}
		r.cost[c] = e &^ distant
		if e>>rankShift <= r.known {
			r.near = append(r.near, c)
		} else {
			r.putAside(c)
		}
	}
}

// reweigh weighs an edge, or leaves that for later.
func (r *run) reweigh(c int32) {
	e := r.cost[c]
	switch {
	case e == unlisted:
		r.near = append(r.near, c)
	case e != noRank && e>>rankShift > r.known && e&distant != 0:
		if e&waits != 0 {
			r.beyond++
		}
		r.cost[c] = e&errorBits | stale | distant
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
			r.cost[out] = unlisted
		case v < next || !r.merged.has(next):
			r.reweigh(out)
		}
		switch in := c - k + j; {
		case last > v && t.alone>>j&1 == 0:
			r.cost[in] = unlisted
		case v < last || !r.merged.has(last):
			r.reweigh(in)
		}
	}
}

func bitsOf(e float64) uint32 {
	if e > math.MaxFloat32/2 || e != e {
		return noRank
	}
	return math.Float32bits(float32(e)) & errorBits
}

// top is the rank below which about as many edges lie as asked for. From then on starts
// tells where each rank begins in order.
func (r *run) top(want int) uint32 {
	top := 0
	for top < ranks && int(r.starts[top]) < want {
		r.starts[top+1] += r.starts[top]
		top++
	}
	return uint32(top)
}

// rank sorts the edges of the ranks below top into order.
func (r *run) rank(top uint32) {
	n := int(r.starts[top])
	r.order = slices.Grow(r.order[:0], n)[:n]
	for _, e := range r.ranked {
		if e.rank < top {
			r.order[r.starts[e.rank]] = e.corner
			r.starts[e.rank]++
		}
	}
}

// collapse takes the ranked edges in order.
func (r *run) collapse(target int) {
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
