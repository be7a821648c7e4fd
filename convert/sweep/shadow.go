package sweep

import (
	"cmp"
	"math"
	"slices"

	"planfold/convert/mesh"
)

// shadow is a shell seen along a direction.
type shadow struct {
	*cast
	shell *Shell
	off   mesh.Vec // by which it is off the cast
	box   mesh.Box // of u, v, w
}

// cast is what shells of one mesh, turned alike, look like along a direction: its points
// as u and v across it and w along it, with its triangles sorted into cells of the plane
// across.
type cast struct {
	mesh    *mesh.Mesh
	to      mesh.Mat // to u, v, w, of the first such shell
	lit     mesh.Box // where lines go
	box     mesh.Box // of u, v, w
	points  []mesh.Vec
	cells   int         // how many each way
	perCell [2]float64  // of a length
	region  [2][2]int32 // first and last cell that lines go through
	start   []int32
	list    []int32
	mirror  bool // it is turned inside out
	found   []crossing
}

// crossing is where a line along the direction goes through a surface, and whether it
// leaves the solid there.
type crossing struct {
	w      float64
	leaves bool
}

// span is a stretch of a line inside a solid.
type span [2]float64

// fill projects the points and sorts the triangles that lines may meet, by counting.
func (s *cast) fill() {
	s.mirror = s.to.Determinant() < 0
	s.points = make([]mesh.Vec, len(s.mesh.Positions))
	s.box = mesh.EmptyBox()
	for i, p := range s.mesh.Positions {
		s.points[i] = s.to.Point(p)
		s.box.Add(s.points[i])
	}
	s.cells = 2*int(math.Sqrt(float64(len(s.mesh.Triangles)))) + 1
	at := make([][2]int32, len(s.points))
	for k := range 2 {
		if size := s.box.Max[k] - s.box.Min[k]; size > 0 {
			s.perCell[k] = float64(s.cells) / size
		}
		for i := range at {
			at[i][k] = int32(s.cell(k, s.points[i][k]))
		}
		s.region[k] = [2]int32{int32(s.cell(k, s.lit.Min[k])), int32(s.cell(k, s.lit.Max[k]))}
	}
	s.start = make([]int32, s.cells*s.cells+1)
	s.each(at, func(cell, _ int32) { s.start[cell+1]++ })
	for i := range s.cells * s.cells {
		s.start[i+1] += s.start[i]
	}
	s.list = make([]int32, s.start[s.cells*s.cells])
	next := slices.Clone(s.start)
	s.each(at, func(cell, t int32) {
		s.list[next[cell]] = t
		next[cell]++
	})
}

// fill makes the shadow ready for lines.
func (s *shadow) fill() {
	if s.points == nil {
		s.cast.fill()
	}
	s.box = moved(s.cast.box, s.off)
}

// each visits the cells of each triangle within the region; at are those of points.
func (s *cast) each(at [][2]int32, visit func(cell, t int32)) {
	for i, t := range s.mesh.Triangles {
		a, b, c := at[t[0]], at[t[1]], at[t[2]]
		u0, u1 := max(min(a[0], b[0], c[0]), s.region[0][0]), min(max(a[0], b[0], c[0]), s.region[0][1])
		v0, v1 := max(min(a[1], b[1], c[1]), s.region[1][0]), min(max(a[1], b[1], c[1]), s.region[1][1])
		for v := v0; v <= v1; v++ {
			for u := u0; u <= u1; u++ {
				visit(v*int32(s.cells)+u, int32(i))
			}
		}
	}
}

func (s *cast) cell(axis int, x float64) int {
	return int(max(0, min(float64(s.cells-1), float64((x-s.box.Min[axis])*s.perCell[axis]))))
}

// spans appends where the line at u, v is inside the shell. Surfaces are taken to face
// outwards. One that nothing closes counts as a skin behind its face.
func (s *shadow) spans(u, v, skin float64, out []span) []span {
	u, v = u-s.off[0], v-s.off[1]
	if u < s.cast.box.Min[0] || u > s.cast.box.Max[0] || v < s.cast.box.Min[1] || v > s.cast.box.Max[1] {
		return out
	}
	s.found = s.found[:0]
	cell := s.cell(1, v)*s.cells + s.cell(0, u)
	for _, t := range s.list[s.start[cell]:s.start[cell+1]] {
		if c, hit := s.cross(s.mesh.Triangles[t], u, v); hit {
			c.w += s.off[2]
			s.found = append(s.found, c)
		}
	}
	slices.SortFunc(s.found, func(a, b crossing) int {
		if a.w == b.w && a.leaves != b.leaves {
			return map[bool]int{true: 1, false: -1}[a.leaves]
		}
		return cmp.Compare(a.w, b.w)
	})
	var open [16]float64 // where solids around were entered
	depth := 0
	for _, c := range s.found {
		switch {
		case !c.leaves && depth < len(open):
			open[depth] = c.w
			depth++
		case c.leaves && depth > 0:
			depth--
			if c.w > open[depth] {
				out = append(out, span{open[depth], c.w})
			}
		default:
			out = append(out, span{c.w - skin, c.w})
		}
	}
	for _, w := range open[:depth] {
		out = append(out, span{w, w + skin})
	}
	return out
}

// cross is where a line meets a triangle. Triangles that share an edge agree on which
// of them a line goes through, so that through a closed surface it goes an even number
// of times.
func (s *cast) cross(t [3]int32, u, v float64) (crossing, bool) {
	a := s.edge(t[1], t[2], u, v)
	left := a >= 0
	b := s.edge(t[2], t[0], u, v)
	if (b >= 0) != left {
		return crossing{}, false
	}
	c := s.edge(t[0], t[1], u, v)
	if (c >= 0) != left || a+b+c == 0 {
		return crossing{}, false
	}
	w := float64(a*s.points[t[0]][2]) + float64(b*s.points[t[1]][2]) + float64(c*s.points[t[2]][2])
	return crossing{w / (a + b + c), left != s.mirror}, true
}

// edge is twice the area of an edge and a point, positive on the edge's left: the same
// number but for its sign whichever way the edge is run through.
func (s *cast) edge(from, to int32, u, v float64) float64 {
	if from > to {
		return -s.edge(to, from, u, v)
	}
	p, q := &s.points[from], &s.points[to]
	return float64((q[0]-p[0])*(v-p[1])) - float64((q[1]-p[1])*(u-p[0]))
}
