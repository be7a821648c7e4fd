package reduce

import "math"

// smoothCosine is cos 15°, a hair more: two triangles that are within it of one
// direction meet at 30° at most, which no mesh is shown with an edge at.
const smoothCosine = 0.966

// smooth tells which of the live vertices stand only for vertices of the source around
// which it has no crease. However coarse the surface has become, it is round there.
func (s *surface) smooth() []bool {
	creased, grain := make([]bool, len(s.vertices)), -1.0
	for i, t := range s.source.Triangles {
		f := &s.triangles[i].facing
		fx, fy, fz := float64(f[0]), float64(f[1]), float64(f[2])
		if fx == 0 && fy == 0 && fz == 0 { // it is thin, or a sliver
			if grain < 0 {
				grain = s.source.Grain()
			}
			facing := s.source.Facing(t, grain)
			fx, fy, fz = facing[0], facing[1], facing[2]
		}
		least := float64(smoothCosine*smoothCosine) * (float64(fx*fx) + float64(fy*fy) + float64(fz*fz))
		if least == 0 {
			continue
		}
		for _, v := range t {
			n := &s.normals[v]
			nx, ny, nz := float64(n[0]), float64(n[1]), float64(n[2])
			d := float64(fx*nx) + float64(fy*ny) + float64(fz*nz)
			if float64(d*math.Abs(d)) <= float64(least*(float64(nx*nx)+float64(ny*ny)+float64(nz*nz))) {
				creased[s.becomes(v)] = true
			}
		}
	}
	for v := range creased {
		creased[v] = !creased[v]
	}
	return creased
}
