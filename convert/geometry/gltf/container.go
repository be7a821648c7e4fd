package gltf

import (
	"encoding/binary"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
)

const (
	magic     = "glTF"
	chunkJSON = 0x4e4f534a
	chunkBIN  = 0x004e4942
)

// container finds the JSON text, and in a GLB file the BIN chunk (clause 4).
func (r *reader) container() {
	data := r.file.Data
	if len(data) < 4 || string(data[:4]) != magic {
		if SniffBinary(nil, r.file.Name) && !Sniff(data, "") {
			r.failAt(diag.GltfContainer, r.file.Byte(0), "the file does not start with %q", magic)
			return
		}
		r.base = len(source.BOM(data))
		r.data = data[r.base:]
		return
	}
	r.binary = true
	if len(data) < 12 {
		r.failAt(diag.GltfContainer, r.file.Byte(len(data)), "the header has 12 bytes; the file has %d", len(data))
		return
	}
	if v := binary.LittleEndian.Uint32(data[4:]); v != 2 {
		r.failAt(diag.GltfVersion, r.file.Byte(4), "the version is %d; 2 is read", v)
		return
	}
	switch length := int64(binary.LittleEndian.Uint32(data[8:])); {
	case length > int64(len(data)) || length < 12:
		r.failAt(diag.GltfContainer, r.file.Byte(8), "the header says %d bytes; the file has %d", length, len(data))
		return
	case length < int64(len(data)):
		r.list.Add(diag.GeometryTrailing.At(r.file.Byte(int(length)), "%d bytes follow the end that the header gives", int64(len(data))-length))
		data = data[:length]
	}
	for at, n := 12, 0; at < len(data) && !r.stopped(); n++ {
		at = r.readChunk(data, at, n)
	}
	if r.data == nil {
		r.failAt(diag.GltfContainer, r.file.Byte(12), "there is no JSON chunk")
	}
}

// readChunk reads chunk number n and returns where the next begins.
func (r *reader) readChunk(data []byte, at, n int) int {
	fail := func(format string, args ...any) int {
		r.failAt(diag.GltfContainer, r.file.Byte(at), format, args...)
		return len(data)
	}
	if len(data)-at < 8 {
		return fail("a chunk's header has 8 bytes; %d are left", len(data)-at)
	}
	length, kind := int64(binary.LittleEndian.Uint32(data[at:])), binary.LittleEndian.Uint32(data[at+4:])
	switch {
	case length > int64(len(data)-at-8):
		return fail("a chunk of %d bytes has %d left", length, len(data)-at-8)
	case length%4 != 0:
		return fail("a chunk has %d bytes, not a multiple of 4", length)
	case (n == 0) != (kind == chunkJSON):
		return fail("chunk %d is of type %#08x; the first and only the first is JSON", n, kind)
	case kind == chunkBIN && n != 1:
		return fail("chunk %d is BIN; only the second may be", n)
	case n == 0 && length == 0:
		return fail("the JSON chunk is empty")
	}
	body := data[at+8 : at+8+int(length)]
	switch kind {
	case chunkJSON:
		r.data, r.base = body, at+8
	case chunkBIN:
		r.chunk, r.chunkAt, r.hasChunk = body, at+8, true
	}
	return at + 8 + int(length)
}
