package raster

import (
	"bytes"
	"image"
	"image/png"

	"planfold/convert/mesh"
)

// Body is a mesh in its place. Bodies with one number are one thing: no line is drawn
// where they meet.
type Body struct {
	Mesh    *mesh.Mesh
	Normals Normals
	Place   mesh.Mat
	Number  int32
}

// Picture is what is to be seen of a step.
type Picture struct {
	View          *View
	Width, Height int

	Context []Body
	Focus   []Body // in the accent colour, seen through the context where that hides them
	Still   []Body // of the focus, lighter: what the others are put on
	Home    []Body // ghosts: where the focus goes
	Paths   []Path
	Labels  []Label
}

// Path is how a body of the focus, by its number, goes home: an arrow, or a thin line of
// one that goes as the arrow of another says.
type Path struct {
	From, To mesh.Vec
	Number   int32
	Thin     bool
}

// fine is how many samples a pixel has each way.
const fine = 2

// bandRows is how many rows of pixels are drawn at once: the buffers of a band stay in
// the processor's cache.
const bandRows = 48

// PNG draws the picture.
func (p *Picture) PNG() ([]byte, error) {
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.DefaultCompression}).Encode(&out, p.draw()); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

func (p *Picture) draw() *image.Paletted {
	img := image.NewPaletted(image.Rect(0, 0, p.Width, p.Height), palette)
	s := newSheet(p)
	for y := 0; y < p.Height; y += bandRows {
		s.band(img, y, min(y+bandRows, p.Height))
	}
	return img
}
