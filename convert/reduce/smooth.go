package reduce

import "planfold/convert/mesh"

// smoothCosine is cos 15°, a hair more: two triangles that are within it of one
// direction meet at 30° at most, which no mesh is shown with an edge at.
const smoothCosine = 0.966

// smooth tells which of the live vertices stand only for vertices of the source around
// which it has no crease. However coarse the surface has become, it is round there.
func (s *surface) smooth() []bool {
	creased, grain := make([]bool, len(s.vertices)), s.source.Grain()
	for i, t := range s.source.Triangles {
		f := &s.triangles[i].facing
		facing := mesh.Vec{float64(f[0]), float64(f[1]), float64(f[2])}
		if facing == (mesh.Vec{}) { // it is thin, or a sliver
			facing = s.source.Facing(t, grain)
		}
		ff := facing.Dot(facing)
		for _, v := range t {
			n := &s.normals[v]
			normal := mesh.Vec{float64(n[0]), float64(n[1]), float64(n[2])}
			d := facing.Dot(normal)
			if ff > 0 && (d <= 0 || float64(d*d) < float64(float64(smoothCosine*smoothCosine)*ff)*normal.Dot(normal)) {
				creased[s.becomes(v)] = true
			}
		}
	}
	for v := range creased {
		creased[v] = !creased[v]
	}
	return creased
}
