package gltf

import (
	"encoding/binary"
	"math"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
)

// Component types (clause 3.6.2.2).
const (
	byteType   = 5120
	ubyteType  = 5121
	shortType  = 5122
	ushortType = 5123
	uintType   = 5125
	floatType  = 5126
)

var sizes = map[int]int{byteType: 1, ubyteType: 1, shortType: 2, ushortType: 2, uintType: 4, floatType: 4}

// shapes of an element: rows and columns.
var elements = map[string][2]int{
	"SCALAR": {1, 1}, "VEC2": {2, 1}, "VEC3": {3, 1}, "VEC4": {4, 1}, "MAT2": {2, 2}, "MAT3": {3, 3}, "MAT4": {4, 4},
}

// accessor is a checked one: all its elements lie in its view.
type accessor struct {
	stream            // view -1: zeros
	kind       string // "VEC3"
	count      int
	normal     bool // integers stand for -1 to 1 or 0 to 1
	sparse     *sparse
	v          int
	positions  *source.Corners // once read
	components *components     // once read as an attribute
}

// stream is where elements follow each other.
type stream struct {
	view, offset, stride int
	component            int
}

type sparse struct {
	count           int
	indices, values stream
	v               int
}

func (r *reader) readAccessors() {
	for _, v := range r.objects("accessors") {
		a := accessor{
			count:  r.integer(r.need(v, "count"), 1, math.MaxInt32),
			kind:   r.str(r.need(v, "type")),
			normal: r.boolean(r.field(v, "normalized")),
			v:      v,
		}
		shape, known := elements[a.kind]
		if !known { // of an extension; fit for nothing that is read here
			r.accessors = append(r.accessors, a)
			continue
		}
		a.stream = r.stream(v, shape, a.count)
		if r.stopped() {
			return
		}
		if a.normal && (a.component == floatType || a.component == uintType) {
			r.fail(diag.GltfAccessor, v, "component type %d cannot be normalized", a.component)
		}
		if s := r.field(v, "sparse"); s >= 0 {
			a.sparse = r.readSparse(s, a.component, shape, a.count)
		}
		if r.stopped() {
			return
		}
		r.accessors = append(r.accessors, a)
	}
}

// stream checks that count elements lie in the view of v, an accessor or a part
// of a sparse one (clauses 3.6.2.4 and 3.6.2.5).
func (r *reader) stream(v int, shape [2]int, count int) stream {
	return r.streamOf(v, r.integer(r.need(v, "componentType"), byteType, floatType), shape, count)
}

func (r *reader) streamOf(v, component int, shape [2]int, count int) stream {
	s := stream{
		view:      r.index(r.field(v, "bufferView"), len(r.views), "buffer view"),
		offset:    r.integerOr(r.field(v, "byteOffset"), 0, 0, 1<<40),
		component: component,
	}
	size := sizes[component]
	if r.stopped() {
		return s
	}
	if size == 0 {
		r.fail(diag.GltfAccessor, v, "component type is %d", component)
		return s
	}
	column := size * shape[0]
	padded := column
	if shape[1] > 1 {
		padded = (column + 3) / 4 * 4 // a matrix's columns start at multiples of 4
	}
	element := padded*(shape[1]-1) + column
	s.stride = padded * shape[1]
	if s.view < 0 {
		if s.offset > 0 {
			r.fail(diag.GltfAccessor, v, "there is a byteOffset and no bufferView")
		}
		return s
	}
	view := r.views[s.view]
	if view.stride > 0 {
		s.stride = view.stride
	}
	switch end := s.offset + s.stride*(count-1) + element; {
	case s.stride < element:
		r.fail(diag.GltfAccessor, v, "elements of %d bytes do not fit the view's byteStride of %d", element, s.stride)
	case s.offset%size != 0 || (s.offset+view.offset)%size != 0:
		r.fail(diag.GltfAccessor, v, "components of %d bytes start at byte %d of the view, byte %d of the buffer", size, s.offset, s.offset+view.offset)
	case end > view.length:
		r.fail(diag.GltfAccessor, v, "the elements end at byte %d; the view has %d", end, view.length)
	}
	return s
}

func (r *reader) readSparse(v, component int, shape [2]int, count int) *sparse {
	s := &sparse{count: r.integer(r.need(v, "count"), 1, int64(count)), v: v}
	indices, values := r.need(v, "indices"), r.need(v, "values")
	if r.stopped() {
		return s
	}
	r.need(indices, "bufferView")
	r.need(values, "bufferView")
	s.indices = r.stream(indices, [2]int{1, 1}, s.count)
	s.values = r.streamOf(values, component, shape, s.count)
	if !isIndexType(s.indices.component) {
		r.fail(diag.GltfAccessor, indices, "component type is %d, not an unsigned integer", s.indices.component)
	}
	return s
}

func isIndexType(component int) bool {
	return component == ubyteType || component == ushortType || component == uintType
}

// indices appends those of an accessor to out.
func (r *reader) indices(a *accessor, data []byte, out []uint32) []uint32 {
	start := len(out)
	out = slices.Grow(out, a.count)[:start+a.count]
	list := out[start:]
	switch {
	case a.view < 0:
		clear(list)
	case a.component == ubyteType:
		for i := range list {
			list[i] = uint32(data[a.offset+i*a.stride])
		}
	case a.component == ushortType:
		for i := range list {
			list[i] = uint32(binary.LittleEndian.Uint16(data[a.offset+i*a.stride:]))
		}
	default:
		for i := range list {
			list[i] = binary.LittleEndian.Uint32(data[a.offset+i*a.stride:])
		}
	}
	if a.sparse != nil {
		values := r.viewed(a.sparse.values.view)
		r.each(a, func(i, at int) bool {
			list[i] = uint32(unsigned(values[a.sparse.values.offset+at*a.sparse.values.stride:], a.component))
			return true
		})
	}
	return out
}

// each goes through a sparse accessor's indices: element i is replaced by value number at.
func (r *reader) each(a *accessor, do func(i, at int) bool) {
	s := a.sparse
	data := r.viewed(s.indices.view)
	last := -1
	for at := 0; at < s.count && !r.stopped(); at++ {
		offset := s.indices.offset + at*s.indices.stride
		i := unsigned(data[offset:], s.indices.component)
		if i <= last || i >= a.count {
			r.failAt(diag.GltfAccessor, r.inView(s.indices.view, offset), "%s: sparse index %d follows %d; they must rise and stay below %d", r.pointer(s.v), i, last, a.count)
			return
		}
		last = i
		if !do(i, at) {
			return
		}
	}
}

// corners checks and gives the positions of an accessor. Without a view they are
// zeros, of which any number may be claimed: nothing is kept for each.
func (r *reader) corners(a *accessor) *source.Corners {
	if a.positions != nil || r.stopped() {
		return a.positions
	}
	var data []byte
	if a.view >= 0 {
		data = r.viewed(a.view)
		for i := 0; i < a.count && !r.stopped(); i++ {
			r.check(a, a.view, a.offset+i*a.stride, data, i)
		}
	}
	overlay := map[int]mesh.Vec{}
	if a.sparse != nil && !r.stopped() {
		values := r.viewed(a.sparse.values.view)
		r.each(a, func(i, at int) bool {
			overlay[i] = r.check(a, a.sparse.values.view, a.sparse.values.offset+at*a.sparse.values.stride, values, i)
			return !r.stopped()
		})
	}
	a.positions = &source.Corners{Len: a.count, At: func(i int) mesh.Vec {
		if p, there := overlay[i]; there || a.view < 0 {
			return p
		}
		return position(data[a.offset+i*a.stride:], a.component, a.normal)
	}}
	if len(overlay) == 0 && a.view >= 0 {
		a.positions.At = func(i int) mesh.Vec { return position(data[a.offset+i*a.stride:], a.component, a.normal) }
	}
	return a.positions
}

func (r *reader) check(a *accessor, view, offset int, data []byte, i int) mesh.Vec {
	if r.stopped() {
		return mesh.Vec{}
	}
	p := position(data[offset:], a.component, a.normal)
	if !source.Near(p) {
		r.failAt(diag.GeometryCoordinate, r.inView(view, offset), "%s: vertex %d is at %v", r.pointer(a.v), i, p)
	}
	return p
}

func unsigned(b []byte, component int) int {
	switch component {
	case ubyteType:
		return int(b[0])
	case ushortType:
		return int(binary.LittleEndian.Uint16(b))
	}
	return int(binary.LittleEndian.Uint32(b))
}

// position reads three components; integers are scaled as clause 3.6.2.2 says.
func position(b []byte, component int, normalized bool) (p mesh.Vec) {
	if component == floatType {
		for k := range p {
			p[k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[4*k:])))
		}
		return p
	}
	most := 1.0
	for k := range p {
		switch component {
		case byteType:
			p[k], most = float64(int8(b[k])), math.MaxInt8
		case ubyteType:
			p[k], most = float64(b[k]), math.MaxUint8
		case shortType:
			p[k], most = float64(int16(binary.LittleEndian.Uint16(b[2*k:]))), math.MaxInt16
		case ushortType:
			p[k], most = float64(binary.LittleEndian.Uint16(b[2*k:])), math.MaxUint16
		}
		if normalized {
			p[k] = max(-1, p[k]/most)
		}
	}
	return p
}
