package scene

import (
	"math"

	"planfold/convert/glb"
	"planfold/convert/mesh"
)

// stretch says what a matrix does to sizes and angles: singular values are the
// lengths that unit vectors can take, found as the roots of the eigenvalues of
// AᵀA. (Golub and Van Loan, Matrix Computations, 8.5: cyclic Jacobi rotations.)
type stretch struct {
	smallest, largest               float64
	scaled, sheared, mirrored, flat bool
}

// Plans write matrices with few decimals; what rounding does is not told.
const (
	scaleNoise = 1e-4
	shearNoise = 1e-5
)

// Stretch is the most that m lengthens anything; 0 of what flattens to nothing or is no
// matrix of numbers.
func Stretch(m mesh.Mat) float64 { return stretchOf(m).largest }

func stretchOf(m mesh.Mat) stretch {
	for _, x := range m {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return stretch{flat: true}
		}
	}
	ata := gram(m)
	values, _ := eigen(ata)
	s := stretch{smallest: math.Inf(1), mirrored: m.Determinant() < 0}
	for _, v := range values {
		root := math.Sqrt(max(v, 0))
		s.smallest, s.largest = min(s.smallest, root), max(s.largest, root)
	}
	s.flat = s.smallest <= float64(1e-9*s.largest)
	s.scaled = math.Abs(s.smallest-1) > scaleNoise || math.Abs(s.largest-1) > scaleNoise
	for i := range 3 {
		for j := range i {
			if math.Abs(ata[i][j]) > float64(shearNoise*math.Sqrt(float64(ata[i][i]*ata[j][j]))) {
				s.sheared = true
			}
		}
	}
	return s
}

// gram is AᵀA of the upper 3 × 3 part.
func gram(m mesh.Mat) (ata [3][3]float64) {
	columns := [3]mesh.Vec{{m[0], m[1], m[2]}, {m[4], m[5], m[6]}, {m[8], m[9], m[10]}}
	for i := range 3 {
		for j := range 3 {
			ata[i][j] = columns[i].Dot(columns[j])
		}
	}
	return ata
}

// eigen gives the eigenvalues of a symmetric matrix and the eigenvectors, as the
// columns of a rotation.
func eigen(a [3][3]float64) (values [3]float64, vectors [3][3]float64) {
	vectors = [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for range 32 { // converges in fewer than ten sweeps; the bound is for what is no number
		if a[0][1] == 0 && a[0][2] == 0 && a[1][2] == 0 {
			break
		}
		for _, pq := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			rotate(&a, &vectors, pq[0], pq[1])
		}
	}
	return [3]float64{a[0][0], a[1][1], a[2][2]}, vectors
}

// rotate makes a[p][q] zero by a turn in the plane of p and q.
func rotate(a, v *[3][3]float64, p, q int) {
	if a[p][q] == 0 {
		return
	}
	if small := math.Abs(a[p][q]); a[p][p]+small == a[p][p] && a[q][q]+small == a[q][q] {
		a[p][q], a[q][p] = 0, 0
		return
	}
	theta := (a[q][q] - a[p][p]) / (2 * a[p][q])
	t := 1 / (math.Abs(theta) + math.Sqrt(float64(theta*theta)+1))
	if theta < 0 {
		t = -t
	}
	c := 1 / math.Sqrt(float64(t*t)+1)
	s := t * c
	for k := range 3 {
		x, y := a[k][p], a[k][q]
		a[k][p], a[k][q] = float64(c*x)-float64(s*y), float64(s*x)+float64(c*y)
	}
	for k := range 3 {
		x, y := a[p][k], a[q][k]
		a[p][k], a[q][k] = float64(c*x)-float64(s*y), float64(s*x)+float64(c*y)
		x, y = v[k][p], v[k][q]
		v[k][p], v[k][q] = float64(c*x)-float64(s*y), float64(s*x)+float64(c*y)
	}
	a[p][q], a[q][p] = 0, 0
}

// inverse of an affine matrix that is not flat.
func inverse(m mesh.Mat) mesh.Mat {
	x, y, z := mesh.Vec{m[0], m[1], m[2]}, mesh.Vec{m[4], m[5], m[6]}, mesh.Vec{m[8], m[9], m[10]}
	d := x.Cross(y).Dot(z)
	rows := [3]mesh.Vec{y.Cross(z).Scale(1 / d), z.Cross(x).Scale(1 / d), x.Cross(y).Scale(1 / d)}
	out := mesh.Identity()
	for r, row := range rows {
		out[r], out[4+r], out[8+r] = row[0], row[1], row[2]
	}
	t := out.Direction(mesh.Vec{m[12], m[13], m[14]})
	out[12], out[13], out[14] = -t[0], -t[1], -t[2]
	return out
}

// placeNode adds the node or nodes that apply m: one with a translation, which may
// also scale, or with a matrix, or, since glTF allows no shear, two of translation, rotation and scale (A = UΣVᵀ).
// It returns the lowest node, which holds the mesh.
func placeNode(d *glb.Document, parent int, name string, m mesh.Mat, shown int) int {
	t := mesh.Vec{m[12], m[13], m[14]}
	if m == mesh.Translation(t) {
		return d.Node(parent, glb.Node{Name: name, Translation: t, Mesh: shown})
	}
	if f := m[0]; m == (mesh.Mat{0: f, 5: f, 10: f, 12: t[0], 13: t[1], 14: t[2], 15: 1}) && f > 0 {
		return d.Node(parent, glb.Node{Name: name, Translation: t, Scale: mesh.Vec{f, f, f}, Mesh: shown})
	}
	s := stretchOf(m)
	if !s.sheared || s.flat {
		return d.Node(parent, glb.Node{Name: name, Matrix: m, Mesh: shown})
	}
	values, v := eigen(gram(m))
	var scale mesh.Vec
	u, vt := mesh.Identity(), mesh.Identity()
	for k := range 3 {
		scale[k] = math.Sqrt(values[k])
		axis := mesh.Vec{v[0][k], v[1][k], v[2][k]}
		image := m.Direction(axis).Scale(1 / scale[k])
		u[4*k], u[4*k+1], u[4*k+2] = image[0], image[1], image[2]
		vt[k], vt[4+k], vt[8+k] = axis[0], axis[1], axis[2]
	}
	if u.Determinant() < 0 { // mirrored: one axis changes its sign
		scale[2] = -scale[2]
		u[8], u[9], u[10] = -u[8], -u[9], -u[10]
	}
	n := d.Node(parent, glb.Node{Name: name, Translation: t, Rotation: glb.Rotation(u), Scale: scale})
	return d.Node(n, glb.Node{Rotation: glb.Rotation(vt), Mesh: shown})
}
