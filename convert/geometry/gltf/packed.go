package gltf

import (
	"encoding/binary"

	"planfold/convert/diag"
	"planfold/convert/glb/meshopt"
)

// packed is a view's compressed stream, as EXT_meshopt_compression gives it.
type packed struct {
	buffer, offset, length int
	stride, count          int
	mode, filter           string
	v                      int
	data                   []byte // once unpacked
}

// readPacked checks what the extension says of view w; nil without it.
func (r *reader) readPacked(w view) *packed {
	v := r.extension(w.v, compression)
	if v < 0 {
		return nil
	}
	p := &packed{
		buffer: r.index(r.need(v, "buffer"), len(r.buffers), "buffer"),
		offset: r.integerOr(r.field(v, "byteOffset"), 0, 0, 1<<40),
		length: r.integer(r.need(v, "byteLength"), 1, 1<<40),
		stride: r.integer(r.need(v, "byteStride"), 2, 256),
		count:  r.integer(r.need(v, "count"), 1, 1<<32),
		mode:   r.str(r.need(v, "mode")),
		filter: r.str(r.field(v, "filter")),
		v:      v,
	}
	if r.stopped() {
		return nil
	}
	switch data := r.buffers[p.buffer].data; {
	case p.stride*p.count != w.length || w.stride > 0 && w.stride != p.stride:
		r.fail(diag.GltfAccessor, v, "%d elements of %d bytes do not make the view's %d", p.count, p.stride, w.length)
	case data != nil && p.offset+p.length > len(data):
		r.fail(diag.GltfAccessor, v, "the compressed stream ends at byte %d; the buffer has %d", p.offset+p.length, len(data))
	}
	return p
}

// unpack gives the bytes of a view whose own buffer has none, or nil. What a file
// unpacks to is bounded as what it holds.
func (r *reader) unpack(p *packed) []byte {
	b := r.buffers[p.buffer]
	if p.data != nil || b.data == nil {
		return p.data
	}
	if r.unpacked += p.stride * p.count; r.unpacked > mostBytes {
		r.fail(diag.GltfLimit, p.v, "the compressed views make more than %d bytes", int64(mostBytes))
		return nil
	}
	stream := b.data[p.offset : p.offset+p.length]
	var data []byte
	var numbers []uint32
	var err error
	switch p.mode {
	case "ATTRIBUTES":
		if data, err = meshopt.UnpackAttributes(stream, p.count, p.stride); err == nil && !meshopt.Unfilter(p.filter, data, p.stride) {
			r.fail(diag.GltfExtension, p.v, "the filter %.40q is not read with elements of %d bytes", p.filter, p.stride)
			return nil
		}
	case "TRIANGLES":
		numbers, err = meshopt.UnpackTriangles(stream, p.count)
	case "INDICES":
		numbers, err = meshopt.UnpackIndices(stream, p.count)
	default:
		r.fail(diag.GltfExtension, p.v, "the mode %.40q is not known", p.mode)
		return nil
	}
	if err != nil {
		r.fail(diag.GltfBuffer, p.v, "the compressed stream is damaged: %v", err)
		return nil
	}
	if data == nil {
		data = r.narrow(p, numbers)
	}
	p.data = data
	return data
}

// narrow writes indices in the size of the view's elements.
func (r *reader) narrow(p *packed, numbers []uint32) []byte {
	out := make([]byte, 0, p.stride*p.count)
	for _, n := range numbers {
		switch {
		case p.stride == 4:
			out = binary.LittleEndian.AppendUint32(out, n)
		case p.stride == 2 && n <= 0xffff:
			out = binary.LittleEndian.AppendUint16(out, uint16(n))
		default:
			r.fail(diag.GltfBuffer, p.v, "the compressed index %d does not fit %d bytes", n, p.stride)
			return nil
		}
	}
	return out
}
