package sweep

import (
	"math"

	"planfold/convert/mesh"
)

// probe tries lines through a body and one shell that it passes.
type probe struct {
	body      []*shadow // what of it may meet the other
	shift     mesh.Vec  // by which the body is off its place
	box       mesh.Box  // of the body, shifted
	other     *shadow
	reach     float64
	margin    float64 // what lies no farther ahead than this must be passed to be clear
	enough    float64 // nothing that is met before that needs to be known better
	tolerance float64
	around    [2]float64 // how far off the lines around a line are, in u and v
	at, clear float64
	a, b      []span
	buried    int    // lines on which they overlap at home and for long
	through   [2]int // lines through the body, and through the other
}

// A stretch of lines that overlaps for longer than this is no squeezed seal.
const long = 0.001

func newProbe(body []*shadow, shift mesh.Vec, box mesh.Box, other *shadow, slack float64) *probe {
	r := &probe{shift: shift, box: box, other: other, tolerance: allowed + other.shell.Deviation, at: math.Inf(1)}
	deviation := 0.0
	for _, s := range body {
		deviation = max(deviation, s.shell.Deviation)
		if across := moved(s.box, shift); lapping(across, other.box, 0) && lapping(across, other.box, 1) {
			r.body = append(r.body, s)
		}
	}
	r.tolerance += deviation
	for k := range r.around {
		// Of what is thin itself, no more than a part is let off.
		thin := min(r.box.Max[k]-r.box.Min[k], other.box.Max[k]-other.box.Min[k]) / 4
		r.around[k] = min((r.tolerance+slack)/2, thin)
	}
	return r
}

// lapping tells whether two boxes have something in common along an axis.
func lapping(a, b mesh.Box, axis int) bool {
	return a.Min[axis] <= b.Max[axis] && b.Min[axis] <= a.Max[axis]
}

// run tries lines and finds where the body first runs into the other, at, and clear,
// where it has passed the last of it that is near. It stops where at is enough. Lines are
// spread over what the two have in common by the additive recurrence of the plastic
// number (M. Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018),
// which covers it evenly from the first ones on; others go through the middles of
// triangles, so that a pin on a large frame is not missed.
func (r *probe) run() {
	var lo, size [2]float64
	n := 1
	for k := range 2 {
		lo[k] = max(r.box.Min[k]-r.tolerance, r.other.box.Min[k])
		if size[k] = min(r.box.Max[k]+r.tolerance, r.other.box.Max[k]) - lo[k]; size[k] < 0 {
			return
		}
		n *= min(lineMost, lineLeast+int(size[k]/lineApart))
	}
	u, v := 0.5, 0.5
	for range n {
		u, v = u+0.7548776662466927, v+0.5698402909980532
		u, v = u-math.Floor(u), v-math.Floor(v)
		if r.try(lo[0]+float64(size[0]*u), lo[1]+float64(size[1]*v), true) {
			return
		}
	}
	if r.aim(r.other, mesh.Vec{}, false) {
		return
	}
	for _, s := range r.body {
		if r.aim(s, r.shift, true) {
			return
		}
	}
	// Solids that lie in each other, and not just by a thread's depth, do not come apart.
	if 2*r.buried > max(r.through[0], r.through[1]) {
		r.at = 0
	}
}

// How many lines each way: enough to find what is some tenths of a millimetre wide in
// a small part, and some millimetres in a large one.
const (
	lineLeast = 20
	lineMost  = 120
	lineApart = 0.003
)

// try a line; what is met there is near enough if it says so.
func (r *probe) try(x, y float64, first bool) bool {
	if at := r.line(x, y, first); at < r.at && r.allAround(x, y) {
		r.at = at
	}
	return r.at <= r.enough
}

// aimMost bounds the lines that are aimed at one shell.
const aimMost = 2000

// aim tries lines through the middles of the triangles that face the other one.
func (r *probe) aim(s *shadow, shift mesh.Vec, ahead bool) bool {
	shift = shift.Add(s.off)
	step := 1 + len(s.mesh.Triangles)/aimMost
	for i := 0; i < len(s.mesh.Triangles); i += step {
		t := s.mesh.Triangles[i]
		a, b, c := &s.points[t[0]], &s.points[t[1]], &s.points[t[2]]
		area := float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
		if area == 0 || (area > 0) == s.mirror == ahead {
			continue
		}
		x, y := (a[0]+b[0]+c[0])/3+shift[0], (a[1]+b[1]+c[1])/3+shift[1]
		if within(r.box, x, y) && within(r.other.box, x, y) && r.try(x, y, false) {
			return true
		}
	}
	return false
}

func within(b mesh.Box, x, y float64) bool {
	return b.Min[0] <= x && x <= b.Max[0] && b.Min[1] <= y && y <= b.Max[1]
}

func (r *probe) allAround(x, y float64) bool {
	const diagonal = 0.7071067811865476
	for i := range 9 {
		du, dv := float64(i%3-1), float64(i/3-1)
		if du != 0 && dv != 0 {
			du, dv = float64(du*diagonal), float64(dv*diagonal)
		}
		if math.IsInf(r.line(x+float64(du*r.around[0]), y+float64(dv*r.around[1]), false), 1) {
			return false
		}
	}
	return true
}

// line tells where the body first runs into the other on one line: infinite if nowhere.
func (r *probe) line(x, y float64, first bool) (at float64) {
	skin := r.tolerance / 2
	r.b = r.other.spans(x, y, skin, r.b[:0])
	r.a = r.a[:0]
	if len(r.b) > 0 || first {
		for _, s := range r.body {
			r.a = s.spans(x-r.shift[0], y-r.shift[1], skin, r.a)
		}
	}
	at = math.Inf(1)
	overlap := false
	for _, b := range r.b {
		if b[0] < r.box.Max[2]+r.margin {
			r.clear = max(r.clear, b[1]-r.box.Min[2])
		}
		for _, a := range r.a {
			blocks, lies := r.meet(span{a[0] + r.shift[2], a[1] + r.shift[2]}, b)
			if blocks {
				at = min(at, max(0, b[0]-a[1]-r.shift[2]))
			}
			overlap = overlap || lies
		}
	}
	if first {
		count(&r.buried, overlap)
		count(&r.through[0], len(r.a) > 0)
		count(&r.through[1], len(r.b) > 0)
	}
	return at
}

func count(n *int, yes bool) {
	if yes {
		*n++
	}
}

// meet tells whether span b is in the way of span a, or lies in it for long without
// being in the way, as a thread does.
func (r *probe) meet(a, b span) (blocks, lies bool) {
	first, last := b[0]-a[1], b[1]-a[0] // they overlap while it has moved between these
	if last <= 0 || first >= r.reach {
		return false, false
	}
	if first > -r.tolerance {
		return first+last > 0, false // b's middle is ahead
	}
	growth := min(b[1]-a[1], b[0]-a[0]) // of their overlap, still to come
	return min(growth, r.reach) > r.tolerance, last > long
}
