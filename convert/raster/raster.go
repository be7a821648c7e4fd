// Package raster draws triangles without a graphics processor: who is seen where, and
// pictures of a step.
//
// A View says from where, and how a place becomes a sample. A Buffer keeps, of each
// sample, what is nearest; Buffer.Draw fills it with meshes, so that one can count
// what of whom is seen. Picture shades such buffers, draws edges and makes a PNG.
//
// It knows nothing of plans and parts but that some bodies are what a picture is about
// and others only say where. It has no text and no state. The same bodies give the same
// bytes on any machine: products are rounded before they are added, and of the functions
// of math only the exactly rounded ones are used.
package raster

import "math"

// Version changes whenever the same bodies may give another picture.
const Version = "5"

// None is the tag of a sample where there is nothing.
const None = -1

// Buffer keeps of each sample what is nearest to the eye. Rows run down.
type Buffer struct {
	Width, Height int
	Tags          []int32 // what Draw was given, or None

	top   int       // the first row, of a buffer that is a band of a larger one
	near  []float32 // larger is nearer
	light []uint8   // nil for a buffer that is not shaded
	last  projection
}

// NewBuffer is an empty buffer.
func NewBuffer(width, height int) *Buffer {
	n := width * height
	b := &Buffer{Width: width, Height: height, Tags: make([]int32, n), near: make([]float32, n)}
	b.Clear()
	return b
}

// Clear empties the buffer.
func (b *Buffer) Clear() { b.clear(0, b.Width) }

// clear empties columns.
func (b *Buffer) clear(from, to int) {
	for row := 0; row < len(b.Tags); row += b.Width {
		tags, near := b.Tags[row+from:row+to], b.near[row+from:row+to]
		for i := range tags {
			tags[i] = None
		}
		for i := range near {
			near[i] = -math.MaxFloat32
		}
	}
}

// Copy takes over what a buffer of the same size has.
func (b *Buffer) Copy(from *Buffer) {
	copy(b.Tags, from.Tags)
	copy(b.near, from.near)
}

// Draw fills in a mesh under one tag, which is not negative.
func (b *Buffer) Draw(v *View, m *Placed, tag int32) {
	p := &b.last
	p.view, p.points = v, p.points[:0]
	p.add(m)
	for _, t := range m.triangles {
		for c := range p.beyond(t) {
			if !p.closed || !p.away(c) {
				b.fill(&p.points[c[0]], &p.points[c[1]], &p.points[c[2]], tag)
			}
		}
	}
}

// point is a corner as the buffer sees it: whole x and y are the middles of samples.
type point struct{ x, y, near, light float64 }

// fill draws a triangle. A sample belongs to it if its middle lies inside, or on an
// edge that has the inside at its right or below: triangles that share an edge leave no
// sample out and share none, since both reckon the edge from its upper end.
func (b *Buffer) fill(p, q, r *point, tag int32) {
	if q.y < p.y {
		p, q = q, p
	}
	if r.y < p.y {
		p, r = r, p
	}
	if r.y < q.y {
		q, r = r, q
	}
	first, last := ceil(p.y, b.top, b.top+b.Height), ceil(r.y, b.top, b.top+b.Height)
	qx, qy, rx, ry := q.x-p.x, q.y-p.y, r.x-p.x, r.y-p.y
	area := float64(qx*ry) - float64(rx*qy)
	if first >= last || area < 1e-9 && area > -1e-9 {
		return
	}
	gradient := func(dq, dr float64) (x, y float64) {
		return (float64(dq*ry) - float64(dr*qy)) / area, (float64(dr*qx) - float64(dq*rx)) / area
	}
	nx, ny := gradient(q.near-p.near, r.near-p.near)
	lx, ly := gradient(q.light-p.light, r.light-p.light)
	long, upper, lower := rx/ry, qx/qy, (r.x-q.x)/(r.y-q.y)
	for y := first; y < last; y++ {
		down := float64(y) - p.y
		left, right := p.x+float64(down*long), p.x+float64(down*upper)
		if float64(y) >= q.y {
			right = q.x + float64((float64(y)-q.y)*lower)
		}
		if area < 0 {
			left, right = right, left
		}
		from, to := ceil(left, 0, b.Width), ceil(right, 0, b.Width)
		if from >= to {
			continue
		}
		across := float64(from) - p.x
		s := span{
			p.near + float64(across*nx) + float64(down*ny), nx,
			p.light + float64(across*lx) + float64(down*ly), lx,
		}
		row := (y - b.top) * b.Width
		near, tags := b.near[row+from:row+to], b.Tags[row+from:row+to]
		if b.light == nil {
			s.fill(near, tags, tag)
		} else {
			s.shade(near, tags, b.light[row+from:row+to], tag)
		}
	}
}

// span is a row of a triangle: what its first sample has, and how that grows.
type span struct{ near, nearBy, light, lightBy float64 }

func (s *span) fill(near []float32, tags []int32, tag int32) {
	tags = tags[:len(near)]
	n := s.near
	for i := range near {
		if v := float32(n); v > near[i] {
			near[i], tags[i] = v, tag
		}
		n += s.nearBy
	}
}

func (s *span) shade(near []float32, tags []int32, light []uint8, tag int32) {
	tags, light = tags[:len(near)], light[:len(near)]
	n, l := s.near, s.light
	for i := range near {
		if v := float32(n); v > near[i] {
			near[i], tags[i], light[i] = v, tag, uint8(min(max(l, 0), 255))
		}
		n += s.nearBy
		l += s.lightBy
	}
}

// ceil is the least whole number from low to high that is not below v, or high. Low
// must not be negative.
func ceil(v float64, low, high int) int {
	if !(v > float64(low)) {
		return low
	}
	if v >= float64(high) {
		return high
	}
	n := int(v)
	if float64(n) < v {
		n++
	}
	return n
}

// Count is how many samples show each of the tags below n.
func (b *Buffer) Count(n int) []int {
	out := make([]int, n)
	for _, t := range b.Tags {
		if t != None {
			out[t]++
		}
	}
	return out
}
