package glb

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"planfold/schema"
)

// Encode is the document as canonical JSON, checked by decoding it again.
// It fails on a number that JSON cannot hold.
func (d *Document) Encode() ([]byte, error) {
	w := d.wire
	w.Asset = wireAsset{Generator: "planfold", Version: "2.0"}
	if w.Scenes == nil {
		w.Scenes = make([]wireScene, 1)
	}
	out, err := compact(w)
	if err != nil {
		return nil, fmt.Errorf("encode glTF: %w", err)
	}
	return append(out, '\n'), check(out)
}

// compact is canonical JSON without white space, which in a scene would weigh more than
// its geometry.
func compact(w wireDocument) ([]byte, error) {
	indented, err := schema.Encode(w)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := json.Compact(&out, indented); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

const (
	chunkJSON = 0x4E4F534A
	chunkBIN  = 0x004E4942
)

// Pack makes one .glb file of a document that Encode made. read gives the bytes
// of the buffer at a URI. The document is checked as by Encode.
func Pack(document []byte, read func(uri string) ([]byte, error)) ([]byte, error) {
	var w wireDocument
	if err := json.Unmarshal(document, &w); err != nil {
		return nil, fmt.Errorf("pack glTF: %w", err)
	}
	bin, err := join(&w, read)
	if err != nil {
		return nil, err
	}
	text, err := compact(w)
	if err != nil {
		return nil, fmt.Errorf("pack glTF: %w", err)
	}
	text = pad(text, ' ')
	size := 12 + 8 + len(text)
	if len(bin) > 0 {
		size += 8 + len(bin)
	}
	if uint64(size) > math.MaxUint32 {
		return nil, errors.New("pack glTF: more than 4 GiB")
	}
	out := make([]byte, 0, size)
	out = binary.LittleEndian.AppendUint32(append(out, "glTF"...), 2)
	out = binary.LittleEndian.AppendUint32(out, uint32(size))
	out = chunk(out, chunkJSON, text)
	if len(bin) > 0 {
		out = chunk(out, chunkBIN, bin)
	}
	return out, check(text)
}

// join puts the document's buffers into one and moves the views along. The buffer
// that stands for what is compressed stays, after it.
func join(w *wireDocument, read func(uri string) ([]byte, error)) ([]byte, error) {
	var bin []byte
	start := make([]int64, len(w.Buffers))
	number := make([]int, len(w.Buffers))
	var kept []wireBuffer
	for i, b := range w.Buffers {
		if b.Extensions != nil {
			kept = append(kept, b)
			number[i] = len(kept)
			continue
		}
		data, err := read(b.URI)
		if err != nil {
			return nil, fmt.Errorf("pack glTF: buffer %q: %w", b.URI, err)
		}
		if int64(len(data)) != b.ByteLength {
			return nil, fmt.Errorf("pack glTF: buffer %q has %d bytes, want %d", b.URI, len(data), b.ByteLength)
		}
		start[i] = int64(len(bin))
		bin = pad(append(bin, data...), 0)
	}
	for i := range w.BufferViews {
		v := &w.BufferViews[i]
		places := []placeInBuffer{{&v.Buffer, &v.ByteOffset}}
		if v.Extensions != nil {
			places = append(places, placeInBuffer{&v.Extensions.Meshopt.Buffer, &v.Extensions.Meshopt.ByteOffset})
		}
		for _, p := range places {
			if *p.buffer < 0 || *p.buffer >= len(start) {
				return nil, fmt.Errorf("pack glTF: view %d has no buffer", i)
			}
			*p.offset += start[*p.buffer]
			*p.buffer = number[*p.buffer]
		}
	}
	if len(w.Buffers) > 0 {
		w.Buffers = append([]wireBuffer{{ByteLength: int64(len(bin))}}, kept...)
	}
	return bin, nil
}

type placeInBuffer struct {
	buffer *int
	offset *int64
}

func pad(b []byte, with byte) []byte {
	for len(b)%4 != 0 {
		b = append(b, with)
	}
	return b
}

func chunk(out []byte, kind uint32, data []byte) []byte {
	out = binary.LittleEndian.AppendUint32(out, uint32(len(data)))
	out = binary.LittleEndian.AppendUint32(out, kind)
	return append(out, data...)
}
