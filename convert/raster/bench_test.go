package raster

import (
	"testing"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// A step of the usual size: 150,000 triangles in 180 bodies that stand one behind the other,
// and one of as many triangles in 1,200 bodies, most of which are new.
func BenchmarkPicture(b *testing.B) {
	for _, c := range []struct {
		name                       string
		ball                       *mesh.Mesh
		wide, deep, focus, present int
	}{
		{"usual", solid.Sphere(0.04, 20, 22), 6, 6, 20, 160},
		{"screws", solid.Sphere(0.01, 8, 9), 24, 25, 1000, 200},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.Logf("%d triangles a body", len(c.ball.Triangles))
			normals := make([][3]mesh.Vec, len(c.ball.Triangles))
			for i, t := range c.ball.Triangles {
				for k := range t {
					normals[i][k] = c.ball.Positions[t[k]].Unit()
				}
			}
			var bodies []Body
			for i := range c.focus + c.present {
				at := mesh.Vec{float64(i%c.wide) * 0.42 / float64(c.wide), float64(i/c.wide%c.deep) * 0.42 / float64(c.deep), float64(i/(c.wide*c.deep)) * 0.07}
				bodies = append(bodies, Body{c.ball, PackNormals(normals), mesh.Translation(at), int32(i)})
			}
			p := Picture{
				View:  Perspective(mesh.Vec{0.7, -1, 0.9}, mesh.Vec{0.17, 0.17, 0.14}, mesh.Vec{0, 0, 1}, 0.6, 0.1, 960, 720),
				Width: 960, Height: 720, Context: bodies[c.focus:], Focus: bodies[:c.focus], Home: bodies[:c.focus/2],
			}
			for i := range bodies[:c.focus] {
				at := bodies[i].Place.Point(mesh.Vec{})
				p.Paths = append(p.Paths, Path{From: at, To: at.Add(mesh.Vec{0, 0, -0.1}), Number: int32(i), Thin: i%4 > 0})
			}
			for b.Loop() {
				if _, err := p.PNG(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
