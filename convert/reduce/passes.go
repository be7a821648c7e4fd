package reduce

import "math"

// Candidates are ranked by the upper bits of their error as a float32: the
// exponent and four bits of the mantissa, so that one rank spans about 6 %.
const (
	rankShift = 19
	ranks     = 1 << (31 - rankShift)
	noRank    = math.MaxUint32
	// Below the rank an error's bits say how often its edge failed to collapse and
	// whether it waits until its surroundings have changed.
	failures  = 7
	waits     = 8
	errorBits = noRank << rankShift & noRank
)

// run carries out collapses in passes. A pass ranks all edges by their error,
// takes the least of them in order and skips those that touch a vertex which the
// pass has merged already. Their errors are exact: an edge's error depends on
// nothing but its two vertices.
type run struct {
	s       *surface
	alive   []int32  // live triangles, ascending
	cost    []uint32 // by corner: bits of the float32 error of its edge
	changed []int32  // by vertex: the last pass that merged it
	pass    int32
	edges   []int32 // corners of this pass's edges
	order   []int32 // the ranked part of edges
	starts  [ranks + 1]int32
	try     attempt
	level   int  // of patience
	gained  bool // since it last relented
	stuck   bool
	listed  uint32 // least error among the edges of this pass
	waiting uint32 // least error among those that wait
	moved   bool   // since those that wait were last let in
}

func newRun(s *surface) *run {
	r := &run{
		s:       s,
		alive:   make([]int32, 0, s.live),
		cost:    make([]uint32, 3*len(s.triangles)),
		changed: make([]int32, len(s.at)),
		edges:   make([]int32, 0, len(s.triangles)*3/2+16),
	}
	for t := range s.triangles {
		if s.triangles[t][0] != dead {
			r.alive = append(r.alive, int32(t))
		}
	}
	return r
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
		r.pass++
		r.list()
		if r.moved && r.waiting < r.listed {
			r.letIn(r.listed)
			continue
		}
		if len(r.edges) == 0 {
			r.relent()
			continue
		}
		r.rank(r.quota(target))
		r.collapse(target)
	}
}

// letIn lets the waiting edges below the error try again: what they failed for may
// have changed, and the alternative costs more.
func (r *run) letIn(below uint32) {
	r.moved = false
	for _, t := range r.alive {
		for c := 3 * t; c < 3*t+3; c++ {
			if r.cost[c] != noRank && r.cost[c]&waits != 0 && r.cost[c] < below {
				r.cost[c] &^= waits
			}
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
	edges, need := len(r.edges), (r.s.live-target+1)/2
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
	for i := range r.changed {
		r.changed[i] = r.pass
	}
}

// list collects the edges that can be ranked, computing the error of those whose ends
// the last pass merged.
func (r *run) list() {
	s := r.s
	r.edges = r.edges[:0]
	clear(r.starts[:])
	last := r.pass - 1
	kept := 0
	r.listed, r.waiting = noRank, noRank
	for _, t := range r.alive {
		v := s.triangles[t]
		if v[0] == dead {
			continue
		}
		r.alive[kept] = t
		kept++
		for k := range 3 {
			a, b := v[k], v[after[k]]
			if a > b && s.alone[t]>>k&1 == 0 {
				continue
			}
			c := 3*t + int32(k)
			if r.changed[a] == last || r.changed[b] == last {
				_, e := s.edgeError(a, b)
				r.cost[c] = bitsOf(e)
			}
			bits := r.cost[c]
			if bits != noRank && bits&waits != 0 {
				r.waiting = min(r.waiting, bits)
			} else if bits != noRank {
				r.listed = min(r.listed, bits)
				r.starts[bits>>rankShift+1]++
				r.edges = append(r.edges, c)
			}
		}
	}
	r.alive = r.alive[:kept]
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
		if k := r.cost[c] >> rankShift; int(k) < top {
			r.order[r.starts[k]] = c
			r.starts[k]++
		}
	}
}

// collapse takes the ranked edges in order.
func (r *run) collapse(target int) {
	s, limit := r.s, &patiences[r.level]
	for _, c := range r.order {
		t, k := c/3, c%3
		v := &s.triangles[t]
		if v[0] == dead {
			continue
		}
		a, b := v[k], v[after[k]]
		if r.changed[a] == r.pass || r.changed[b] == r.pass {
			continue
		}
		if s.marks[b]&isFixed != 0 {
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
		r.changed[a], r.changed[b] = r.pass, r.pass
		r.gained, r.moved = true, true
		if s.live <= target {
			return
		}
	}
}
