package gltf

import (
	"encoding/binary"
	"math"

	"planfold/convert/diag"
	"planfold/convert/mesh"
)

// decor are the attributes of a primitive beside its positions that are read: the
// first colour and the first texture coordinates (clause 3.7.2.1), nil for none.
type decor struct {
	color, texCoord *accessor
}

// readDecor keeps an attribute if its accessor is as the specification has it;
// another is left out with a code, as the shape is complete without.
func (r *reader) readDecor(d *decor, name string, a *accessor, v int) {
	switch name {
	case "COLOR_0":
		if (a.kind == "VEC3" || a.kind == "VEC4") && (a.component == floatType || a.normal && isShortUnsigned(a.component)) {
			d.color = a
			return
		}
	case "TEXCOORD_0":
		quantized := r.quantized && a.component != uintType
		if a.kind == "VEC2" && (a.component == floatType || a.normal && isShortUnsigned(a.component) || quantized) {
			d.texCoord = a
			return
		}
	default:
		return
	}
	r.skipped.decor(v, 1)
}

func isShortUnsigned(component int) bool { return component == ubyteType || component == ushortType }

// components reads elements of an accessor, whatever they are made of.
type components struct {
	*accessor
	data, values []byte      // of the view, and of what replaces some of it
	replaced     map[int]int // element: where in values
}

func (r *reader) components(a *accessor) *components {
	if a == nil {
		return nil
	}
	if a.components != nil {
		return a.components
	}
	c := &components{accessor: a}
	a.components = c // once, however many primitives share it
	if a.view >= 0 {
		c.data = r.viewed(a.view)
	}
	if s := a.sparse; s != nil && !r.stopped() {
		c.values, c.replaced = r.viewed(s.values.view), map[int]int{}
		r.each(a, func(i, at int) bool {
			c.replaced[i] = s.values.offset + at*s.values.stride
			return true
		})
	}
	return c
}

// read reads as many components as out has, or the element has, and reports whether
// they are finite.
func (c *components) read(i int, out []float32) bool {
	out = out[:min(len(out), elements[c.kind][0])]
	b := c.data
	if at, there := c.replaced[i]; there {
		b = c.values[at:]
	} else if c.view < 0 {
		clear(out) // clause 3.6.2.3
		return true
	} else {
		b = b[c.offset+i*c.stride:]
	}
	for k := range out {
		x := component(b[k*sizes[c.accessor.component]:], c.accessor.component, c.normal)
		if !(math.Abs(x) <= 1e9) {
			return false
		}
		out[k] = float32(x) + 0 // not -0
	}
	return true
}

// component is one, scaled as clause 3.6.2.2 says.
func component(b []byte, component int, normalized bool) (x float64) {
	most := 1.0
	switch component {
	case byteType:
		x, most = float64(int8(b[0])), math.MaxInt8
	case ubyteType:
		x, most = float64(b[0]), math.MaxUint8
	case shortType:
		x, most = float64(int16(binary.LittleEndian.Uint16(b))), math.MaxInt16
	case ushortType:
		x, most = float64(binary.LittleEndian.Uint16(b)), math.MaxUint16
	case floatType:
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
	}
	if normalized {
		x = max(-1, x/most)
	}
	return x
}

// attacher gives triangles the attributes of their corners.
type attacher struct {
	color, texCoord *components
	bad             int
}

// attach takes the corners by their numbers in the accessors.
func (a *attacher) attach(w *mesh.Welder, corners [3]uint32) {
	of := [3]mesh.Attributes{mesh.Plain, mesh.Plain, mesh.Plain}
	for k, n := range corners {
		if a.color != nil {
			if !a.color.read(int(n), of[k].Color[:]) {
				of[k].Color = mesh.Plain.Color
				a.bad++
			}
			for i := range of[k].Color {
				of[k].Color[i] = max(0, min(1, of[k].Color[i]))
			}
		}
		if a.texCoord != nil && !a.texCoord.read(int(n), of[k].TexCoord[:]) {
			of[k].TexCoord = mesh.Plain.TexCoord
			a.bad++
		}
	}
	w.Attach(&of, a.color != nil, a.texCoord != nil)
}

// decor counts attributes left out, at the first.
func (s *skipped) decor(v, n int) {
	if s.attributes == 0 {
		s.attribute = v
	}
	s.attributes += n
}

func (r *reader) noteDecor() {
	if s := &r.skipped; s.attributes > 0 {
		r.list.Add(diag.GeometryAttribute.At(r.at(int(r.values[s.attribute].start)), "%s: accessors or values of colours and texture coordinates that are not as the specification has them: %d",
			r.pointer(s.attribute), s.attributes))
	}
}
