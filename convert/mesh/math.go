package mesh

import "math"

// Vec is a point or direction, in metres.
type Vec [3]float64

func (a Vec) Add(b Vec) Vec { return Vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a Vec) Sub(b Vec) Vec { return Vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

// Scale rounds each product, so that no machine fuses it into a sum.
func (a Vec) Scale(s float64) Vec {
	return Vec{float64(a[0] * s), float64(a[1] * s), float64(a[2] * s)}
}
func (a Vec) Length() float64        { return math.Sqrt(a.Dot(a)) }
func (a Vec) Distance(b Vec) float64 { return a.Sub(b).Length() }

// Dot rounds each product, so that no machine fuses it into the sum.
func (a Vec) Dot(b Vec) float64 {
	return float64(a[0]*b[0]) + float64(a[1]*b[1]) + float64(a[2]*b[2])
}

// Cross is the vector product a × b.
func (a Vec) Cross(b Vec) Vec {
	return Vec{
		float64(a[1]*b[2]) - float64(a[2]*b[1]),
		float64(a[2]*b[0]) - float64(a[0]*b[2]),
		float64(a[0]*b[1]) - float64(a[1]*b[0]),
	}
}

// Unit is a scaled to length 1, or the zero vector if a has no length.
func (a Vec) Unit() Vec {
	l := a.Length()
	if l == 0 {
		return Vec{}
	}
	return Vec{a[0] / l, a[1] / l, a[2] / l}
}

// Mat is an affine 4 × 4 matrix in glTF's order (column-major): m[4*column+row].
type Mat [16]float64

// Identity is the matrix that changes nothing.
func Identity() Mat { return Mat{0: 1, 5: 1, 10: 1, 15: 1} }

// Translation moves by t.
func Translation(t Vec) Mat {
	m := Identity()
	m[12], m[13], m[14] = t[0], t[1], t[2]
	return m
}

// Mul is a × b: b first, then a.
func (a Mat) Mul(b Mat) Mat {
	var m Mat
	for c := range 4 {
		for r := range 4 {
			s := 0.0
			for k := range 4 {
				s += float64(a[4*k+r] * b[4*c+k])
			}
			m[4*c+r] = s
		}
	}
	return m
}

// Point applies m to a position.
func (m Mat) Point(p Vec) Vec {
	return m.Direction(p).Add(Vec{m[12], m[13], m[14]})
}

// Direction applies m to a direction: no translation.
func (m Mat) Direction(d Vec) Vec {
	var out Vec
	for r := range 3 {
		out[r] = float64(m[r]*d[0]) + float64(m[4+r]*d[1]) + float64(m[8+r]*d[2])
	}
	return out
}

// Determinant of the upper 3 × 3 part: negative for a mirrored placement.
func (m Mat) Determinant() float64 {
	x, y, z := Vec{m[0], m[1], m[2]}, Vec{m[4], m[5], m[6]}, Vec{m[8], m[9], m[10]}
	return x.Cross(y).Dot(z)
}

// Box is an axis-parallel box.
type Box struct{ Min, Max Vec }

// EmptyBox contains nothing; add points to it.
func EmptyBox() Box {
	i := math.Inf(1)
	return Box{Vec{i, i, i}, Vec{-i, -i, -i}}
}

// Empty reports whether no point was added.
func (b Box) Empty() bool { return b.Min[0] > b.Max[0] }

// Add grows b to contain p. It is spelt out because min and max would have to think
// of NaN.
func (b *Box) Add(p Vec) {
	for k, x := range p {
		if x < b.Min[k] {
			b.Min[k] = x
		}
		if x > b.Max[k] {
			b.Max[k] = x
		}
	}
}

// Join grows b to contain c.
func (b *Box) Join(c Box) {
	if !c.Empty() {
		b.Add(c.Min)
		b.Add(c.Max)
	}
}

// Centre is the middle of the box.
func (b Box) Centre() Vec { return b.Min.Add(b.Max).Scale(0.5) }

// Diagonal is the length from corner to corner; 0 for an empty box.
func (b Box) Diagonal() float64 {
	if b.Empty() {
		return 0
	}
	return b.Max.Distance(b.Min)
}

// Transform is the box around the eight corners of b moved by m.
func (b Box) Transform(m Mat) Box {
	out := EmptyBox()
	if b.Empty() {
		return out
	}
	for i := range 8 {
		out.Add(m.Point(b.Corner(i)))
	}
	return out
}

// Corner is one of the eight corners, by number.
func (b Box) Corner(i int) Vec {
	p := b.Min
	for k := range 3 {
		if i>>k&1 == 1 {
			p[k] = b.Max[k]
		}
	}
	return p
}
