package mesh

import "math"

// TriangleDistance2 is the squared distance from p to a triangle, which may have
// no area: above its inside it is the height, elsewhere the nearest edge counts.
func TriangleDistance2(p *Vec, t *[3]Vec) float64 {
	ax, ay, az := p[0]-t[0][0], p[1]-t[0][1], p[2]-t[0][2]
	ux, uy, uz := t[1][0]-t[0][0], t[1][1]-t[0][1], t[1][2]-t[0][2]
	vx, vy, vz := t[2][0]-t[0][0], t[2][1]-t[0][1], t[2][2]-t[0][2]
	uu := float64(ux*ux) + float64(uy*uy) + float64(uz*uz)
	uv := float64(ux*vx) + float64(uy*vy) + float64(uz*vz)
	vv := float64(vx*vx) + float64(vy*vy) + float64(vz*vz)
	au := float64(ax*ux) + float64(ay*uy) + float64(az*uz)
	av := float64(ax*vx) + float64(ay*vy) + float64(az*vz)
	det := float64(uu*vv) - float64(uv*uv)
	s := float64(vv*au) - float64(uv*av)
	r := float64(uu*av) - float64(uv*au)
	if det > 0 && s >= 0 && r >= 0 && s+r <= det {
		// The height comes from the normal: the rest of a long vector less its
		// projections would have no digits left.
		nx := float64(uy*vz) - float64(uz*vy)
		ny := float64(uz*vx) - float64(ux*vz)
		nz := float64(ux*vy) - float64(uy*vx)
		h := float64(ax*nx) + float64(ay*ny) + float64(az*nz)
		if nn := float64(nx*nx) + float64(ny*ny) + float64(nz*nz); nn > 0 {
			return float64(h*h) / nn
		}
	}
	d := math.Inf(1)
	if s <= 0 || det <= 0 || s+r > det {
		d = along(ax, ay, az, vx, vy, vz, av, vv)
	}
	if r <= 0 || det <= 0 || s+r > det {
		d = min(d, along(ax, ay, az, ux, uy, uz, au, uu))
	}
	if s+r >= det || det <= 0 {
		wx, wy, wz := vx-ux, vy-uy, vz-uz
		bx, by, bz := ax-ux, ay-uy, az-uz
		bw := float64(bx*wx) + float64(by*wy) + float64(bz*wz)
		ww := float64(wx*wx) + float64(wy*wy) + float64(wz*wz)
		d = min(d, along(bx, by, bz, wx, wy, wz, bw, ww))
	}
	return d
}

// along is the squared distance from a to the segment from 0 to u, au being a·u.
func along(ax, ay, az, ux, uy, uz, au, uu float64) float64 {
	f := 0.0
	if au > 0 {
		f = 1
		if au < uu {
			f = au / uu
		}
	}
	x, y, z := ax-float64(f*ux), ay-float64(f*uy), az-float64(f*uz)
	return float64(x*x) + float64(y*y) + float64(z*z)
}
