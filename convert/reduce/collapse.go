// The conditions under which a collapse keeps the surface's topology are those
// of T. Dey, H. Edelsbrunner, S. Guha and D. Nekhayev, "Topology preserving edge
// contraction", 1999.

package reduce

import (
	"math"
	"slices"

	"planfold/convert/mesh"
)

// patience says how much a collapse may ask for. It grows when the surface has
// no collapse left that fits.
type patience struct {
	turn  float64 // least cosine between a triangle's normals before and after
	thin  float64 // least height of a new triangle over its longest edge
	pinch bool    // may join two parts of borders, seams or folds across a triangle
	ends  bool    // try the middle and the ends of the edge when the best point fails
}

var patiences = [...]patience{
	{turn: 0.2, thin: 1e-3},
	{turn: 0.1, thin: 1e-4, ends: true},
	{turn: 0.02, thin: 1e-5, ends: true, pinch: true},
}

// noNormal is the height of a triangle over its longest edge below which its normal
// means nothing.
const noNormal = 1e-6

// attempt is the collapse of one edge; its slices are reused from one to the next.
type attempt struct {
	keep, drop int32
	shared     []int32 // triangles of the edge, which die
	opposite   []int32 // their third vertices
	rest       []int32 // other corners at keep, then at drop
	restKeep   int     // how many of rest are at keep
}

// edgeError gives the best point for the edge ab and the error there.
func (s *surface) edgeError(a, b int32) (p mesh.Vec, cost float64) {
	va, vb := &s.vertices[a], &s.vertices[b]
	h := mesh.Vec{0.5 * (vb.at[0] - va.at[0]), 0.5 * (vb.at[1] - va.at[1]), 0.5 * (vb.at[2] - va.at[2])}
	var q quadric
	middle := q.meet(&va.planes, &vb.planes, &h)
	if s.attributes != nil {
		middle += s.attributes.meet(s, a, b, h, &q)
	}
	var d mesh.Vec
	if va.marks|vb.marks == 0 {
		d, cost = q.best(&h, middle)
	} else {
		d, cost = choose(va.marks, vb.marks, &h, &q, middle)
	}
	return mesh.Vec{va.at[0] + h[0] + d[0], va.at[1] + h[1] + d[1], va.at[2] + h[2] + d[2]}, max(cost, 0) + q.tie(&h)
}

// firmness ranks marks: of two ends the firmer one stays.
func firmness(marks uint8) int {
	switch {
	case marks&isFixed != 0:
		return firmest
	case marks&onLine != 0:
		return 1
	}
	return 0
}

const firmest = 2

// choose gives the best offset from the middle of an edge and the error there. The end
// that is on a line stays if the other is not: planes from inside would bend the line.
// An end that is fixed stays in any case, so two of them cannot meet.
func choose(a, b uint8, h *mesh.Vec, q *quadric, middle float64) (d mesh.Vec, cost float64) {
	firmA, firmB := firmness(a), firmness(b)
	switch {
	case firmA > firmB:
		d = h.Scale(-1)
	case firmA < firmB:
		d = *h
	case firmA == firmest:
		return d, math.Inf(1)
	default:
		return q.best(h, middle)
	}
	return d, middle + q.at(d)
}

// gather fills c with what is around the edge ab, and reports whether the surface
// stays what it is when they meet: the link condition.
func (s *surface) gather(c *attempt, a, b int32, p *patience) bool {
	c.keep, c.drop = a, b
	c.shared, c.opposite, c.rest = c.shared[:0], c.opposite[:0], c.rest[:0]
	e := s.nextEpoch()
	for _, o := range s.around(a) {
		x, y := s.sides(o)
		switch b {
		case x:
			c.shared = append(c.shared, o>>2)
			c.opposite = append(c.opposite, y)
		case y:
			c.shared = append(c.shared, o>>2)
			c.opposite = append(c.opposite, x)
		default:
			c.rest = append(c.rest, o)
			s.vertices[x].seen, s.vertices[y].seen = e, e
		}
	}
	c.restKeep = len(c.rest)
	for _, o := range s.around(b) {
		x, y := s.sides(o)
		if x == a || y == a {
			continue
		}
		c.rest = append(c.rest, o)
		metX, metY := s.vertices[x].seen == e, s.vertices[y].seen == e
		if !metX && !metY {
			continue
		}
		if metX && !slices.Contains(c.opposite, x) || metY && !slices.Contains(c.opposite, y) {
			return false
		}
		if metX && metY && s.spans(c.rest[:c.restKeep], x, y) {
			return false
		}
	}
	return len(c.rest) > 0 && s.keepsEdges(c, p)
}

// spans reports whether a triangle of one of the corners uses both x and y.
func (s *surface) spans(corners []int32, x, y int32) bool {
	for _, o := range corners {
		if t := &s.triangles[o>>2]; t.has(x) && t.has(y) {
			return true
		}
	}
	return false
}

// keepsEdges is the part of the link condition that concerns borders, seams and
// folds: a collapse may not join two stretches of them across a triangle, nor
// cut off a corner that hangs on the edge alone.
func (s *surface) keepsEdges(c *attempt, p *patience) bool {
	if s.vertices[c.keep].marks&onLine == 0 || s.vertices[c.drop].marks&onLine == 0 {
		// Two triangles back to back may be all that their third vertex hangs on.
		back := len(c.opposite) == 2 && c.opposite[0] == c.opposite[1]
		return !back || s.spans(c.rest, c.opposite[0], c.opposite[0])
	}
	along := len(c.shared) != 2 || s.parted(c.shared[0], c.shared[1], c.keep, c.drop)
	if !along && (!p.pinch || s.vertices[c.keep].marks&s.vertices[c.drop].marks&onBorder != 0) {
		return false
	}
	for _, o := range c.opposite {
		if !s.spans(c.rest, o, o) {
			return false
		}
	}
	return true
}

// turns reports whether a triangle that outlives the collapse would turn over or
// become too thin with its vertex at p.
func (s *surface) turns(c *attempt, p *mesh.Vec, limit *patience) bool {
	turn, thin := float64(limit.turn*limit.turn), float64(limit.thin*limit.thin)
	for i, o := range c.rest {
		t, k := &s.triangles[o>>2], o&3
		moving := c.keep
		if i >= c.restKeep {
			moving = c.drop
		}
		x, y := &s.vertices[t.v[after[k]&3]].at, &s.vertices[t.v[before[k]&3]].at
		from := &s.vertices[moving].at
		ex, ey, ez := y[0]-x[0], y[1]-x[1], y[2]-x[2]
		ax, ay, az := from[0]-x[0], from[1]-x[1], from[2]-x[2]
		bx, by, bz := p[0]-x[0], p[1]-x[1], p[2]-x[2]
		n0 := mesh.Vec{float64(ey*az) - float64(ez*ay), float64(ez*ax) - float64(ex*az), float64(ex*ay) - float64(ey*ax)}
		n1 := mesh.Vec{float64(ey*bz) - float64(ez*by), float64(ez*bx) - float64(ex*bz), float64(ex*by) - float64(ey*bx)}
		d00, d11, d01 := n0.Dot(n0), n1.Dot(n1), n0.Dot(n1)
		ee := float64(ex*ex) + float64(ey*ey) + float64(ez*ez)
		bb := float64(bx*bx) + float64(by*by) + float64(bz*bz)
		aa := float64(ax*ax) + float64(ay*ay) + float64(az*az)
		// Within a factor of 4 of the longest edge, squared, and squared again.
		long0, long1 := max(ee, aa), max(ee, bb)
		long0, long1 = float64(long0*long0), float64(long1*long1)
		if d00 <= float64(noNormal*noNormal)*long0 {
			if !s.mendsSliver(c, n1, d11, float64(noNormal*noNormal)*long1) {
				return true
			}
			continue
		}
		thicker := d11 > float64(thin*long1) || float64(d11*long0) >= float64(d00*long1)
		f := &t.facing
		faces := float64(n1[0]*float64(f[0])) + float64(n1[1]*float64(f[1])) + float64(n1[2]*float64(f[2]))
		if !thicker || faces < 0 || d01 <= 0 || float64(d01*d01) <= float64(float64(turn*d00)*d11) {
			return true
		}
	}
	return false
}

// mendsSliver judges a triangle that was too thin to have a normal of its own:
// it may stay thin, but if it opens it must face as its neighbours do.
func (s *surface) mendsSliver(c *attempt, n mesh.Vec, nn, least float64) bool {
	if nn <= least {
		return true
	}
	var sum mesh.Vec
	for _, o := range c.rest {
		sum = sum.Add(s.normal(o >> 2))
	}
	for _, t := range c.shared {
		sum = sum.Add(s.normal(t))
	}
	return sum.Dot(n) > 0
}

// place chooses where the vertex goes; ok is false if no place fits.
func (s *surface) place(c *attempt, limit *patience) (p mesh.Vec, ok bool) {
	p, _ = s.edgeError(c.keep, c.drop)
	if !s.turns(c, &p, limit) {
		return p, true
	}
	if !limit.ends || (s.vertices[c.keep].marks|s.vertices[c.drop].marks)&isFixed != 0 {
		return p, false
	}
	a, b := s.vertices[c.keep].at, s.vertices[c.drop].at
	for _, p := range [3]mesh.Vec{a.Add(b).Scale(0.5), a, b} {
		if !s.turns(c, &p, limit) {
			return p, true
		}
	}
	return p, false
}

// apply moves keep to p, hands it drop's triangles and removes those between.
func (s *surface) apply(c *attempt, p mesh.Vec) {
	a, b := &s.vertices[c.keep], &s.vertices[c.drop]
	if s.attributes != nil {
		s.attributes.apply(s, c, p)
	}
	a.planes.move(p.Sub(a.at))
	b.planes.move(p.Sub(b.at))
	a.planes.add(&b.planes)
	a.at = p
	a.moved = a.marks&isFixed == 0
	a.marks |= b.marks
	b.into = c.keep
	for i, t := range c.shared {
		s.passOnAlone(c, t)
		s.triangles[t].v[0] = dead
		s.unlist(c.opposite[i], t)
	}
	s.live -= len(c.shared)
	for _, o := range c.rest[c.restKeep:] {
		s.triangles[o>>2].v[o&3] = c.keep
	}
	s.relist(c)
	if s.attributes != nil {
		s.attributes.settle(s, c.keep)
	}
}

// passOnAlone keeps an edge listed whose twin dies: the two other edges of a
// dying triangle become one, and if one of them had no twin the other loses its own.
func (s *surface) passOnAlone(c *attempt, t int32) {
	dying := &s.triangles[t]
	if dying.alone == 0 {
		return
	}
	for _, v := range dying.v[:3] {
		if v == c.keep || v == c.drop {
			continue
		}
		for _, o := range s.around(v) {
			if w := &s.triangles[o>>2]; o>>2 != t && (w.has(c.keep) || w.has(c.drop)) {
				w.alone = 7
			}
		}
	}
}

// unlist takes the corner of t from the ring of v.
func (s *surface) unlist(v, t int32) {
	r := &s.vertices[v].ring
	ring := s.rings[r.start : r.start+r.count]
	for i, o := range ring {
		if o>>2 == t {
			ring[i] = ring[len(ring)-1]
			r.count--
			return
		}
	}
}

// relist writes the joined ring into whichever place holds it.
func (s *surface) relist(c *attempt) {
	n := int32(len(c.rest))
	ra, rb := &s.vertices[c.keep].ring, &s.vertices[c.drop].ring
	if ra.room < n && rb.room >= n {
		*ra, *rb = *rb, *ra
	}
	if ra.room < n {
		ra.start, ra.room = int32(len(s.rings)), n
		s.rings = s.rings[:ra.start+n]
	}
	copy(s.rings[ra.start:], c.rest)
	ra.count = n
	rb.count = 0
}

// hasRoom reports whether relist can write c's ring without laying all rings anew.
func (s *surface) hasRoom(c *attempt) bool { return len(s.rings)+len(c.rest) <= cap(s.rings) }
