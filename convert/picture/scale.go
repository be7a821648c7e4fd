package picture

import (
	"image"
	"image/draw"
	"math"
)

// The filter is the cubic of R. Keys, "Cubic convolution interpolation for digital image
// processing", 1981, widened by the scale so that nothing finer than a pixel is left. It
// is applied in whole numbers: what a machine fuses or rounds makes no difference.

const (
	weightBits = 14
	rowBits    = 6 // of fraction in a row that is scaled across
	reach      = 2 // of the filter, in pixels of the result
)

// span is what one pixel of the result takes of the source: weights of the pixels from
// first on.
type span struct {
	first   int
	weights []int32
}

func keys(x float64) float64 {
	x = math.Abs(x)
	switch {
	case x < 1:
		return float64(float64(float64(1.5*x)-2.5)*float64(x*x)) + 1
	case x < 2:
		return float64(float64(float64(float64(2.5-float64(0.5*x))*x)-4)*x) + 2
	}
	return 0
}

func spans(from, to int) []span {
	ratio := float64(from) / float64(to)
	out := make([]span, to)
	for i := range out {
		centre := float64((float64(i) + 0.5) * ratio)
		first := max(0, int(math.Floor(centre-float64(reach*ratio))))
		last := min(from, int(math.Ceil(centre+float64(reach*ratio))))
		raw := make([]float64, last-first)
		total := 0.0
		for k := range raw {
			raw[k] = keys((float64(first+k) + 0.5 - centre) / ratio)
			total += raw[k]
		}
		out[i] = span{first, whole(raw, total)}
	}
	return out
}

// whole makes weights of which the sum is exactly one.
func whole(raw []float64, total float64) []int32 {
	out := make([]int32, len(raw))
	rest, largest := int32(1<<weightBits), 0
	for k, w := range raw {
		out[k] = int32(math.Floor(float64(w/total*(1<<weightBits)) + 0.5))
		rest -= out[k]
		if out[k] > out[largest] {
			largest = k
		}
	}
	out[largest] += rest
	return out
}

// scale makes an upright picture of that size; one of greys stays one.
func scale(source image.Image, to image.Point) draw.Image {
	bounds := source.Bounds()
	across, down := spans(bounds.Dx(), to.X), spans(bounds.Dy(), to.Y)
	var row, out pixels
	switch source.(type) {
	case *image.Gray, *image.Gray16:
		row, out = greys(bounds.Dx(), 1), greys(to.X, to.Y)
	default:
		row, out = colours(bounds.Dx(), 1), colours(to.X, to.Y)
	}
	height := 0
	for _, s := range down {
		height = max(height, len(s.weights))
	}
	ring, next := make([][]int32, height), 0
	for y, s := range down {
		for ; next < s.first+len(s.weights); next++ {
			draw.Draw(row.image, row.image.Bounds(), source, image.Pt(bounds.Min.X, bounds.Min.Y+next), draw.Src)
			ring[next%height] = row.across(across, ring[next%height])
		}
		out.down(y, s, ring)
	}
	return out.image
}

// pixels are an image's, with so many values each.
type pixels struct {
	image   draw.Image
	pix     []uint8
	stride  int
	samples int
}

func greys(w, h int) pixels {
	m := image.NewGray(image.Rect(0, 0, w, h))
	return pixels{m, m.Pix, m.Stride, 1}
}

// colours are multiplied by their opacity, so that what cannot be seen lends none.
func colours(w, h int) pixels {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	return pixels{m, m.Pix, m.Stride, 4}
}

// across scales the first row.
func (p *pixels) across(spans []span, out []int32) []int32 {
	if out == nil {
		out = make([]int32, len(spans)*p.samples)
	}
	for x, s := range spans {
		for c := range p.samples {
			sum, at := int32(1<<(weightBits-rowBits-1)), s.first*p.samples+c
			for _, w := range s.weights {
				sum += w * int32(p.pix[at])
				at += p.samples
			}
			out[x*p.samples+c] = sum >> (weightBits - rowBits)
		}
	}
	return out
}

// down makes row y of rows that were scaled across; row n is at n modulo their number.
func (p *pixels) down(y int, s span, ring [][]int32) {
	to := p.pix[y*p.stride:][:p.image.Bounds().Dx()*p.samples]
	for i := range to {
		sum := int64(1 << (weightBits + rowBits - 1))
		for k, w := range s.weights {
			sum += int64(w) * int64(ring[(s.first+k)%len(ring)][i])
		}
		to[i] = uint8(min(max(sum>>(weightBits+rowBits), 0), 255))
	}
	if p.samples == 4 { // no colour is more than its opacity
		for i := 0; i < len(to); i += 4 {
			for c := range 3 {
				to[i+c] = min(to[i+c], to[i+3])
			}
		}
	}
}
