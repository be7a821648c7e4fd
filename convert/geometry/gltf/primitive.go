package gltf

import (
	"fmt"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/mesh"
)

// shape is a glTF mesh: triangles, which it may share with meshes that differ in
// materials only, and a material for each group of them.
type shape struct {
	name      string
	mesh      int // into reader.meshes, or -1
	materials []int
}

// primitive is a checked one.
type primitive struct {
	mode      int
	positions *accessor
	decor     decor
	indices   *accessor // nil: in order
	group     int32
	v         int
}

const (
	triangleList  = 4
	triangleStrip = 5
	triangleFan   = 6
)

func (r *reader) readMeshes() {
	r.meshOf = map[string]int{}
	for _, v := range r.objects("meshes") {
		s := shape{name: r.str(r.field(v, "name"))}
		primitives, key := r.readPrimitives(v, &s)
		if r.stopped() {
			return
		}
		known, there := r.meshOf[key]
		if !there {
			known = r.weld(primitives)
			r.meshOf[key] = known
		}
		s.mesh = known
		r.shapes = append(r.shapes, s)
	}
}

// readPrimitives lists those with triangles, and names what they read.
func (r *reader) readPrimitives(meshValue int, s *shape) (out []primitive, key string) {
	var names strings.Builder
	groups := map[int]int32{}
	for _, v := range r.array(r.need(meshValue, "primitives")) {
		p, ok := r.readPrimitive(v)
		if r.stopped() {
			return nil, ""
		}
		if !ok {
			continue
		}
		material := r.index(r.field(v, "material"), len(r.materials), "material")
		g, there := groups[material]
		if !there {
			g = int32(len(s.materials))
			groups[material] = g
			s.materials = append(s.materials, material)
		}
		p.group = g
		indices := -1
		if p.indices != nil {
			indices = p.indices.v
		}
		fmt.Fprintf(&names, "%d %d %d %d", p.mode, p.positions.v, indices, g)
		for _, a := range []*accessor{p.decor.color, p.decor.texCoord} {
			if names.WriteByte(' '); a != nil {
				fmt.Fprint(&names, a.v)
			}
		}
		names.WriteByte(';')
		out = append(out, p)
	}
	return out, names.String()
}

func (r *reader) readPrimitive(v int) (p primitive, ok bool) {
	p = primitive{mode: r.integerOr(r.field(v, "mode"), triangleList, 0, triangleFan), v: v}
	attributes := r.need(v, "attributes")
	if r.stopped() {
		return p, false
	}
	p.positions, p.decor = r.readAttributes(attributes)
	if i := r.index(r.field(v, "indices"), len(r.accessors), "accessor"); i >= 0 {
		p.indices = &r.accessors[i]
		r.checkIndices(p.indices, r.field(v, "indices"))
	}
	if len(r.array(r.field(v, "targets"))) > 0 && r.skipped.shape == 0 {
		r.skipped.shape = v
	}
	switch {
	case r.stopped():
		return p, false
	case p.positions == nil:
		r.skipped.leave(v, "there are no positions")
		return p, false
	}
	if a := p.positions; a.view < 0 && r.extension(v, draco) >= 0 {
		r.fail(diag.GltfExtension, v, "the positions are given by the extension %s only, which is not read", draco)
	}
	return p, true
}

// readAttributes checks that all attributes have one count, and returns those that are read, nil for none.
func (r *reader) readAttributes(attributes int) (positions *accessor, d decor) {
	count := 0
	for k := attributes + 1; k < int(r.values[attributes].next); k = int(r.values[k+1].next) {
		i := r.index(k+1, len(r.accessors), "accessor")
		if r.stopped() {
			return nil, d
		}
		a := &r.accessors[i]
		if count == 0 {
			count = a.count
		}
		if a.count != count {
			r.fail(diag.GltfAccessor, k+1, "accessor %d has %d elements; the other attributes have %d", i, a.count, count)
			return nil, d
		}
		name := r.unquote(k)
		if name == "POSITION" {
			positions = a
			r.checkPositions(a, k+1)
		}
		r.readDecor(&d, name, a, k+1)
	}
	return positions, d
}

func (r *reader) checkPositions(a *accessor, v int) {
	ok := a.component == floatType || r.quantized && a.component != uintType
	switch {
	case a.kind != "VEC3" || !ok:
		r.fail(diag.GltfAccessor, v, "positions are %s of component type %d; VEC3 of float is read, and of 8 or 16 bits with %s", a.kind, a.component, quantization)
	case a.view >= 0 && (a.stride%4 != 0 && r.views[a.view].stride == 0 && a.count > 1 || a.offset%4 != 0 || (a.offset+r.views[a.view].offset)%4 != 0):
		r.fail(diag.GltfAccessor, v, "positions do not start at multiples of 4 bytes")
	}
}

func (r *reader) checkIndices(a *accessor, v int) {
	switch {
	case a.kind != "SCALAR" || !isIndexType(a.component) || a.normal:
		r.fail(diag.GltfAccessor, v, "indices are %s of component type %d, not plain unsigned integers", a.kind, a.component)
	case a.view >= 0 && r.views[a.view].stride > 0:
		r.fail(diag.GltfAccessor, v, "indices have a byteStride")
	}
}

// weld makes one mesh of primitives; -1 without triangles.
func (r *reader) weld(primitives []primitive) int {
	w := &mesh.Welder{}
	w.Expect(r.expected(primitives))
	for i := range primitives {
		if r.addPrimitive(w, &primitives[i]); r.stopped() {
			return -1
		}
	}
	r.removed[0] += w.Degenerate
	r.removed[1] += w.Duplicate
	m := w.Mesh()
	if m == nil {
		return -1
	}
	r.meshes = append(r.meshes, m)
	return len(r.meshes) - 1
}

// expected is how many triangles there will be, as far as the file's bytes bear it out.
func (r *reader) expected(primitives []primitive) (n int) {
	for _, p := range primitives {
		corners := p.positions.count
		if p.indices != nil {
			corners = p.indices.count
		}
		if p.mode == triangleList {
			corners /= 3
		}
		n += corners
	}
	return min(n, r.bytes()/4)
}

// bytes is what the file and its buffers hold together.
func (r *reader) bytes() int {
	n := len(r.file.Data)
	for _, b := range r.buffers {
		n += len(b.data)
	}
	return n
}

func (r *reader) addPrimitive(w *mesh.Welder, p *primitive) {
	numbers := r.sequence(p)
	corners := r.corners(p.positions)
	if r.stopped() {
		return
	}
	restart := -1 // the largest value would begin another strip; glTF forbids it
	if p.indices != nil {
		restart = 1<<(8*sizes[p.indices.component]) - 1
	}
	count := len(numbers)
	for i, n := range numbers { // also of points and lines, so that a wrong index never passes
		if int(n) >= p.positions.count || int(n) == restart {
			r.failIndex(p, i, int(n))
			return
		}
	}
	triangles := count - 2
	switch {
	case p.mode < triangleList:
		r.skipped.leave(p.v, "points and lines are not surfaces")
		return
	case p.mode == triangleList:
		triangles = count / 3
		if count%3 != 0 {
			r.skipped.leave(p.v, fmt.Sprintf("%d corners do not make whole triangles", count))
		}
	case count < 3:
		r.skipped.leave(p.v, fmt.Sprintf("%d corners make no triangle", count))
	}
	vertex := func(i int) int32 { return corners.Vertex(w, int(numbers[i])) }
	if p.positions.view < 0 {
		vertex = func(i int) int32 { return w.Vertex(corners.At(int(numbers[i]))) }
	}
	decorated := p.decor != decor{}
	attach := attacher{color: r.components(p.decor.color), texCoord: r.components(p.decor.texCoord)}
	if r.stopped() {
		return
	}
	for i := range triangles {
		a, b, c := 3*i, 3*i+1, 3*i+2
		switch p.mode { // clause 3.7.2.1
		case triangleStrip:
			a, b, c = i, i+1+i%2, i+2-i%2
		case triangleFan:
			a, b, c = i+1, i+2, 0
		}
		if w.Triangle(vertex(a), vertex(b), vertex(c), p.group) && decorated {
			attach.attach(w, [3]uint32{numbers[a], numbers[b], numbers[c]})
		}
	}
	if attach.bad > 0 {
		r.skipped.decor(p.v, attach.bad)
	}
}

// sequence is the primitive's corners in order, as numbers of positions. Shared
// and sparse accessors let a small file claim any number: more than the
// file's bytes, and a million, are refused.
func (r *reader) sequence(p *primitive) []uint32 {
	count := p.positions.count
	if p.indices != nil {
		count = p.indices.count
	}
	most := 3<<20 + 3*r.bytes()
	if r.triangles += count; r.triangles > most {
		r.fail(diag.GltfLimit, p.v, "the meshes so far claim %d corners; a file of this size may have %d", r.triangles, most)
		return nil
	}
	r.order = slices.Grow(r.order[:0], count)
	if p.indices == nil {
		for i := range count {
			r.order = append(r.order, uint32(i))
		}
		return r.order
	}
	var data []byte
	if p.indices.view >= 0 {
		data = r.viewed(p.indices.view)
	}
	if r.stopped() {
		return nil
	}
	r.order = r.indices(p.indices, data, r.order)
	return r.order
}

func (r *reader) failIndex(p *primitive, i, n int) {
	at := r.at(int(r.values[p.v].start))
	if a := p.indices; a != nil && a.view >= 0 {
		at = r.inView(a.view, a.offset+i*a.stride)
	}
	why := fmt.Sprintf("there are %d vertices", p.positions.count)
	if n < p.positions.count {
		why = "the largest value of an index type means no vertex"
	}
	r.failAt(diag.GltfIndex, at, "%s: index number %d is %d; %s", r.pointer(p.v), i, n, why)
}
