package gltf

import (
	"encoding/base64"
	"net/url"
	"path"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
)

// buffer is the bytes of one glTF buffer and where they come from.
type buffer struct {
	data []byte // nil when an extension should provide it
	file string // "" for a data URI
	at   int    // where data begins in file
	v    int
}

// mostBytes bounds what the side files of one glTF file hold together.
const mostBytes = source.Limit

func (r *reader) readBuffers() {
	byURI := map[string]buffer{} // so that a file named a thousand times is read once
	total := 0
	for i, v := range r.objects("buffers") {
		length := r.integer(r.need(v, "byteLength"), 1, 1<<40)
		uri := r.field(v, "uri")
		if r.stopped() {
			return
		}
		var b buffer
		switch known, there := byURI[r.str(uri)]; {
		case uri < 0:
			b = r.inner(i, v)
		case there:
			b = known
		default:
			b = r.outer(uri)
			total += len(b.data)
			byURI[r.str(uri)] = b
		}
		if r.stopped() {
			return
		}
		if total > mostBytes {
			r.fail(diag.GltfLimit, v, "the buffers have more than %d bytes", int64(mostBytes))
			return
		}
		if b.data != nil {
			if len(b.data) < length {
				r.fail(diag.GltfBuffer, v, "the buffer has %d bytes; %d are declared", len(b.data), length)
				return
			}
			b.data = b.data[:length:length]
		}
		b.v = v
		r.buffers = append(r.buffers, b)
	}
}

// inner is a buffer without URI: the BIN chunk, or one that an extension fills.
func (r *reader) inner(i, v int) buffer {
	if i == 0 && r.binary {
		if !r.hasChunk {
			r.fail(diag.GltfBuffer, v, "the buffer is the BIN chunk, which the file has not")
		}
		return buffer{data: r.chunk, file: r.file.Name, at: r.chunkAt}
	}
	return buffer{}
}

func (r *reader) outer(v int) buffer {
	uri := r.str(v)
	if r.stopped() {
		return buffer{}
	}
	if scheme, rest, ok := strings.Cut(uri, ":"); ok && !strings.ContainsAny(scheme, "/%") {
		if strings.EqualFold(scheme, "data") {
			return buffer{data: r.embedded(v, rest)}
		}
		r.fail(diag.GltfURI, v, "the URI %.80q has the scheme %.20q; only files beside this one are read", uri, scheme)
		return buffer{}
	}
	name, err := url.PathUnescape(uri)
	if err != nil {
		r.fail(diag.GltfURI, v, "the URI %.80q is malformed: %v", uri, err)
		return buffer{}
	}
	name = strings.ReplaceAll(name, `\`, "/")
	if name == "" || name[0] == '/' {
		r.fail(diag.GltfURI, v, "the URI %.80q is not relative to this file", uri)
		return buffer{}
	}
	name = path.Join(path.Dir(r.file.Name), name)
	data, fault, err := source.Read(r.file.FS, name)
	switch {
	case err != nil:
		r.err = err
	case fault != nil && fault.Code == diag.GeometryPath.Name:
		r.fail(diag.GltfURI, v, "%s", fault.Message)
	case fault != nil:
		r.fail(diag.GltfBuffer, v, "%s", fault.Message)
	}
	return buffer{data: data, file: name}
}

// embedded is the content of a data URI (RFC 2397), which begins after "data:".
func (r *reader) embedded(v int, rest string) []byte {
	head, body, ok := strings.Cut(rest, ",")
	if !ok {
		r.fail(diag.GltfURI, v, "the data URI has no comma")
		return nil
	}
	var err error
	if strings.Contains(body, "%") {
		body, err = url.PathUnescape(body)
	}
	data := []byte(body)
	if strings.HasSuffix(strings.ToLower(head), ";base64") && err == nil {
		data, err = base64.RawStdEncoding.DecodeString(strings.TrimRight(body, "="))
	}
	if err != nil {
		r.fail(diag.GltfURI, v, "the data URI is malformed: %v", err)
		return nil
	}
	return data[:len(data):len(data)]
}

// view is a part of a buffer.
type view struct {
	buffer, offset, length int
	stride                 int // 0: one after the other
	packed                 *packed
	v                      int
}

func (r *reader) readViews() {
	for _, v := range r.objects("bufferViews") {
		w := view{
			buffer: r.index(r.need(v, "buffer"), len(r.buffers), "buffer"),
			offset: r.integerOr(r.field(v, "byteOffset"), 0, 0, 1<<40),
			length: r.integer(r.need(v, "byteLength"), 1, 1<<40),
			stride: r.integerOr(r.field(v, "byteStride"), 0, 4, 252),
			v:      v,
		}
		if r.stopped() {
			return
		}
		if w.stride%4 != 0 {
			r.fail(diag.GltfAccessor, v, "byteStride is %d, not a multiple of 4", w.stride)
			return
		}
		if b := r.buffers[w.buffer]; b.data != nil && w.offset+w.length > len(b.data) {
			r.fail(diag.GltfAccessor, v, "the view ends at byte %d; the buffer has %d", w.offset+w.length, len(b.data))
			return
		}
		if w.packed = r.readPacked(w); r.stopped() {
			return
		}
		r.views = append(r.views, w)
	}
}

// viewed is the bytes of a view that is to be read.
func (r *reader) viewed(i int) []byte {
	w := r.views[i]
	b := r.buffers[w.buffer]
	if b.data != nil {
		return b.data[w.offset : w.offset+w.length]
	}
	if w.packed != nil {
		if data := r.unpack(w.packed); data != nil || r.stopped() {
			return data
		}
	}
	r.fail(diag.GltfBuffer, b.v, "the buffer has no bytes of its own: an extension that is not read should provide them")
	return nil
}

// inView is the place of a byte of a view, for diagnostics.
func (r *reader) inView(i, offset int) diag.Position {
	w := r.views[i]
	b := r.buffers[w.buffer]
	if b.file == "" {
		return r.at(int(r.values[w.v].start))
	}
	return diag.Position{File: b.file, Offset: int64(b.at + w.offset + offset), Binary: true}
}
