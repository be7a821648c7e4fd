package raster

import "planfold/convert/mesh"

// Normals are those of a mesh's corners, by triangle, in parts of 127.
type Normals [][3][3]int8

// PackNormals makes Normals of unit vectors.
func PackNormals(normals [][3]mesh.Vec) Normals {
	out := make(Normals, len(normals))
	for i := range normals {
		for k, n := range normals[i] {
			out[i][k] = packed(n, false)
		}
	}
	return out
}

func packed(n mesh.Vec, turned bool) (out [3]int8) {
	for k, x := range n {
		if turned {
			x = -x
		}
		out[k] = int8(float64(x * 127))
	}
	return out
}

// lamps are two soft lights that go with the eye, one over its left shoulder and a
// weaker one from the right, in the frame of a body. All sides get some light.
type lamps struct{ main, side mesh.Vec }

var (
	mainLamp = mesh.Vec{-0.43, 0.66, -0.62} // right, up, away
	sideLamp = mesh.Vec{0.60, 0.05, -0.80}
)

const (
	ambient  = 80.0 // of 255
	mainGain = 128.0
	sideGain = 80.0
)

func lampsFor(v *View, place mesh.Mat) lamps {
	into := func(lamp mesh.Vec) mesh.Vec {
		d := v.Right.Scale(lamp[0]).Add(v.Up.Scale(lamp[1])).Add(v.Toward.Scale(lamp[2]))
		var out mesh.Vec
		for k := range 3 {
			axis := mesh.Vec{place[4*k], place[4*k+1], place[4*k+2]}.Unit()
			out[k] = axis.Dot(d) / 127
		}
		return out
	}
	return lamps{into(mainLamp), into(sideLamp)}
}

// triangle is the light on a triangle's corners; away: its back is seen.
func (l *lamps) triangle(b *Body, i int, away bool) (light [3]uint8) {
	for k, n := range b.Normals[i] {
		at := mesh.Vec{float64(n[0]), float64(n[1]), float64(n[2])}
		m, s := l.main.Dot(at), l.side.Dot(at)
		if away {
			m, s = -m, -s
		}
		light[k] = uint8(min(ambient+float64(mainGain*max(m, 0))+float64(sideGain*max(s, 0)), 255))
	}
	return light
}
