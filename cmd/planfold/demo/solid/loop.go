package solid

import "math"

// Point is a point of a section's plane.
type Point [2]float64

// Loop is a closed line, counter-clockwise around material, clockwise around a
// hole.
type Loop []Point

// Circle about c, counter-clockwise from angle 0, with n points.
func Circle(c Point, r float64, n int) Loop {
	l := make(Loop, n)
	for i := range l {
		sin, cos := sincos(i, n)
		l[i] = Point{c[0] + float64(r*cos), c[1] + float64(r*sin)}
	}
	return l
}

// sincos of i/n of a turn; exact at the quarters, so that halves of a housing
// meet.
func sincos(i, n int) (sin, cos float64) {
	switch 4 * i {
	case 0:
		return 0, 1
	case n:
		return 1, 0
	case 2 * n:
		return 0, -1
	case 3 * n:
		return -1, 0
	}
	return math.Sincos(2 * math.Pi * float64(i) / float64(n))
}

// Rectangle from corner to corner.
func Rectangle(x0, y0, x1, y1 float64) Loop {
	return Loop{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// Reversed runs the other way round.
func (l Loop) Reversed() Loop {
	out := make(Loop, len(l))
	for i, p := range l {
		out[len(l)-1-i] = p
	}
	return out
}

// Scaled is l scaled by k about the origin.
func (l Loop) Scaled(k float64) Loop {
	out := make(Loop, len(l))
	for i, p := range l {
		out[i] = Point{p[0] * k, p[1] * k}
	}
	return out
}

// Rounded is l with each corner rounded by radius r, with n points a corner.
func (l Loop) Rounded(r float64, n int) Loop {
	var out Loop
	for i, p := range l {
		a, b := l[(i+len(l)-1)%len(l)], l[(i+1)%len(l)]
		u, v := direction(p, a), direction(p, b)
		half := math.Acos(float64(u[0]*v[0])+float64(u[1]*v[1])) / 2
		reach := r / math.Tan(half)
		mid := direction(Point{}, Point{u[0] + v[0], u[1] + v[1]})
		centre := Point{p[0] + mid[0]*r/math.Sin(half), p[1] + mid[1]*r/math.Sin(half)}
		from := Point{p[0] + u[0]*reach, p[1] + u[1]*reach}
		to := Point{p[0] + v[0]*reach, p[1] + v[1]*reach}
		start := math.Atan2(from[1]-centre[1], from[0]-centre[0])
		turn := math.Remainder(math.Atan2(to[1]-centre[1], to[0]-centre[0])-start, 2*math.Pi)
		for k := range n {
			sin, cos := math.Sincos(start + turn*float64(k)/float64(n-1))
			out = append(out, Point{centre[0] + r*cos, centre[1] + r*sin})
		}
	}
	return out
}

func direction(from, to Point) Point {
	x, y := to[0]-from[0], to[1]-from[1]
	d := math.Sqrt(float64(x*x) + float64(y*y))
	return Point{x / d, y / d}
}

// Hexagon of the given width across flats with n points a side.
func Hexagon(flats float64, n int) Loop {
	var out Loop
	corner := func(i int) Point {
		sin, cos := math.Sincos(math.Pi / 3 * float64(i))
		e := flats / math.Sqrt(3)
		return Point{e * cos, e * sin}
	}
	for i := range 6 {
		a, b := corner(i), corner(i+1)
		for k := range n {
			t := float64(k) / float64(n)
			out = append(out, Point{a[0] + (b[0]-a[0])*t, a[1] + (b[1]-a[1])*t})
		}
	}
	return out
}

// Keyed is a circle of radius r about the origin with n points or a few more,
// twice with the same points but at the top: once whole, once with a key's slot
// of the given width, whose floor stands at height floor.
func Keyed(r, width, floor float64, n int) (whole, slotted Loop) {
	half := math.Asin(width / 2 / r)
	start, end := math.Pi/2+half, 5*math.Pi/2-half
	for i := range n + 1 {
		sin, cos := math.Sincos(start + (end-start)*float64(i)/float64(n))
		whole = append(whole, Point{r * cos, r * sin})
	}
	slotted = append(append(Loop{}, whole...), Point{width / 2, floor}, Point{-width / 2, floor})
	for i := 1; i < 6; i++ {
		sin, cos := math.Sincos(end + 2*half*float64(i)/6)
		whole = append(whole, Point{r * cos, r * sin})
	}
	return whole, slotted
}

// area of l, positive counter-clockwise.
func (l Loop) area() float64 {
	a := 0.0
	for i, p := range l {
		q := l[(i+1)%len(l)]
		a += float64(p[0]*q[1]) - float64(p[1]*q[0])
	}
	return a / 2
}

// contains reports whether p lies inside l, by crossings.
func (l Loop) contains(p Point) bool {
	in := false
	for i, a := range l {
		b := l[(i+1)%len(l)]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < (b[0]-a[0])*(p[1]-a[1])/(b[1]-a[1])+a[0] {
			in = !in
		}
	}
	return in
}

// Offset is the straight-sided counter-clockwise loop l grown by d on all sides.
func (l Loop) Offset(d float64) Loop {
	out := make(Loop, len(l))
	for i, p := range l {
		u := direction(l[(i+len(l)-1)%len(l)], p)
		v := direction(p, l[(i+1)%len(l)])
		// The corner moves along the sum of both outward normals.
		n := Point{u[1] + v[1], -u[0] - v[0]}
		k := d / (1 + float64(u[0]*v[0]) + float64(u[1]*v[1]))
		out[i] = Point{p[0] + float64(n[0]*k), p[1] + float64(n[1]*k)}
	}
	return out
}
