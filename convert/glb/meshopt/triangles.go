package meshopt

import "encoding/binary"

// Mode 1 (appendix A). Both ways remember the last sixteen edges and the last sixteen
// vertices. A triangle is a byte that says which edge and which vertex it takes up
// again, or a vertex that is the next one never seen; what that cannot say follows in
// a second run of bytes.

const (
	trianglesHeader = 0xe1
	indicesHeader   = 0xd1
	afar            = 15 // in place of a number in a list: given explicitly
	nearVertices    = 13 // vertices that can follow an edge are numbers 1 to 12
)

// auxiliary are the pairs of vertices that a triangle without a known edge can name
// in its byte: nibbles, 0 for a new one, else one more than the number in the list.
// The specification leaves them to the encoder: this is the new triangle, those that
// share one vertex with a triangle before, and those that share two where the edge
// was forgotten.
var auxiliary = [16]byte{0x00, 0x10, 0x20, 0x30, 0x40, 0x50, 0x60, 0x01, 0x02, 0x03, 0x04, 0x12, 0x21, 0x23}

// recent is what both ways remember.
type recent struct {
	edges        [16][2]uint32
	vertices     [16]uint32
	edge, vertex int // where the next one goes
	next, last   uint32
}

func newRecent() recent {
	var r recent
	for i := range r.edges {
		r.edges[i] = [2]uint32{^uint32(0), ^uint32(0)}
		r.vertices[i] = ^uint32(0)
	}
	return r
}

func (r *recent) addEdge(a, b uint32) {
	r.edges[r.edge] = [2]uint32{a, b}
	r.edge = (r.edge + 1) % 16
}

func (r *recent) addVertex(v uint32) {
	r.vertices[r.vertex] = v
	r.vertex = (r.vertex + 1) % 16
}

// edgeAt and vertexAt count from the newest, 0.
func (r *recent) edgeAt(i int) [2]uint32 { return r.edges[(r.edge-1-i)&15] }
func (r *recent) vertexAt(i int) uint32  { return r.vertices[(r.vertex-1-i)&15] }

func (r *recent) findVertex(v uint32, most int) int {
	for i := range most {
		if r.vertexAt(i) == v {
			return i
		}
	}
	return -1
}

// findEdge looks for an edge that the triangle has as one of its own, in its
// direction; turn is how many corners on it starts.
func (r *recent) findEdge(t [3]uint32) (i, turn int) {
	for i := range afar {
		e := r.edgeAt(i)
		for turn := range 3 {
			if t[turn] == e[0] && t[(turn+1)%3] == e[1] {
				return i, turn
			}
		}
	}
	return -1, 0
}

type packer struct {
	recent
	codes, data []byte
}

// PackTriangles packs corners, three a triangle. Which corner of a triangle comes
// first may change.
func PackTriangles(index []uint32) []byte {
	if len(index)%3 != 0 {
		panic("meshopt: internal error: corners do not make whole triangles")
	}
	p := packer{recent: newRecent()}
	p.codes = append(make([]byte, 0, len(index)/2+17), trianglesHeader)
	for i := 0; i < len(index); i += 3 {
		t := [3]uint32(index[i:])
		if e, turn := p.findEdge(t); e >= 0 {
			p.beside(e, t[turn], t[(turn+1)%3], t[(turn+2)%3])
		} else {
			p.alone(t)
		}
	}
	return append(append(p.codes, p.data...), auxiliary[:]...)
}

// beside packs the triangle at a known edge.
func (p *packer) beside(edge int, a, b, c uint32) {
	code := byte(edge << 4)
	known := p.findVertex(c, nearVertices)
	switch {
	case c == p.next:
		p.next++
		p.addVertex(c)
	case known >= 1:
		code |= byte(known)
	case c == p.last-1:
		code |= 13
		p.last = c
		p.addVertex(c)
	case c == p.last+1:
		code |= 14
		p.last = c
		p.addVertex(c)
	default:
		code |= afar
		p.explicit(c)
		p.addVertex(c)
	}
	p.codes = append(p.codes, code)
	p.addEdge(c, b)
	p.addEdge(a, c)
}

// alone packs a triangle of which no edge is known, turned so that a new vertex comes
// first if it has one.
func (p *packer) alone(t [3]uint32) {
	turn := 0
	for i := range 3 {
		if t[i] == p.next {
			turn = i
			break
		}
	}
	a, b, c := t[turn], t[(turn+1)%3], t[(turn+2)%3]
	next := p.next
	if a == next {
		next++
	}
	nibble := func(v uint32) byte {
		if v == next {
			next++
			return 0
		}
		if i := p.findVertex(v, afar-1); i >= 0 {
			return byte(i + 1)
		}
		return afar
	}
	fresh := a == p.next
	zb := nibble(b)
	zc := nibble(c)
	pair := zb<<4 | zc
	if at := auxiliaryOf(pair); fresh && at >= 0 {
		p.codes = append(p.codes, 0xf0|byte(at))
	} else {
		code := byte(0xff)
		if fresh {
			code = 0xfe
		}
		p.codes = append(p.codes, code)
		p.data = append(p.data, pair)
		if !fresh {
			p.explicit(a)
		}
		if zb == afar {
			p.explicit(b)
		}
		if zc == afar {
			p.explicit(c)
		}
	}
	p.next = next
	p.addTriangle(a, b, c, zb, zc)
}

func auxiliaryOf(pair byte) int {
	for i, x := range auxiliary[:14] {
		if x == pair {
			return i
		}
	}
	return -1
}

// addTriangle remembers a triangle that was alone.
func (r *recent) addTriangle(a, b, c uint32, zb, zc byte) {
	r.addEdge(b, a)
	r.addEdge(c, b)
	r.addEdge(a, c)
	r.addVertex(a)
	if zb == 0 || zb == afar {
		r.addVertex(b)
	}
	if zc == 0 || zc == afar {
		r.addVertex(c)
	}
}

// explicit writes a vertex as its distance from the last one that was written.
func (p *packer) explicit(v uint32) {
	d := v - p.last
	p.data = binary.AppendUvarint(p.data, uint64(d<<1^uint32(int32(d)>>31)))
	p.last = v
}

type unpacker struct {
	recent
	data      []byte
	auxiliary []byte
	err       error
}

// UnpackTriangles gives count corners.
func UnpackTriangles(b []byte, count int) ([]uint32, error) {
	triangles := count / 3
	switch {
	case count%3 != 0:
		return nil, errStride
	case len(b) == 0 || b[0] != trianglesHeader:
		return nil, errHeader
	case len(b) < 1+16 || triangles > len(b)-1-16:
		return nil, errShort
	}
	u := unpacker{recent: newRecent(), data: b[1+triangles : len(b)-16], auxiliary: b[len(b)-16:]}
	for i, x := range u.auxiliary {
		if i >= 14 && x != 0 || x>>4 == afar || x&15 == afar {
			return nil, errTail
		}
	}
	out := make([]uint32, 0, count)
	for _, code := range b[1 : 1+triangles] {
		a, b, c := u.triangle(code)
		out = append(out, a, b, c)
	}
	if u.err == nil && len(u.data) > 0 {
		u.err = errLong
	}
	return out, u.err
}

func (u *unpacker) triangle(code byte) (a, b, c uint32) {
	if code >= 0xf0 {
		return u.alone(code)
	}
	e := u.edgeAt(int(code >> 4))
	fresh := true
	switch near := int(code & 15); near {
	case 0:
		c = u.next
		u.next++
	case 13:
		u.last--
		c = u.last
	case 14:
		u.last++
		c = u.last
	case afar:
		c = u.explicit()
	default:
		c = u.vertexAt(near)
		fresh = false
	}
	if fresh {
		u.addVertex(c)
	}
	u.addEdge(c, e[1])
	u.addEdge(e[0], c)
	return e[0], e[1], c
}

func (u *unpacker) alone(code byte) (a, b, c uint32) {
	var pair byte
	if code < 0xfe {
		pair = u.auxiliary[code&15]
	} else {
		pair = u.byte()
		if pair == 0 {
			u.next = 0
		}
	}
	if code == 0xff {
		a = u.explicit()
	} else {
		a = u.next
		u.next++
	}
	vertex := func(z byte) uint32 {
		switch z {
		case 0:
			u.next++
			return u.next - 1
		case afar:
			return u.explicit()
		}
		return u.vertexAt(int(z) - 1)
	}
	b = vertex(pair >> 4)
	c = vertex(pair & 15)
	u.addTriangle(a, b, c, pair>>4, pair&15)
	return a, b, c
}

func (u *unpacker) byte() byte {
	if len(u.data) == 0 {
		u.err = errShort
		return 0
	}
	b := u.data[0]
	u.data = u.data[1:]
	return b
}

func (u *unpacker) explicit() uint32 {
	v, rest, ok := uvarint(u.data)
	if !ok {
		u.err = errShort
		return 0
	}
	u.data = rest
	u.last += v>>1 ^ -(v & 1)
	return u.last
}

// uvarint reads up to five bytes of seven bits.
func uvarint(b []byte) (v uint32, rest []byte, ok bool) {
	for i := range min(5, len(b)) {
		v |= uint32(b[i]&127) << (7 * i)
		if b[i] < 128 {
			return v, b[i+1:], true
		}
	}
	return 0, b, false
}

// UnpackIndices gives count numbers of mode 2: differences from one of two numbers
// before.
func UnpackIndices(b []byte, count int) ([]uint32, error) {
	switch {
	case len(b) == 0 || b[0] != indicesHeader:
		return nil, errHeader
	case len(b) < 1+4 || count > len(b)-1-4:
		return nil, errShort
	}
	in := b[1 : len(b)-4]
	var last [2]uint32
	out := make([]uint32, count)
	for i := range out {
		v, rest, ok := uvarint(in)
		if !ok {
			return nil, errShort
		}
		in = rest
		base := &last[v&1]
		*base += v>>2 ^ -(v >> 1 & 1)
		out[i] = *base
	}
	if len(in) > 0 {
		return nil, errLong
	}
	return out, nil
}
