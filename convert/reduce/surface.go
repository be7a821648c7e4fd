package reduce

import (
	"math"

	"planfold/convert/mesh"
)

// Marks of a vertex.
const (
	onBorder uint8 = 1 << iota // an edge with one triangle
	onSeam                     // an edge between two groups, or between different attributes
	onFold                     // an edge with three triangles or more, or two that disagree about outside
	isFixed                    // stays exactly where it is

	onLine = onBorder | onSeam | onFold
)

const (
	dead = -1
	// borderWeight and seamWeight scale the planes that stand upright on a border, and
	// on a seam or fold.
	borderWeight = 1.0
	seamWeight   = 0.5
)

// surface is a mesh under collapses. Vertices and triangles keep their source
// index; a removed triangle has dead as its first vertex. Lengths are relative to
// the frame, so that thresholds mean the same for a washer and a ship.
type surface struct {
	source *mesh.Mesh
	frame  frame
	at     []mesh.Vec
	error  []quadric
	marks  []uint8
	moved  []bool
	into   []int32 // by vertex: the one it was merged into, or itself

	triangles [][3]int32
	// alone has bit k set if edge k of the triangle has no twin in the other
	// direction; such an edge answers for itself when edges are listed.
	alone []uint8
	// facing is the normal of each triangle in the source, as long as twice its area:
	// many small turns may not add up to a triangle that faces the other way.
	facing [][3]float32
	live   int

	// rings holds the triangles around each vertex, ring[v] telling where. What
	// collapses leave behind is waste until the rings are laid out anew.
	ring  []span
	rings []int32

	attributes *attributes // nil if the mesh has none

	seen  []uint32 // by vertex: the last epoch that met it
	epoch uint32
}

type span struct{ start, count, room int32 }

func newSurface(m *mesh.Mesh) *surface {
	s := &surface{
		source:    m,
		frame:     frameOf(m.Bounds()),
		at:        make([]mesh.Vec, len(m.Positions)),
		error:     make([]quadric, len(m.Positions)),
		marks:     make([]uint8, len(m.Positions)),
		moved:     make([]bool, len(m.Positions)),
		into:      make([]int32, len(m.Positions)),
		triangles: make([][3]int32, len(m.Triangles)),
		alone:     make([]uint8, len(m.Triangles)),
		facing:    make([][3]float32, len(m.Triangles)),
		ring:      make([]span, len(m.Positions)),
		rings:     make([]int32, 6*len(m.Triangles)+64),
		seen:      make([]uint32, len(m.Positions)),
	}
	for i, p := range m.Positions {
		s.at[i] = s.frame.in(p)
		s.into[i] = int32(i)
	}
	for i, fixed := range m.Fixed {
		if fixed {
			s.marks[i] = isFixed
		}
	}
	for i, t := range m.Triangles {
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			t[0] = dead
		} else {
			s.live++
		}
		s.triangles[i] = t
	}
	s.layRings()
	s.addPlanes()
	s.attributes = newAttributes(m, s)
	s.findEdges()
	return s
}

// layRings lists the live triangles around each vertex, one vertex after the other.
func (s *surface) layRings() {
	for i := range s.ring {
		s.ring[i] = span{}
	}
	for _, t := range s.triangles {
		if t[0] != dead {
			s.ring[t[0]].room++
			s.ring[t[1]].room++
			s.ring[t[2]].room++
		}
	}
	s.rings = s.rings[:cap(s.rings)]
	start := int32(0)
	for i := range s.ring {
		s.ring[i].start = start
		start += s.ring[i].room
	}
	for i, t := range s.triangles {
		if t[0] == dead {
			continue
		}
		for _, v := range t {
			r := &s.ring[v]
			s.rings[r.start+r.count] = int32(i)
			r.count++
		}
	}
	s.rings = s.rings[:start]
}

// around is the triangles that use v.
func (s *surface) around(v int32) []int32 {
	r := &s.ring[v]
	return s.rings[r.start : r.start+r.count]
}

// cross is twice the area of a triangle as a vector along its normal.
func cross(a, b, c *mesh.Vec) mesh.Vec {
	ux, uy, uz := b[0]-a[0], b[1]-a[1], b[2]-a[2]
	vx, vy, vz := c[0]-a[0], c[1]-a[1], c[2]-a[2]
	return mesh.Vec{
		float64(uy*vz) - float64(uz*vy),
		float64(uz*vx) - float64(ux*vz),
		float64(ux*vy) - float64(uy*vx),
	}
}

func (s *surface) normal(t int32) mesh.Vec {
	v := &s.triangles[t]
	return cross(&s.at[v[0]], &s.at[v[1]], &s.at[v[2]])
}

// addPlanes gives each vertex the planes of the triangles around it.
func (s *surface) addPlanes() {
	for i := range s.triangles {
		t := &s.triangles[i]
		if t[0] == dead {
			continue
		}
		n := s.normal(int32(i))
		area := math.Sqrt(n.Dot(n))
		if area == 0 {
			continue
		}
		s.facing[i] = [3]float32{float32(n[0]), float32(n[1]), float32(n[2])}
		n = n.Scale(1 / area)
		s.error[t[0]].addPlane(n, area)
		s.error[t[1]].addPlane(n, area)
		s.error[t[2]].addPlane(n, area)
	}
}

// nextEpoch starts a new set of seen vertices.
func (s *surface) nextEpoch() uint32 {
	s.epoch++
	if s.epoch == 0 {
		clear(s.seen)
		s.epoch = 1
	}
	return s.epoch
}

// findEdges marks borders, seams and folds, and gives their vertices the planes
// that hold them in place.
func (s *surface) findEdges() {
	for v := range s.ring {
		if s.regular(int32(v)) && s.oneGroup(int32(v)) {
			continue
		}
		for _, t := range s.around(int32(v)) {
			s.markEdge(t, corner(&s.triangles[t], int32(v)))
		}
	}
}

// regular reports whether each edge that leaves v also comes back once.
func (s *surface) regular(v int32) bool {
	ring := s.around(v)
	e := s.nextEpoch()
	for _, t := range ring {
		next := s.triangles[t][after[corner(&s.triangles[t], v)]]
		if s.seen[next] == e {
			return false
		}
		s.seen[next] = e
	}
	back := s.nextEpoch()
	for _, t := range ring {
		before := s.triangles[t][after[after[corner(&s.triangles[t], v)]]]
		if s.seen[before] != e {
			return false
		}
		s.seen[before] = back
	}
	return true
}

// oneGroup reports whether no seam meets v.
func (s *surface) oneGroup(v int32) bool {
	if s.attributes != nil && s.attributes.only[v] < 0 {
		return false
	}
	if s.source.Group == nil {
		return true
	}
	ring := s.around(v)
	for _, t := range ring {
		if s.source.Group[t] != s.source.Group[ring[0]] {
			return false
		}
	}
	return true
}

var after = [3]int{1, 2, 0}

func corner(t *[3]int32, v int32) int {
	switch v {
	case t[0]:
		return 0
	case t[1]:
		return 1
	}
	return 2
}

// markEdge looks at edge k of t and its neighbours there. It is met once for
// each of its triangles.
func (s *surface) markEdge(t int32, k int) {
	tri := &s.triangles[t]
	a, b := tri[k], tri[after[k]]
	same, back, seam := 0, 0, false
	for _, o := range s.around(a) {
		ot := &s.triangles[o]
		j := corner(ot, a)
		switch b {
		case ot[after[j]]:
			same++
		case ot[after[after[j]]]:
			back++
		default:
			continue
		}
		seam = seam || s.parted(t, o, a, b)
	}
	if back == 0 {
		s.alone[t] |= 1 << k
	}
	mark, weight := uint8(0), 0.0
	switch {
	case same+back == 1:
		mark, weight = onBorder, borderWeight
	case same != 1 || back != 1:
		mark, weight = onFold, seamWeight
	case seam:
		mark, weight = onSeam, seamWeight
	default:
		return
	}
	s.marks[a] |= mark
	s.marks[b] |= mark
	s.addUpright(a, b, s.normal(t), weight)
}

// parted reports whether a seam runs between two triangles along their edge ab.
func (s *surface) parted(t, o, a, b int32) bool {
	if s.source.Group != nil && s.source.Group[t] != s.source.Group[o] {
		return true
	}
	return s.attributes != nil && (s.attributes.parted(s, t, o, a) || s.attributes.parted(s, t, o, b))
}

// addUpright adds the plane that stands on edge ab upright to the triangle with
// normal n.
func (s *surface) addUpright(a, b int32, n mesh.Vec, weight float64) {
	e := s.at[b].Sub(s.at[a])
	u := e.Cross(n).Unit()
	w := float64(weight * e.Dot(e))
	s.error[a].addPlane(u, w)
	s.error[b].addPlane(u, w)
}

func has(t *[3]int32, v int32) bool { return t[0] == v || t[1] == v || t[2] == v }
