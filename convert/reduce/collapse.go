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

// edgeError gives the best point for the edge ab and the error there. It is most of what a
// reduction computes, hence in numbers that stay in registers, without a call.
func (s *surface) edgeError(a, b int32) (px, py, pz, cost float64) {
	va, vb := &s.vertices[a], &s.vertices[b]
	ex, ey, ez := vb.at[0]-va.at[0], vb.at[1]-va.at[1], vb.at[2]-va.at[2]
	// The sum of both quadrics relative to a, and the error there.
	p, q := &va.planes, &vb.planes
	bx := q.x - (float64(q.xx*ex) + float64(q.xy*ey) + float64(q.xz*ez))
	by := q.y - (float64(q.xy*ex) + float64(q.yy*ey) + float64(q.yz*ez))
	bz := q.z - (float64(q.xz*ex) + float64(q.yz*ey) + float64(q.zz*ez))
	atA := -(float64(ex*(q.x+bx)) + float64(ey*(q.y+by)) + float64(ez*(q.z+bz)))
	xx, xy, xz, yy, yz, zz := p.xx+q.xx, p.xy+q.xy, p.xz+q.xz, p.yy+q.yy, p.yz+q.yz, p.zz+q.zz
	x, y, z := p.x+bx, p.y+by, p.z+bz
	if s.attributes != nil {
		sum := quadric{xx, xy, xz, yy, yz, zz, x, y, z}
		atA += s.attributes.meet(s, a, b, mesh.Vec{ex, ey, ez}, &sum)
		xx, xy, xz, yy, yz, zz, x, y, z = sum.xx, sum.xy, sum.xz, sum.yy, sum.yz, sum.zz, sum.x, sum.y, sum.z
	}
	trace, ee := xx+yy+zz, float64(ex*ex)+float64(ey*ey)+float64(ez*ez)
	tie := float64(float64(shortFirst*trace) * ee)

	if va.marks|vb.marks != 0 {
		if side, held := heldEnd(va.marks, vb.marks); held {
			d, sum := (mesh.Vec{ex, ey, ez}).Scale(side), quadric{xx, xy, xz, yy, yz, zz, x, y, z}
			cost = atA + sum.at(d)
			if side == neither {
				cost = math.Inf(1)
			}
			return va.at[0] + d[0], va.at[1] + d[1], va.at[2] + d[2], max(cost, 0) + tie
		}
	}

	soft := float64(stiffness*trace) + 1e-200
	mx, my, mz := float64(0.5*ex), float64(0.5*ey), float64(0.5*ez)
	xx, yy, zz = xx+soft, yy+soft, zz+soft
	sx, sy, sz := x-float64(soft*mx), y-float64(soft*my), z-float64(soft*mz)
	// Elimination without fractions after Bareiss: it needs no pivots as A is positive
	// definite, and its three divisions do not wait for each other.
	m11 := float64(xx*yy) - float64(xy*xy)
	m12 := float64(xx*yz) - float64(xy*xz)
	m22 := float64(xx*zz) - float64(xz*xz)
	r1 := float64(xx*sy) - float64(xy*sx)
	r2 := float64(xx*sz) - float64(xz*sx)
	i0, i1, i2 := 1/xx, 1/m11, 1/(float64(m11*m22)-float64(m12*m12))
	dz := float64((float64(m12*r1) - float64(m11*r2)) * i2)
	dy := float64(-(r1 + float64(m12*dz)) * i1)
	dx := float64(-(sx + float64(xy*dy) + float64(xz*dz)) * i0)
	ox, oy, oz := dx-mx, dy-my, dz-mz
	// Without the softness, which would make long flat edges dear.
	cost = atA + float64(x*dx) + float64(y*dy) + float64(z*dz) - float64(soft*(float64(dx*ox)+float64(dy*oy)+float64(dz*oz)))
	if !(float64(ox*ox)+float64(oy*oy)+float64(oz*oz) <= float64(reach*ee)) {
		sum := quadric{xx - soft, xy, xz, yy - soft, yz, zz - soft, x, y, z}
		var d mesh.Vec
		d, cost = sum.bestOf(mesh.Vec{ex, ey, ez})
		cost += atA
		dx, dy, dz = d[0], d[1], d[2]
	}
	if cost < 0 {
		cost = 0
	}
	return va.at[0] + dx, va.at[1] + dy, va.at[2] + dz, cost + tie
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

// neither is half the way along an edge.
const neither = 0.5

// heldEnd tells which end of an edge stays, 0 or 1, if one must: the end that is on a line
// if the other is not, as planes from inside would bend the line, and one that is fixed in
// any case. Of two that are fixed neither can go.
func heldEnd(a, b uint8) (side float64, held bool) {
	firmA, firmB := firmness(a), firmness(b)
	switch {
	case firmA > firmB:
		return 0, true
	case firmA < firmB:
		return 1, true
	}
	return neither, firmA == firmest
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
	return s.turnsOf(c, c.rest[:c.restKeep], c.keep, p, limit) || s.turnsOf(c, c.rest[c.restKeep:], c.drop, p, limit)
}

// turnsOf does so for the corners at one end of the edge.
func (s *surface) turnsOf(c *attempt, corners []int32, end int32, p *mesh.Vec, limit *patience) bool {
	turn, thin := float64(limit.turn*limit.turn), float64(limit.thin*limit.thin)
	from := s.vertices[end].at
	for _, o := range corners {
		t := &s.triangles[o>>2]
		next, last := s.sides(o)
		x, y := &s.vertices[next].at, &s.vertices[last].at
		ex, ey, ez := y[0]-x[0], y[1]-x[1], y[2]-x[2]
		ax, ay, az := from[0]-x[0], from[1]-x[1], from[2]-x[2]
		bx, by, bz := p[0]-x[0], p[1]-x[1], p[2]-x[2]
		mx, my, mz := float64(ey*az)-float64(ez*ay), float64(ez*ax)-float64(ex*az), float64(ex*ay)-float64(ey*ax)
		nx, ny, nz := float64(ey*bz)-float64(ez*by), float64(ez*bx)-float64(ex*bz), float64(ex*by)-float64(ey*bx)
		d00 := float64(mx*mx) + float64(my*my) + float64(mz*mz)
		d11 := float64(nx*nx) + float64(ny*ny) + float64(nz*nz)
		d01 := float64(mx*nx) + float64(my*ny) + float64(mz*nz)
		// About the longest edge, squared, and squared again.
		ee := float64(ex*ex) + float64(ey*ey) + float64(ez*ez)
		long0 := ee + float64(ax*ax) + float64(ay*ay) + float64(az*az)
		long1 := ee + float64(bx*bx) + float64(by*by) + float64(bz*bz)
		long0, long1 = float64(long0*long0), float64(long1*long1)
		if d00 <= float64(noNormal*noNormal)*long0 {
			if !s.mendsSliver(c, mesh.Vec{nx, ny, nz}, d11, float64(noNormal*noNormal)*long1) {
				return true
			}
			continue
		}
		thicker := d11 > float64(thin*long1) || float64(d11*long0) >= float64(d00*long1)
		f := &t.facing
		faces := float64(nx*float64(f[0])) + float64(ny*float64(f[1])) + float64(nz*float64(f[2]))
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
	x, y, z, _ := s.edgeError(c.keep, c.drop)
	p = mesh.Vec{x, y, z}
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
