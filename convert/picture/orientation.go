package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/draw"
)

// How the camera was held stands in a JPEG's Exif segment (CIPA DC-008, 4.6.4, tag 274):
// what is written again has none, so that the pixels are turned.

const orientationTag = 274

// orientation is 1 to 8; 1 where the file does not say.
func orientation(data []byte) int {
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker, size := data[at+1], int(binary.BigEndian.Uint16(data[at+2:]))
		if marker == 0xda || size < 2 || at+2+size > len(data) { // the picture itself
			break
		}
		if body, ok := bytes.CutPrefix(data[at+4:at+2+size], []byte("Exif\x00\x00")); marker == 0xe1 && ok {
			return ofExif(body)
		}
		at += 2 + size
	}
	return 1
}

// ofExif looks through the first directory of a TIFF structure.
func ofExif(b []byte) int {
	if len(b) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.BigEndian
	if b[0] == 'I' {
		order = binary.LittleEndian
	}
	at := int64(order.Uint32(b[4:]))
	if at+2 > int64(len(b)) {
		return 1
	}
	entries := b[at+2:]
	for range order.Uint16(b[at:]) {
		if len(entries) < 12 {
			break
		}
		if v := int(order.Uint16(entries[8:])); order.Uint16(entries) == orientationTag && v >= 1 && v <= 8 {
			return v
		}
		entries = entries[12:]
	}
	return 1
}

// upright turns a picture as its orientation says: where its first row and column are seen.
func upright(m draw.Image, orientation int) image.Image {
	if orientation == 1 {
		return m
	}
	w, h := m.Bounds().Dx(), m.Bounds().Dy()
	size := image.Rect(0, 0, w, h)
	if orientation >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	var out draw.Image = image.NewRGBA(size)
	if _, grey := m.(*image.Gray); grey {
		out = image.NewGray(size)
	}
	for y := range h {
		for x := range w {
			to := [...][2]int{
				2: {w - 1 - x, y}, 3: {w - 1 - x, h - 1 - y}, 4: {x, h - 1 - y},
				5: {y, x}, 6: {h - 1 - y, x}, 7: {h - 1 - y, w - 1 - x}, 8: {y, w - 1 - x},
			}[orientation]
			out.Set(to[0], to[1], m.At(x, y))
		}
	}
	return out
}
