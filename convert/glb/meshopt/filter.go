package meshopt

import (
	"encoding/binary"
	"math"
)

// OctahedralBits is the precision of a coordinate of OctahedralPair.
const OctahedralBits = 8

const octahedralOne = 1<<(OctahedralBits-1) - 1

// PackUnit is the element of the OCTAHEDRAL filter for a unit vector, 4 bytes, and the
// vector that it stands for, as signed normalized bytes. Of the points of the
// octahedron around the vector's own it takes the one that comes closest to it.
// (Cigolle et al., A Survey of Efficient Representations for Independent Unit Vectors, 2014.)
func PackUnit(v [3]float64) (element, decoded [4]byte) {
	x, y := unfold(v)
	best := math.Inf(-1)
	for i := range 4 {
		cx := clampOne(math.Floor(float64(x*octahedralOne)) + float64(i&1))
		cy := clampOne(math.Floor(float64(y*octahedralOne)) + float64(i>>1))
		e := [4]byte{byte(int8(cx)), byte(int8(cy)), octahedralOne, 0}
		d := e
		unpackOctahedral8(d[:])
		if near := cosine(v, d); near > best {
			best, element, decoded = near, e, d
		}
	}
	return element, decoded
}

func clampOne(x float64) float64 { return min(max(x, -octahedralOne), octahedralOne) }

// unfold is the point of the octahedron's net for a direction.
func unfold(v [3]float64) (x, y float64) {
	for k := range v {
		if math.Abs(v[k]) < 1e-9 { // noise around zero would choose among the net's corners
			v[k] = 0
		}
	}
	sum := math.Abs(v[0]) + math.Abs(v[1]) + math.Abs(v[2])
	x, y = v[0]/sum, v[1]/sum
	if v[2] < 0 {
		x, y = math.Copysign(1-math.Abs(y), x), math.Copysign(1-math.Abs(x), y)
	}
	return x, y
}

// cosine of the angle between a unit vector and one of signed bytes.
func cosine(v [3]float64, d [4]byte) float64 {
	dot, length := 0.0, 0.0
	for k, x := range v {
		f := float64(int8(d[k]))
		dot += float64(x * f)
		length += float64(f * f)
	}
	return dot / math.Sqrt(length)
}

// Unfilter undoes a filter in place; it reports whether it knows the filter and
// elements of stride bytes fit it.
func Unfilter(filter string, data []byte, stride int) bool {
	switch {
	case filter == "" || filter == "NONE":
	case filter == "OCTAHEDRAL" && stride == 4:
		for ; len(data) >= 4; data = data[4:] {
			unpackOctahedral8(data)
		}
	case filter == "OCTAHEDRAL" && stride == 8:
		for ; len(data) >= 8; data = data[8:] {
			unpackOctahedral16(data)
		}
	case filter == "EXPONENTIAL" && stride%4 == 0:
		for ; len(data) >= 4; data = data[4:] {
			v := int32(binary.LittleEndian.Uint32(data))
			f := float32(math.Ldexp(float64(v<<8>>8), int(v>>24)))
			binary.LittleEndian.PutUint32(data, math.Float32bits(f))
		}
	default:
		return false
	}
	return true
}

func unpackOctahedral8(b []byte) {
	v := fold([3]float64{float64(int8(b[0])), float64(int8(b[1])), float64(int8(b[2]))}, math.MaxInt8)
	for k, x := range v {
		b[k] = byte(int8(x))
	}
}

func unpackOctahedral16(b []byte) {
	at := func(k int) float64 { return float64(int16(binary.LittleEndian.Uint16(b[2*k:]))) }
	v := fold([3]float64{at(0), at(1), at(2)}, math.MaxInt16)
	for k, x := range v {
		binary.LittleEndian.PutUint16(b[2*k:], uint16(int16(x)))
	}
}

// fold gives the direction of a point of the net, most long, rounded. The third
// number is one.
func fold(p [3]float64, most float64) (v [3]float64) {
	x, y := p[0], p[1]
	z := p[2] - math.Abs(x) - math.Abs(y)
	t := min(z, 0)
	x -= math.Copysign(t, x)
	y -= math.Copysign(t, y)
	length := math.Sqrt(float64(x*x) + float64(y*y) + float64(z*z))
	if length == 0 {
		return v
	}
	for k, c := range [3]float64{x, y, z} {
		v[k] = math.Floor(float64(c/length*most) + 0.5)
	}
	return v
}
