// Quadrics after M. Garland and P. Heckbert, "Surface simplification using
// quadric error metrics", 1997, weighted by area as in P. Lindstrom and G. Turk,
// "Fast and memory efficient polygonal simplification", 1998.

package reduce

import "planfold/convert/mesh"

// quadric is the sum of squared distances to planes, as a function of the offset
// d from a reference point, less its value there: d'Ad + 2 b·d. A vertex keeps its
// quadric relative to its own position, so that nothing is lost to the difference of
// large numbers.
type quadric struct {
	xx, xy, xz, yy, yz, zz float64
	x, y, z                float64
}

// addPlane adds the plane through the reference point with unit normal n.
func (q *quadric) addPlane(n mesh.Vec, weight float64) {
	x, y, z := weight*n[0], weight*n[1], weight*n[2]
	q.xx += float64(x * n[0])
	q.xy += float64(x * n[1])
	q.xz += float64(x * n[2])
	q.yy += float64(y * n[1])
	q.yz += float64(y * n[2])
	q.zz += float64(z * n[2])
}

// trace is the sum of the weights of all planes.
func (q *quadric) trace() float64 { return q.xx + q.yy + q.zz }

// gradient is half the slope of q at offset d.
func (q *quadric) gradient(d mesh.Vec) mesh.Vec {
	return mesh.Vec{
		q.x + float64(q.xx*d[0]) + float64(q.xy*d[1]) + float64(q.xz*d[2]),
		q.y + float64(q.xy*d[0]) + float64(q.yy*d[1]) + float64(q.yz*d[2]),
		q.z + float64(q.xz*d[0]) + float64(q.yz*d[1]) + float64(q.zz*d[2]),
	}
}

// at is the value of q at offset d.
func (q *quadric) at(d mesh.Vec) float64 {
	g := q.gradient(d)
	return float64(d[0]*(q.x+g[0])) + float64(d[1]*(q.y+g[1])) + float64(d[2]*(q.z+g[2]))
}

// move makes the point at offset d the reference.
func (q *quadric) move(d mesh.Vec) {
	g := q.gradient(d)
	q.x, q.y, q.z = g[0], g[1], g[2]
}

// add adds o, which must have the same reference.
func (q *quadric) add(o *quadric) {
	q.xx += o.xx
	q.xy += o.xy
	q.xz += o.xz
	q.yy += o.yy
	q.yz += o.yz
	q.zz += o.zz
	q.x += o.x
	q.y += o.y
	q.z += o.z
}

const (
	// stiffness pulls the best point towards the middle of its edge where the
	// planes leave it free, as a share of the quadric's weight.
	stiffness = 1e-8
	// shortFirst makes shorter edges go first where all errors vanish.
	shortFirst = 2.5e-12
	// reach bounds how far from the middle the best point may lie, squared, in edge lengths.
	reach = 6.25
)

// bestOf is the best of the middle and the two ends of an edge, which leads from the
// reference point.
func (q *quadric) bestOf(edge mesh.Vec) (d mesh.Vec, cost float64) {
	d = edge.Scale(0.5)
	cost = q.at(d)
	for _, e := range [2]mesh.Vec{{}, edge} {
		if c := q.at(e); c < cost {
			d, cost = e, c
		}
	}
	return d, cost
}

// solve is the offset at which q is least when soft is added to its curvature.
func (q *quadric) solve(soft float64) mesh.Vec {
	// A = LDL', which needs no pivots as A is positive definite.
	i0 := 1 / (q.xx + soft)
	l10 := q.xy * i0
	l20 := q.xz * i0
	i1 := 1 / (q.yy + soft - float64(l10*q.xy))
	m21 := q.yz - float64(l20*q.xy)
	l21 := m21 * i1
	i2 := 1 / (q.zz + soft - float64(l20*q.xz) - float64(l21*m21))
	y1 := q.y - float64(l10*q.x)
	y2 := q.z - float64(l20*q.x) - float64(l21*y1)
	z := -y2 * i2
	y := float64(-y1*i1) - float64(l21*z)
	x := float64(-q.x*i0) - float64(l10*y) - float64(l20*z)
	return mesh.Vec{x, y, z}
}
