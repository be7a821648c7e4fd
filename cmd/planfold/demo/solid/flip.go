package solid

import "math"

// flipped turns inner edges until both triangles at each are as good as they can
// be (Lawson's criterion: opposite angles sum to at most π). It also opens
// triangles without area, which a reader of the file would drop.
func flipped(tris [][3]int32, where map[int32]Point) [][3]int32 {
	at := map[edge]int{}
	for t, tri := range tris {
		for k := range 3 {
			at[edge{tri[k], tri[(k+1)%3]}] = t
		}
	}
	for range 40 {
		changed := false
		for t := range tris {
			for k := range 3 {
				changed = flip(tris, at, where, t, k) || changed
			}
		}
		if !changed {
			break
		}
	}
	return tris
}

// flip turns edge k of triangle t if that is allowed and better.
func flip(tris [][3]int32, at map[edge]int, where map[int32]Point, t, k int) bool {
	a, b, c := tris[t][k], tris[t][(k+1)%3], tris[t][(k+2)%3]
	o, ok := at[edge{b, a}]
	if !ok || o == t {
		return false
	}
	d := opposite(tris[o], b, a)
	A, B, C, D := where[a], where[b], where[c], where[d]
	if c == d || !convex(A, D, B, C) || sineOfSum(A, B, C, D) > -1e-9 {
		return false
	}
	if _, taken := at[edge{c, d}]; taken {
		return false
	}
	if _, taken := at[edge{d, c}]; taken {
		return false
	}
	tris[t], tris[o] = [3]int32{a, d, c}, [3]int32{d, b, c}
	delete(at, edge{a, b})
	delete(at, edge{b, a})
	for _, n := range []int{t, o} {
		for i := range 3 {
			at[edge{tris[n][i], tris[n][(i+1)%3]}] = n
		}
	}
	return true
}

func opposite(t [3]int32, a, b int32) int32 {
	for _, i := range t {
		if i != a && i != b {
			return i
		}
	}
	return a
}

// convex reports whether cutting a d b c along c d leaves two real triangles.
func convex(a, d, b, c Point) bool {
	small := 1e-9 * max(gap(a, b), gap(c, d))
	return cross(a, d, c) > small && cross(d, b, c) > small
}

// sineOfSum is the sine of the sum of the angles at c and d over the edge a b.
func sineOfSum(a, b, c, d Point) float64 {
	sc, cc := angle(c, a, b)
	sd, cd := angle(d, b, a)
	return float64(sc*cd) + float64(cc*sd)
}

func angle(at, a, b Point) (sin, cos float64) {
	l := math.Sqrt(gap(at, a) * gap(at, b))
	dot := float64((a[0]-at[0])*(b[0]-at[0])) + float64((a[1]-at[1])*(b[1]-at[1]))
	return cross(at, a, b) / l, dot / l
}
