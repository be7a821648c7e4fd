package raster

import (
	"testing"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// A step of the usual size: 150,000 triangles in 180 bodies that stand one behind the other.
func BenchmarkPicture(b *testing.B) {
	ball := solid.Sphere(0.04, 20, 22)
	b.Logf("%d triangles a body", len(ball.Triangles))
	normals := make([][3]mesh.Vec, len(ball.Triangles))
	for i, t := range ball.Triangles {
		for k := range t {
			normals[i][k] = ball.Positions[t[k]].Unit()
		}
	}
	var bodies []Body
	for i := range 180 {
		at := mesh.Vec{float64(i%6) * 0.07, float64(i/6%6) * 0.07, float64(i/36) * 0.07}
		bodies = append(bodies, Body{ball, PackNormals(normals), mesh.Translation(at), int32(i)})
	}
	p := Picture{
		View:  Perspective(mesh.Vec{0.7, -1, 0.9}, mesh.Vec{0.17, 0.17, 0.14}, mesh.Vec{0, 0, 1}, 0.6, 0.1, 960, 720),
		Width: 960, Height: 720, Context: bodies[20:], Focus: bodies[:20], Home: bodies[:10],
	}
	for i := range bodies[:20] {
		at := bodies[i].Place.Point(mesh.Vec{})
		p.Paths = append(p.Paths, Path{From: at, To: at.Add(mesh.Vec{0, 0, -0.1}), Number: int32(i), Thin: i%4 > 0})
	}
	for b.Loop() {
		if _, err := p.PNG(); err != nil {
			b.Fatal(err)
		}
	}
}
