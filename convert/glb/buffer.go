package glb

import "slices"

// geometry is where the accessors of one buffer stand.
type geometry struct {
	attributes   wireAttributes
	firstIndices int
}

// buffer adds the buffer with its views and accessors once.
func (d *Document) buffer(uri string, l Layout) geometry {
	if g, ok := d.geometry[uri]; ok {
		return g
	}
	if d.geometry == nil {
		d.geometry = map[string]geometry{}
	}
	v := views{document: d, layout: l, buffer: len(d.wire.Buffers)}
	d.wire.Buffers = append(d.wire.Buffers, wireBuffer{URI: uri, ByteLength: l.Bytes})
	if l.Packed != nil {
		d.use(compression)
		v.target = d.placeholder()
	}
	if l.Step > 0 || l.Packed != nil {
		d.use(quantization)
	}
	a := len(d.wire.Accessors)
	for i, s := range l.streams() {
		accessor := wireAccessor{
			BufferView: v.add(s, l.Vertices, targetVertices), ComponentType: s.component, Normalized: s.normalized, Count: l.Vertices, Type: s.kind,
		}
		if i == 0 {
			accessor.Min, accessor.Max = l.Min[:], l.Max[:]
		}
		d.wire.Accessors = append(d.wire.Accessors, accessor)
	}
	g := geometry{wireAttributes{Position: a, Normal: new(a + 1)}, len(d.wire.Accessors)}
	next := a + 2
	if l.Colors {
		g.attributes.Color = new(next)
		next++
	}
	if l.TexCoords {
		g.attributes.TexCoord = new(next)
	}
	v.indices()
	d.geometry[uri] = g
	return g
}

func (d *Document) use(extension string) {
	if !slices.Contains(d.wire.Used, extension) {
		d.wire.Used = append(d.wire.Used, extension)
		slices.Sort(d.wire.Used)
	}
	d.wire.Required = d.wire.Used
}

// placeholder is the buffer that views of compressed streams name, since each must
// name one. It has no bytes: devices that do not decompress refuse the document by
// the extensions that it requires.
func (d *Document) placeholder() int {
	if d.fallback == 0 {
		d.wire.Buffers = append(d.wire.Buffers, wireBuffer{Extensions: &bufferExtensions{wireFallback{true}}})
		d.fallback = len(d.wire.Buffers)
	}
	return d.fallback - 1
}

// views adds the views of one buffer, stream by stream.
type views struct {
	document       *Document
	layout         Layout
	buffer, target int   // target stands for what is compressed
	at             int64 // in the buffer
	stream         int
}

// add returns the index of the view of count elements.
func (v *views) add(s stream, count, target int) int {
	d := v.document
	w := wireBufferView{Buffer: v.buffer, ByteOffset: v.at, ByteLength: int64(s.stride) * int64(count), Target: target}
	if s.stride != 12 && target == targetVertices {
		w.ByteStride = s.stride
	}
	if v.layout.Packed == nil {
		v.at += w.ByteLength
	} else {
		packed := v.layout.Packed[v.stream]
		w.Extensions = &viewExtensions{wireMeshopt{
			Buffer: v.buffer, ByteOffset: v.at, ByteLength: packed, ByteStride: s.stride, Count: count, Mode: "ATTRIBUTES", Filter: s.filter,
		}}
		if target == targetIndices {
			w.Extensions.Meshopt.Mode = "TRIANGLES"
		}
		v.at += packed
		whole := &d.wire.Buffers[v.target].ByteLength
		w.Buffer, w.ByteOffset = v.target, *whole
		*whole = (*whole + w.ByteLength + 3) &^ 3
	}
	v.stream++
	d.wire.BufferViews = append(d.wire.BufferViews, w)
	return len(d.wire.BufferViews) - 1
}

// indices adds one view, and an accessor a primitive.
func (v *views) indices() {
	count, s := 0, stream{stride: v.layout.indexBytes(), component: typeUint16}
	if v.layout.Wide {
		s.component = typeUint32
	}
	for _, p := range v.layout.Primitives {
		count += p.Count
	}
	view := v.add(s, count, targetIndices)
	for _, p := range v.layout.Primitives {
		v.document.wire.Accessors = append(v.document.wire.Accessors, wireAccessor{
			BufferView: view, ByteOffset: int64(s.stride) * int64(p.First), ComponentType: s.component, Count: p.Count, Type: "SCALAR",
		})
	}
}
