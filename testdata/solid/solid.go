// Package solid makes closed meshes for tests, in metres, and lists what scenes show.
package solid

import (
	"math"

	"planfold/convert/mesh"
)

// Box is an axis-parallel box of twelve triangles from lo to hi.
func Box(lo, hi mesh.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		p := lo
		for k := range 3 {
			if i>>k&1 == 1 {
				p[k] = hi[k]
			}
		}
		m.Positions = append(m.Positions, p)
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Triangles = append(m.Triangles, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// Cylinder stands on the origin along Z: 4 × sides triangles. Its caps are group 1
// if caps is set.
func Cylinder(radius, height float64, sides int, caps bool) *mesh.Mesh {
	m := &mesh.Mesh{Positions: []mesh.Vec{{0, 0, 0}, {0, 0, height}}}
	n := int32(sides)
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		m.Positions = append(m.Positions, mesh.Vec{radius * c, radius * s, 0}, mesh.Vec{radius * c, radius * s, height})
	}
	for i := range n {
		a, b := 2+2*i, 2+2*((i+1)%n)
		m.Triangles = append(m.Triangles, [3]int32{a, b, b + 1}, [3]int32{a, b + 1, a + 1}, [3]int32{0, b, a}, [3]int32{1, a + 1, b + 1})
		if caps {
			m.Group = append(m.Group, 0, 0, 1, 1)
		}
	}
	return m
}

// Sphere is a sphere about the origin: 2 × sides × (rings - 1) triangles.
func Sphere(radius float64, sides, rings int) *mesh.Mesh {
	m := &mesh.Mesh{Positions: []mesh.Vec{{0, 0, radius}, {0, 0, -radius}}}
	at := func(ring, side int) int32 { return int32(2 + (ring-1)*sides + side%sides) }
	for r := 1; r < rings; r++ {
		sin, cos := math.Sincos(math.Pi * float64(r) / float64(rings))
		for i := range sides {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(sides))
			m.Positions = append(m.Positions, mesh.Vec{radius * sin * c, radius * sin * s, radius * cos})
		}
	}
	for i := range sides {
		m.Triangles = append(m.Triangles, [3]int32{0, at(1, i), at(1, i+1)}, [3]int32{1, at(rings-1, i+1), at(rings-1, i)})
		for r := 1; r < rings-1; r++ {
			a, b, c, d := at(r, i), at(r+1, i), at(r+1, i+1), at(r, i+1)
			m.Triangles = append(m.Triangles, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	return m
}
