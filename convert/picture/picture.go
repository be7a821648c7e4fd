// Package picture makes pictures small enough for a device: JPEG and PNG are scaled to
// a longest edge and stay what they are, upright as their camera was held. Nothing is
// made larger, and the same picture gives the same bytes on every machine.
package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	_ "image/gif" // the size of these is told too
	"image/jpeg"
	"image/png"

	_ "golang.org/x/image/bmp"
	_ "golang.org/x/image/webp"
)

// Version changes whenever the same picture may give other bytes.
const Version = "1"

// mostPixels are what a picture may have to be decoded, at up to 16 bytes each:
// a file of a few bytes can claim any number.
const mostPixels = 40_000_000

// ErrHuge says that a picture has too many pixels to be decoded safely.
var ErrHuge = errors.New("more pixels than a device can hold")

// quality of a JPEG that is written again.
const quality = 88

// Fit gives the picture with no edge longer than so many pixels; nil where it is no larger
// as it is.
func Fit(data []byte, edge int) ([]byte, error) {
	config, kind, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("decode the picture: %w", err)
	}
	w, h := config.Width, config.Height
	switch {
	case w <= 0 || h <= 0:
		return nil, errors.New("decode the picture: it has no pixels")
	case int64(w)*int64(h) > mostPixels:
		return nil, fmt.Errorf("%d × %d pixels: %w", w, h, ErrHuge)
	case max(w, h) <= edge:
		return nil, nil
	case kind != "jpeg" && kind != "png":
		return nil, fmt.Errorf("%d × %d pixels: only JPEG and PNG are scaled", w, h)
	}
	source, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("decode the picture: %w", err)
	}
	to := image.Pt(shrunk(w, edge, max(w, h)), shrunk(h, edge, max(w, h)))
	var out bytes.Buffer
	if kind == "png" {
		err = png.Encode(&out, scale(source, to))
	} else {
		err = jpeg.Encode(&out, upright(scale(source, to), orientation(data)), &jpeg.Options{Quality: quality})
	}
	return out.Bytes(), err
}

// shrunk is a length at the scale that makes the longest one as long as the edge.
func shrunk(length, edge, longest int) int {
	return max(1, int((int64(length)*int64(edge)+int64(longest)/2)/int64(longest)))
}
