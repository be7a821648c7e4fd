package glb

import (
	"math"

	"planfold/convert/mesh"
)

// Quat is a rotation as a unit quaternion x, y, z, w; w is the scalar.
type Quat [4]float64

// Still is the rotation that changes nothing.
var Still = Quat{0, 0, 0, 1}

// Mul is q × r: r first, then q.
func (q Quat) Mul(r Quat) Quat {
	return Quat{
		float64(q[3]*r[0]) + float64(q[0]*r[3]) + float64(q[1]*r[2]) - float64(q[2]*r[1]),
		float64(q[3]*r[1]) - float64(q[0]*r[2]) + float64(q[1]*r[3]) + float64(q[2]*r[0]),
		float64(q[3]*r[2]) + float64(q[0]*r[1]) - float64(q[1]*r[0]) + float64(q[2]*r[3]),
		float64(q[3]*r[3]) - float64(q[0]*r[0]) - float64(q[1]*r[1]) - float64(q[2]*r[2]),
	}
}

// Rotation is the rotation that m's upper 3 × 3 part holds, which must be one but
// for rounding: its scalar is not negative, so it turns by at most half a turn.
// The largest of the four is found first and the others divided by it, so that
// no small number is divided by (Shepperd, 1978).
func Rotation(m mesh.Mat) Quat {
	a := func(r, c int) float64 { return m[4*c+r] }
	trace := a(0, 0) + a(1, 1) + a(2, 2)
	q := Quat{a(2, 1) - a(1, 2), a(0, 2) - a(2, 0), a(1, 0) - a(0, 1), 1 + trace}
	best := trace
	for i := range 3 {
		if a(i, i) <= best {
			continue
		}
		best = a(i, i)
		j, k := (i+1)%3, (i+2)%3
		q[i] = 1 + a(i, i) - a(j, j) - a(k, k)
		q[j] = a(i, j) + a(j, i)
		q[k] = a(k, i) + a(i, k)
		q[3] = a(k, j) - a(j, k)
	}
	return q.unit()
}

func (q Quat) unit() Quat {
	l := math.Sqrt(float64(q[0]*q[0]) + float64(q[1]*q[1]) + float64(q[2]*q[2]) + float64(q[3]*q[3]))
	if q[3] < 0 {
		l = -l
	}
	for i := range q {
		q[i] /= l
		if q[i] == 0 {
			q[i] = 0 // no negative zero
		}
	}
	return q
}

// Turn is the rotation by so many turns about a unit axis, right-handed. The
// quaternion moves on steadily with turns, beyond half a turn too: those of turns
// less than half a turn apart have a positive product.
func Turn(axis mesh.Vec, turns float64) Quat {
	c, s := circle(turns / 2)
	return Quat{float64(axis[0] * s), float64(axis[1] * s), float64(axis[2] * s), c}
}

// circle is cosine and sine of so many turns, made of square roots alone (which,
// unlike library sines, are exactly rounded on every machine): half-angle formulas
// give the point for each power of a half, and the points for the binary digits of
// turns are multiplied.
func circle(turns float64) (cos, sin float64) {
	turns -= math.Floor(turns)
	cos, sin = 1, 0
	c, s := -1.0, 0.0 // half a turn
	for range 52 {
		turns *= 2
		if turns >= 1 {
			turns--
			cos, sin = float64(cos*c)-float64(sin*s), float64(cos*s)+float64(sin*c)
		}
		c, s = halfAngle(c, s)
	}
	return cos, sin
}

// halfAngle halves an angle of at most half a turn.
func halfAngle(c, s float64) (cos, sin float64) {
	if c == -1 {
		return 0, 1
	}
	cos = math.Sqrt((1 + c) / 2)
	return cos, s / (2 * cos)
}
