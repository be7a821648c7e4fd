package solid

import (
	"math"
	"sort"
)

// Ear clipping with bridges to the holes, after D. Eberly, "Triangulation by Ear
// Clipping" (Geometric Tools, 2002); the ears with the widest smallest angle go
// first, and Lawson's edge flips mend what slivers are left.

// polygon is a loop of vertices with holes in it; the outer loop is
// counter-clockwise, holes are clockwise.
type polygon struct {
	ids   []int32
	line  Loop
	holes []polygon
}

// triangles cuts p up. It adds and drops no vertex, so that neighbours match.
func (p polygon) triangles() [][3]int32 {
	where := map[int32]Point{}
	note := func(q polygon) {
		for i, id := range q.ids {
			where[id] = q.line[i]
		}
	}
	note(p)
	sort.SliceStable(p.holes, func(a, b int) bool { return right(p.holes[a].line) > right(p.holes[b].line) })
	for i, h := range p.holes {
		note(h)
		p.bridge(h, p.holes[i+1:])
	}
	return flipped(p.clip(), where)
}

func right(l Loop) float64 {
	x := math.Inf(-1)
	for _, p := range l {
		x = max(x, p[0])
	}
	return x
}

// bridge splices hole h into the outer loop along the shortest free line from the
// hole's rightmost vertex.
func (p *polygon) bridge(h polygon, rest []polygon) {
	m := 0
	for i, q := range h.line {
		if q[0] > h.line[m][0] {
			m = i
		}
	}
	order := make([]int, len(p.line))
	for i := range order {
		order[i] = i
	}
	from := h.line[m]
	sort.SliceStable(order, func(a, b int) bool { return gap(from, p.line[order[a]]) < gap(from, p.line[order[b]]) })
	for _, k := range order {
		if p.inCone(k, from) && p.free(from, p.line[k]) && h.free(from, p.line[k]) && allFree(rest, from, p.line[k]) {
			p.splice(k, h, m)
			return
		}
	}
	panic("solid: internal error: a hole sees no vertex of its face")
}

func gap(a, b Point) float64 {
	x, y := a[0]-b[0], a[1]-b[1]
	return float64(x*x) + float64(y*y)
}

func allFree(holes []polygon, a, b Point) bool {
	for _, h := range holes {
		if !h.free(a, b) {
			return false
		}
	}
	return true
}

// splice enters hole h from vertex k of the outer loop at the hole's vertex m.
func (p *polygon) splice(k int, h polygon, m int) {
	var ids []int32
	var line Loop
	add := func(q *polygon, i int) {
		ids = append(ids, q.ids[i%len(q.ids)])
		line = append(line, q.line[i%len(q.line)])
	}
	for i := range k + 1 {
		add(p, i)
	}
	for i := range len(h.ids) + 1 {
		add(&h, m+i)
	}
	for i := k; i < len(p.ids); i++ {
		add(p, i)
	}
	p.ids, p.line = ids, line
}

func cross(a, b, c Point) float64 {
	return float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
}

// inCone reports whether the line from vertex k to q starts into the material.
func (p *polygon) inCone(k int, q Point) bool {
	n := len(p.line)
	a, b, c := p.line[(k+n-1)%n], p.line[k], p.line[(k+1)%n]
	if cross(a, b, c) > 0 {
		return cross(b, c, q) > 0 && cross(a, b, q) > 0
	}
	return cross(b, c, q) > 0 || cross(a, b, q) > 0
}

// free reports whether the line a b meets no edge of p but where they share an
// end.
func (p *polygon) free(a, b Point) bool {
	for i, c := range p.line {
		d := p.line[(i+1)%len(p.line)]
		if touches(a, b, c) || touches(a, b, d) {
			return false
		}
		if a == c || a == d || b == c || b == d {
			continue
		}
		if cross(a, b, c) > 0 != (cross(a, b, d) > 0) && cross(c, d, a) > 0 != (cross(c, d, b) > 0) {
			return false
		}
	}
	return true
}

// touches reports whether p lies on the line a b, but not at its ends.
func touches(a, b, p Point) bool {
	if a == p || b == p {
		return false
	}
	l := math.Sqrt(gap(a, b))
	if math.Abs(cross(a, b, p)) > 1e-9*l {
		return false
	}
	t := float64((p[0]-a[0])*(b[0]-a[0])) + float64((p[1]-a[1])*(b[1]-a[1]))
	return t > 0 && t < l*l
}

// clip cuts off ears, best first, until nothing is left.
func (p *polygon) clip() [][3]int32 {
	n := len(p.line)
	prev, next := make([]int, n), make([]int, n)
	for i := range n {
		prev[i], next[i] = (i+n-1)%n, (i+1)%n
	}
	worth := make([]float64, n)
	live := make([]int, n)
	for i := range n {
		live[i] = i
	}
	value := func(i int) float64 { return p.ear(prev[i], i, next[i], live) }
	for i := range n {
		worth[i] = value(i)
	}
	var out [][3]int32
	for len(live) > 3 {
		at := best(live, worth)
		if worth[live[at]] <= 0 {
			for _, i := range live {
				worth[i] = value(i)
			}
			at = best(live, worth)
		}
		i := live[at]
		out = append(out, [3]int32{p.ids[prev[i]], p.ids[i], p.ids[next[i]]})
		a, b := prev[i], next[i]
		next[a], prev[b] = b, a
		live = append(live[:at], live[at+1:]...)
		worth[a], worth[b] = value(a), value(b)
	}
	i := live[0]
	return append(out, [3]int32{p.ids[prev[i]], p.ids[i], p.ids[next[i]]})
}

func best(live []int, worth []float64) int {
	at := 0
	for k, i := range live {
		if worth[i] > worth[live[at]] {
			at = k
		}
	}
	return at
}

// ear is how good an ear a b c is: about the sine of its smallest angle; 0 or
// less if it is none.
func (p *polygon) ear(a, b, c int, live []int) float64 {
	A, B, C := p.line[a], p.line[b], p.line[c]
	area := cross(A, B, C)
	longest := max(gap(A, B), gap(B, C), gap(C, A))
	if area <= 1e-12*longest {
		return area/longest - 1e-9
	}
	for _, i := range live {
		q := p.line[i]
		if q == A || q == B || q == C {
			continue
		}
		if cross(A, B, q) >= 0 && cross(B, C, q) >= 0 && cross(C, A, q) >= 0 {
			return -1
		}
	}
	return area / longest
}
