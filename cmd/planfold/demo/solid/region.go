package solid

import (
	"math"
	"sort"
)

// Region is a flat shape: loops that add and loops that cut, the later winning.
type Region []operand

type operand struct {
	loop Loop
	add  bool
}

// Add is r and what the loops contain.
func (r Region) Add(loops ...Loop) Region { return r.with(true, loops) }

// Cut is r without what the loops contain.
func (r Region) Cut(loops ...Loop) Region { return r.with(false, loops) }

func (r Region) with(add bool, loops []Loop) Region {
	out := append(Region{}, r...)
	for _, l := range loops {
		out = append(out, operand{l, add})
	}
	return out
}

func (r Region) contains(p Point) bool {
	for i := len(r) - 1; i >= 0; i-- {
		if r[i].loop.contains(p) {
			return r[i].add
		}
	}
	return false
}

// arrangement is all the edges of some loops, cut where they meet, each once.
type arrangement struct{ edges [][2]Point }

// sides tells for each edge whether there is material left and right of it.
type sides [][2]bool

func arrange(loops []Loop) arrangement {
	segments := distinct(loops)
	cuts := make([][]Point, len(segments))
	for i, a := range segments {
		for k := i + 1; k < len(segments); k++ {
			b := segments[k]
			if apart(a, b) {
				continue
			}
			for _, p := range meet(a, b) {
				cuts[i] = append(cuts[i], p)
				cuts[k] = append(cuts[k], p)
			}
		}
	}
	var out arrangement
	seen := map[[4]int64]bool{}
	for i, s := range segments {
		points := append(cuts[i], s[0], s[1])
		sort.Slice(points, func(a, b int) bool { return gap(s[0], points[a]) < gap(s[0], points[b]) })
		for k := 1; k < len(points); k++ {
			e := [2]Point{points[k-1], points[k]}
			if key := undirected(e); !seen[key] && round(e[0]) != round(e[1]) {
				seen[key] = true
				out.edges = append(out.edges, e)
			}
		}
	}
	return out
}

func round(p Point) [2]int64 { return [2]int64{snap(p[0]), snap(p[1])} }

func undirected(e [2]Point) [4]int64 {
	a, b := round(e[0]), round(e[1])
	if a[0] > b[0] || a[0] == b[0] && a[1] > b[1] {
		a, b = b, a
	}
	return [4]int64{a[0], a[1], b[0], b[1]}
}

// distinct are the loops' segments, each once, on the grid.
func distinct(loops []Loop) [][2]Point {
	seen := map[[4]int64]bool{}
	var out [][2]Point
	for _, l := range loops {
		for i, p := range l {
			e := [2]Point{onGrid(p), onGrid(l[(i+1)%len(l)])}
			if key := undirected(e); !seen[key] {
				seen[key] = true
				out = append(out, e)
			}
		}
	}
	return out
}

func onGrid(p Point) Point {
	return Point{float64(snap(p[0])) * grid, float64(snap(p[1])) * grid}
}

func apart(a, b [2]Point) bool {
	for k := range 2 {
		if max(a[0][k], a[1][k]) < min(b[0][k], b[1][k])-grid || max(b[0][k], b[1][k]) < min(a[0][k], a[1][k])-grid {
			return true
		}
	}
	return false
}

// meet is where two segments touch: ends of one on the other, or one crossing.
func meet(a, b [2]Point) []Point {
	var out []Point
	for _, p := range b {
		if near(a, p) {
			out = append(out, p)
		}
	}
	for _, p := range a {
		if near(b, p) {
			out = append(out, p)
		}
	}
	if len(out) > 0 {
		return out
	}
	s, t := cross(b[0], b[1], a[0]), cross(b[0], b[1], a[1])
	u, v := cross(a[0], a[1], b[0]), cross(a[0], a[1], b[1])
	if s > 0 == (t > 0) || u > 0 == (v > 0) {
		return nil
	}
	k := s / (s - t)
	return []Point{onGrid(Point{a[0][0] + float64((a[1][0]-a[0][0])*k), a[0][1] + float64((a[1][1]-a[0][1])*k)})}
}

// near reports whether p lies on segment e.
func near(e [2]Point, p Point) bool {
	l := math.Sqrt(gap(e[0], e[1]))
	if math.Abs(cross(e[0], e[1], p)) > 4*grid*l {
		return false
	}
	t := float64((p[0]-e[0][0])*(e[1][0]-e[0][0])) + float64((p[1]-e[0][1])*(e[1][1]-e[0][1]))
	return t >= -grid*l && t <= l*(l+grid)
}

// sides looks a hair's breadth left and right of each edge's middle.
func (a arrangement) sides(r Region) sides {
	const hair = 1e-4
	out := make(sides, len(a.edges))
	for i, e := range a.edges {
		d := direction(e[0], e[1])
		m := Point{(e[0][0] + e[1][0]) / 2, (e[0][1] + e[1][1]) / 2}
		out[i][0] = r.contains(Point{m[0] - d[1]*hair, m[1] + d[0]*hair})
		out[i][1] = r.contains(Point{m[0] + d[1]*hair, m[1] - d[0]*hair})
	}
	return out
}

// boundary is the edges that have material on one side only, that side left.
func (a arrangement) boundary(has func(k, side int) bool) [][2]Point {
	var out [][2]Point
	for k, e := range a.edges {
		switch left, right := has(k, 0), has(k, 1); {
		case left && !right:
			out = append(out, e)
		case right && !left:
			out = append(out, [2]Point{e[1], e[0]})
		}
	}
	return out
}
