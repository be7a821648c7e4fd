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
	dead      = -1
	epochStep = 4
	// borderWeight and seamWeight scale the planes that stand upright on a border, and
	// on a seam or fold.
	borderWeight = 2.0
	seamWeight   = 0.5
	// sliver is the height of a triangle over its longest edge below which it may turn any
	// way: its normal is the noise of its corners.
	sliver = 0.01
)

// surface is a mesh under collapses. Vertices and triangles keep their source
// index. Lengths are relative to the frame, so that thresholds mean the same for a
// washer and a ship.
type surface struct {
	source    *mesh.Mesh
	frame     frame
	vertices  []vertex
	triangles []triangle
	live      int // triangles
	// normals are the source's, by vertex, as long as twice the area around it.
	normals    [][3]float32
	attributes *attributes // nil if the mesh has none
	// rings holds the corners at each vertex, whose ring tells where. What collapses
	// leave behind is waste until the rings are laid out anew.
	rings []int32
	fill  []int32 // by vertex, where layRings writes next
	epoch uint32
}

// vertex is two cache lines long: what a collapse asks of its neighbours is in the
// first.
type vertex struct {
	at     mesh.Vec
	ring   span
	into   int32  // the vertex it was merged into, or itself
	seen   uint32 // the last epoch that met it
	marks  uint8
	moved  bool
	_      uint64 // fills the lines
	planes quadric
}

// triangle is removed if its first vertex is dead.
type triangle struct {
	// v has a fourth place so that an index of two bits needs no check.
	v [4]int32
	// facing is the normal in the source, as long as twice the area; none of a sliver: many small turns
	// may not add up to a triangle that faces the other way.
	facing [3]float32
	// alone has bit k set if edge k has no twin in the other direction; such an edge
	// answers for itself when edges are listed.
	alone uint8
}

type span struct{ start, count, room int32 }

// A corner is numbered 4t + k, for corner k of triangle t, and so is the edge that
// leaves it for the next corner.
var (
	after  = [4]int32{1, 2, 0}
	before = [4]int32{2, 0, 1}
)

func newSurface(m *mesh.Mesh) *surface {
	s := &surface{
		source:    m,
		vertices:  make([]vertex, len(m.Positions)),
		triangles: make([]triangle, len(m.Triangles)),
		normals:   make([][3]float32, len(m.Positions)),
		rings:     make([]int32, 6*len(m.Triangles)+64),
		fill:      make([]int32, len(m.Positions)),
	}
	for i, t := range m.Triangles {
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			t[0] = dead
		} else {
			s.live++
		}
		s.triangles[i].v = [4]int32{t[0], t[1], t[2]}
	}
	s.layRings()
	s.placeVertices()
	s.addPlanes()
	s.attributes = newAttributes(m, s)
	s.findEdges()
	return s
}

// placeVertices puts the vertices into the frame.
func (s *surface) placeVertices() {
	box := mesh.EmptyBox()
	for i := range s.vertices {
		if s.vertices[i].ring.count > 0 {
			box.Add(s.source.Positions[i])
		}
	}
	s.frame = frameOf(box)
	for i, p := range s.source.Positions {
		v := &s.vertices[i]
		v.at, v.into = s.frame.in(p), int32(i)
	}
	for i, fixed := range s.source.Fixed {
		if fixed {
			s.vertices[i].marks = isFixed
		}
	}
}

// layRings lists the corners at each vertex, one vertex after the other.
func (s *surface) layRings() {
	clear(s.fill)
	for i := range s.triangles {
		if t := &s.triangles[i]; t.v[0] != dead {
			s.fill[t.v[0]]++
			s.fill[t.v[1]]++
			s.fill[t.v[2]]++
		}
	}
	start := int32(0)
	for i, n := range s.fill {
		s.vertices[i].ring = span{start, n, n}
		s.fill[i] = start
		start += n
	}
	s.rings = s.rings[:start]
	for i := range s.triangles {
		t := &s.triangles[i]
		if t.v[0] == dead {
			continue
		}
		for k, v := range t.v[:3] {
			at := &s.fill[v]
			s.rings[*at] = int32(4*i + k)
			*at++
		}
	}
}

// around is the corners at v.
func (s *surface) around(v int32) []int32 {
	r := &s.vertices[v].ring
	return s.rings[r.start : r.start+r.count]
}

// sides is the vertices after and before a corner in its triangle.
func (s *surface) sides(corner int32) (next, last int32) {
	t, k := &s.triangles[corner>>2], corner&3
	return t.v[after[k]&3], t.v[before[k]&3]
}

// ends is the vertices of an edge.
func (s *surface) ends(c int32) (a, b int32) {
	t, k := &s.triangles[c>>2], c&3
	return t.v[k], t.v[after[k]&3]
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
	v := &s.triangles[t].v
	return cross(&s.vertices[v[0]].at, &s.vertices[v[1]].at, &s.vertices[v[2]].at)
}

// addPlanes gives each vertex the planes of the triangles around it.
func (s *surface) addPlanes() {
	for i := range s.triangles {
		t := &s.triangles[i]
		if t.v[0] == dead {
			continue
		}
		a, b, c := &s.vertices[t.v[0]], &s.vertices[t.v[1]], &s.vertices[t.v[2]]
		ux, uy, uz := b.at[0]-a.at[0], b.at[1]-a.at[1], b.at[2]-a.at[2]
		vx, vy, vz := c.at[0]-a.at[0], c.at[1]-a.at[1], c.at[2]-a.at[2]
		wx, wy, wz := c.at[0]-b.at[0], c.at[1]-b.at[1], c.at[2]-b.at[2]
		nx, ny, nz := float64(uy*vz)-float64(uz*vy), float64(uz*vx)-float64(ux*vz), float64(ux*vy)-float64(uy*vx)
		area := math.Sqrt(float64(nx*nx) + float64(ny*ny) + float64(nz*nz))
		if area == 0 {
			continue
		}
		long := float64(ux*ux) + float64(uy*uy) + float64(uz*uz)
		if d := float64(vx*vx) + float64(vy*vy) + float64(vz*vz); d > long {
			long = d
		}
		if d := float64(wx*wx) + float64(wy*wy) + float64(wz*wz); d > long {
			long = d
		}
		fx, fy, fz := float32(nx), float32(ny), float32(nz)
		if area > float64(sliver*long) {
			t.facing = [3]float32{fx, fy, fz}
		}
		x, y, z := nx/area, ny/area, nz/area
		for _, v := range t.v[:3] {
			q := &s.vertices[v].planes
			q.xx += float64(x * nx)
			q.xy += float64(x * ny)
			q.xz += float64(x * nz)
			q.yy += float64(y * ny)
			q.yz += float64(y * nz)
			q.zz += float64(z * nz)
			n := &s.normals[v]
			n[0], n[1], n[2] = n[0]+fx, n[1]+fy, n[2]+fz
		}
	}
}

// nextEpoch starts a new set of seen vertices. The three numbers that follow it are
// free to tell its members apart.
func (s *surface) nextEpoch() uint32 {
	s.epoch += epochStep
	if s.epoch == 0 {
		for i := range s.vertices {
			s.vertices[i].seen = 0
		}
		s.epoch = epochStep
	}
	return s.epoch
}

// findEdges marks borders, seams and folds, and gives their vertices the planes
// that hold them in place.
func (s *surface) findEdges() {
	for v := range s.vertices {
		if s.regular(int32(v)) && s.oneGroup(int32(v)) {
			continue
		}
		for _, c := range s.around(int32(v)) {
			s.markEdge(c)
		}
	}
}

// regular reports whether each edge that leaves v also comes back once.
func (s *surface) regular(v int32) bool {
	const out, back = 1, 2
	ring, e, both := s.around(v), s.nextEpoch(), 0
	for _, c := range ring {
		next, last := s.sides(c)
		x, y := &s.vertices[next].seen, &s.vertices[last].seen
		met := *x - e
		if met > out|back {
			met = 0
		}
		if met&out != 0 {
			return false
		}
		both += int(met >> 1)
		*x = e + met | out
		met = *y - e
		if met > out|back {
			met = 0
		}
		if met&back != 0 {
			return false
		}
		both += int(met)
		*y = e + met | back
	}
	return both == len(ring)
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
	for _, c := range ring {
		if s.source.Group[c>>2] != s.source.Group[ring[0]>>2] {
			return false
		}
	}
	return true
}

// markEdge looks at the edge that leaves a corner and its neighbours there. It is met
// once for each of its triangles.
func (s *surface) markEdge(c int32) {
	t, k := c>>2, c&3
	a, b := s.triangles[t].v[k], s.triangles[t].v[after[k]&3]
	same, back, seam := 0, 0, false
	for _, o := range s.around(a) {
		next, last := s.sides(o)
		switch b {
		case next:
			same++
		case last:
			back++
		default:
			continue
		}
		seam = seam || s.parted(t, o>>2, a, b)
	}
	if back == 0 {
		s.triangles[t].alone |= 1 << k
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
	s.vertices[a].marks |= mark
	s.vertices[b].marks |= mark
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
	e := s.vertices[b].at.Sub(s.vertices[a].at)
	u := e.Cross(n).Unit()
	w := float64(weight * e.Dot(e))
	s.vertices[a].planes.addPlane(u, w)
	s.vertices[b].planes.addPlane(u, w)
}

// corner is which corner of t is v.
func (t *triangle) corner(v int32) int {
	switch v {
	case t.v[0]:
		return 0
	case t.v[1]:
		return 1
	}
	return 2
}

func (t *triangle) has(v int32) bool { return t.v[0] == v || t.v[1] == v || t.v[2] == v }
