package sweep

import (
	"cmp"
	"math"
	"slices"

	"planfold/convert/mesh"
)

// facing is how much of a body's surface faces one way or the opposite way.
type facing struct {
	normal mesh.Vec // of unit length
	area   float64
}

const (
	facings   = 48   // of the largest area, of which axes are made
	planeFrom = 0.04 // a share of the surface that faces one way is a plane
	bandFrom  = 0.15 // a share that faces across an axis, in bandSides ways or more, is a cylinder
	bandSides = 6    // opposite ones count once: a hexagon has 3
	bandSlant = 0.05 // sine of the angle that a cylinder's facets are off by
)

// Axes lists the axes of a body's own cylinders, and those across its own planes, those
// of more surface first. They are unit vectors; either way along them is meant.
func (b *Body) Axes() (cylinders, planes []mesh.Vec) {
	all, total := b.facings()
	for _, f := range all {
		if f.area >= planeFrom*total {
			planes = append(planes, f.normal)
		}
	}
	return cylindersOf(all, bandFrom*total), planes
}

// facings are the largest of a body's surface, and the area of all of it.
func (b *Body) facings() (list []facing, total float64) {
	at := map[[3]int16]int{}
	for i := range b.Shells {
		s := &b.Shells[i]
		points := make([]mesh.Vec, len(s.Mesh.Positions))
		for k, p := range s.Mesh.Positions {
			points[k] = s.At.Point(p)
		}
		for _, t := range s.Mesh.Triangles {
			n := points[t[1]].Sub(points[t[0]]).Cross(points[t[2]].Sub(points[t[0]]))
			area := n.Length()
			if area == 0 {
				continue
			}
			key, n := folded(n, 512/area)
			k, known := at[key]
			if !known {
				k = len(list)
				at[key] = k
				list = append(list, facing{})
			}
			list[k].normal = list[k].normal.Add(n)
			list[k].area += area
			total += area
		}
	}
	slices.SortStableFunc(list, func(a, b facing) int { return cmp.Compare(b.area, a.area) })
	list = list[:min(len(list), facings)]
	for i := range list {
		list[i].normal = list[i].normal.Unit()
	}
	return list, total
}

// folded rounds a vector after scaling, and turns it about where the first number that
// is left is negative, so that opposite ones are one.
func folded(v mesh.Vec, scale float64) (key [3]int16, out mesh.Vec) {
	for k, x := range v.Scale(scale) {
		key[k] = int16(math.Floor(x + 0.5))
	}
	for _, x := range key {
		if x < 0 {
			return [3]int16{-key[0], -key[1], -key[2]}, v.Scale(-1)
		}
		if x > 0 {
			break
		}
	}
	return key, v
}

// cylindersOf finds axes across which bands of surface face. Two normals of a cylinder
// give its axis as their product, whichever two; what more pairs agree on comes first.
func cylindersOf(all []facing, least float64) (out []mesh.Vec) {
	at := map[[3]int16]int{}
	var votes []facing
	for i, a := range all {
		for _, b := range all[:i] {
			axis := a.normal.Cross(b.normal)
			sine := axis.Length()
			if sine < 0.1 {
				continue
			}
			key, axis := folded(axis.Scale(float64(a.area*b.area)), 64/float64(sine*float64(a.area*b.area)))
			k, known := at[key]
			if !known {
				k = len(votes)
				at[key] = k
				votes = append(votes, facing{})
			}
			votes[k].normal = votes[k].normal.Add(axis)
			votes[k].area += float64(sine * float64(a.area*b.area))
		}
	}
	slices.SortStableFunc(votes, func(a, b facing) int { return cmp.Compare(b.area, a.area) })
	for _, v := range votes[:min(len(votes), 8)] {
		axis, sides, area := upright(all, v.normal.Unit())
		if sides >= bandSides && area >= least && !slices.ContainsFunc(out, func(o mesh.Vec) bool { return Along(o, axis) }) {
			out = append(out, axis)
		}
	}
	return out
}

// upright turns an axis a little to stand across the band of normals that it is nearly
// across, by least squares, and tells how many and how much of the surface they are.
func upright(all []facing, axis mesh.Vec) (out mesh.Vec, sides int, area float64) {
	for range 2 {
		u, v := across(axis)
		var uu, uv, vv, u0, v0 float64
		sides, area = 0, 0
		for _, f := range all {
			n, x, y := f.normal.Dot(axis), f.normal.Dot(u), f.normal.Dot(v)
			if math.Abs(n) > bandSlant {
				continue
			}
			uu, uv, vv = uu+float64(f.area*float64(x*x)), uv+float64(f.area*float64(x*y)), vv+float64(f.area*float64(y*y))
			u0, v0 = u0+float64(f.area*float64(n*x)), v0+float64(f.area*float64(n*y))
			sides++
			area += f.area
		}
		if det := float64(uu*vv) - float64(uv*uv); det > 1e-6*float64(area*area) {
			axis = axis.Sub(u.Scale((float64(u0*vv) - float64(v0*uv)) / det)).Sub(v.Scale((float64(v0*uu) - float64(u0*uv)) / det)).Unit()
		}
	}
	return axis, sides, area
}

// Along tells whether two unit vectors point the same way or opposite ways, but for a
// degree.
func Along(a, b mesh.Vec) bool { return a.Cross(b).Length() < 0.0175 }
