package solid

import (
	"math"
	"slices"

	"planfold/convert/mesh"
)

// edge is a directed edge between two vertices.
type edge [2]int32

// basis is two directions across n, so that a counter-clockwise turn seen
// against n is one in the plane.
func basis(n mesh.Vec) (u, v mesh.Vec) {
	u = mesh.Vec{1, 0, 0}
	if math.Abs(n[0]) > 0.9 {
		u = mesh.Vec{0, 1, 0}
	}
	v = n.Cross(u).Unit()
	return v.Cross(n).Unit(), v
}

// fill adds the flat region across n that the edges bound. Edges that run both
// ways bound nothing. A loop around which the material lies outside faces against
// n, and so does its region.
func (s *Solid) fill(edges []edge, n mesh.Vec) {
	u, v := basis(n)
	flat := func(i int32) Point { return Point{s.Points[i].Dot(u), s.Points[i].Dot(v)} }
	loops := s.chain(uncancelled(edges), flat)
	lines := make([]Loop, len(loops))
	for i, l := range loops {
		for _, p := range l {
			lines[i] = append(lines[i], flat(p))
		}
	}
	for _, f := range nest(lines) {
		s.fillOne(f, loops, lines)
	}
}

func (s *Solid) fillOne(f face, loops [][]int32, lines []Loop) {
	flip := lines[f.outer].area() < 0
	take := func(i int) ([]int32, Loop) {
		if !flip {
			return loops[i], lines[i]
		}
		slices.Reverse(loops[i])
		return loops[i], lines[i].Reversed()
	}
	ids, line := take(f.outer)
	p := polygon{ids: ids, line: line}
	for _, h := range f.holes {
		ids, line := take(h)
		p.holes = append(p.holes, polygon{ids: ids, line: line})
	}
	for _, t := range p.triangles() {
		if flip {
			t[1], t[2] = t[2], t[1]
		}
		s.triangle(t[0], t[1], t[2])
	}
}

// uncancelled are the edges without those that run both ways, in their order.
func uncancelled(edges []edge) []edge {
	count := map[edge]int{}
	for _, e := range edges {
		count[e]++
	}
	var out []edge
	for _, e := range edges {
		back := edge{e[1], e[0]}
		if count[back] > 0 && count[e] > 0 {
			count[back]--
			count[e]--
		}
	}
	for _, e := range edges {
		if count[e] > 0 {
			count[e]--
			out = append(out, e)
		}
	}
	return out
}

// chain joins edges to closed loops. Where several leave a vertex it takes the
// one that turns left most, so that loops touch but never cross.
func (s *Solid) chain(edges []edge, flat func(int32) Point) [][]int32 {
	from := map[int32][]int{}
	for i, e := range edges {
		from[e[0]] = append(from[e[0]], i)
	}
	used := make([]bool, len(edges))
	next := func(e edge) int {
		best, turn := -1, math.Inf(-1)
		for _, i := range from[e[1]] {
			if used[i] {
				continue
			}
			if a := leftTurn(flat(e[0]), flat(e[1]), flat(edges[i][1])); a > turn {
				best, turn = i, a
			}
		}
		return best
	}
	var loops [][]int32
	for i := range edges {
		var loop []int32
		for k := i; k >= 0 && !used[k]; k = next(edges[k]) {
			used[k] = true
			loop = append(loop, edges[k][0])
			if edges[k][1] == edges[i][0] {
				break
			}
		}
		if len(loop) > 2 {
			loops = append(loops, loop)
		}
	}
	return loops
}

// leftTurn is the angle by which a→b→c turns left, in (-π, π].
func leftTurn(a, b, c Point) float64 {
	return math.Remainder(math.Atan2(c[1]-b[1], c[0]-b[0])-math.Atan2(b[1]-a[1], b[0]-a[0]), 2*math.Pi)
}

// face is one flat region: an outer loop and the holes in it, by number.
type face struct {
	outer int
	holes []int
}

// nest finds which loops bound regions and which are holes in them: those within
// an odd number of others.
func nest(lines []Loop) []face {
	depth := make([]int, len(lines))
	parent := make([]int, len(lines))
	for i, l := range lines {
		mid := Point{(l[0][0] + l[1][0]) / 2, (l[0][1] + l[1][1]) / 2}
		parent[i] = -1
		for k, m := range lines {
			if k == i || !m.contains(mid) {
				continue
			}
			depth[i]++
			if parent[i] < 0 || math.Abs(m.area()) < math.Abs(lines[parent[i]].area()) {
				parent[i] = k
			}
		}
	}
	var faces []face
	at := map[int]int{}
	for i := range lines {
		if depth[i]%2 == 0 {
			at[i] = len(faces)
			faces = append(faces, face{outer: i})
		}
	}
	for i := range lines {
		if depth[i]%2 == 1 {
			f := &faces[at[parent[i]]]
			f.holes = append(f.holes, i)
		}
	}
	return faces
}
