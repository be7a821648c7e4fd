package reduce

import (
	"math"

	"planfold/convert/mesh"
)

// builder welds by exact position, as the readers do.
type builder struct {
	m     mesh.Mesh
	index map[mesh.Vec]int32
}

func (b *builder) vertex(p mesh.Vec) int32 {
	if b.index == nil {
		b.index = map[mesh.Vec]int32{}
	}
	i, ok := b.index[p]
	if !ok {
		i = int32(len(b.m.Positions))
		b.index[p] = i
		b.m.Positions = append(b.m.Positions, p)
	}
	return i
}

func (b *builder) triangle(p, q, r mesh.Vec) {
	t := [3]int32{b.vertex(p), b.vertex(q), b.vertex(r)}
	if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
		b.m.Triangles = append(b.m.Triangles, t)
	}
}

// patch adds a grid of nu × nv quads; u × v points outside.
func (b *builder) patch(nu, nv int, at func(i, j int) mesh.Vec) {
	for i := range nu {
		for j := range nv {
			p, q, r, s := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			if (i+j)%2 == 0 {
				b.triangle(p, q, r)
				b.triangle(p, r, s)
			} else {
				b.triangle(p, q, s)
				b.triangle(q, r, s)
			}
		}
	}
}

// box is a cube of edge 1 with n × n quads a face, moved by offset.
func box(n int, offset mesh.Vec) *mesh.Mesh {
	var b builder
	for axis := range 3 {
		for _, end := range [2]float64{0, 1} {
			b.patch(n, n, func(i, j int) mesh.Vec {
				if end == 0 {
					i, j = j, i
				}
				p := mesh.Vec{}
				p[axis] = end
				p[(axis+1)%3], p[(axis+2)%3] = float64(i)/float64(n), float64(j)/float64(n)
				return p.Add(offset)
			})
		}
	}
	return &b.m
}

func circle(i, n int) (x, y float64) {
	s, c := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
	return c, s
}

// sphere has radius 1.
func sphere(nu, nv int) *mesh.Mesh {
	var b builder
	b.patch(nu, nv, func(i, j int) mesh.Vec {
		x, y := circle(i, nu)
		s, c := math.Sincos(math.Pi * float64(j) / float64(nv))
		if j == 0 || j == nv {
			s = 0
		}
		return mesh.Vec{x * s, y * s, -c}
	})
	return &b.m
}

// torus has radii 1 and r.
func torus(nu, nv int, r float64) *mesh.Mesh {
	var b builder
	b.patch(nu, nv, func(i, j int) mesh.Vec {
		x, y := circle(i, nu)
		c, z := circle(j, nv)
		return mesh.Vec{x * (1 + r*c), y * (1 + r*c), r * z}
	})
	return &b.m
}

// cylinder has radius 1, height 2 and flat ends.
func cylinder(nu, nv, rings int) *mesh.Mesh {
	var b builder
	b.patch(nu, nv, func(i, j int) mesh.Vec {
		x, y := circle(i, nu)
		return mesh.Vec{x, y, -1 + 2*float64(j)/float64(nv)}
	})
	for _, z := range [2]float64{-1, 1} {
		b.patch(nu, rings, func(i, j int) mesh.Vec {
			if z < 0 {
				i = nu - i
			}
			x, y := circle(i, nu)
			r := 1 - float64(j)/float64(rings)
			if j == rings {
				return mesh.Vec{0, 0, z}
			}
			return mesh.Vec{x * r, y * r, z}
		})
	}
	return &b.m
}

// panel is an open, wavy sheet of 2 × 1.
func panel(nu, nv int, wave float64) *mesh.Mesh {
	var b builder
	b.patch(nu, nv, func(i, j int) mesh.Vec {
		x, y := 2*float64(i)/float64(nu), float64(j)/float64(nv)
		return mesh.Vec{x, y, wave * math.Sin(3*x) * math.Cos(2*y)}
	})
	return &b.m
}
