package scene

import (
	"cmp"
	"slices"

	"planfold/convert/mesh"
)

// crease is the cosine of 30 degrees: two triangles that meet at a greater angle meet at
// a sharp edge.
const crease = 0.8660254037844387

// sharpEdges lists the edges that a camera can tell: where the surface turns by more than
// the crease, where it ends, and where more than two triangles meet. Points are those of
// the edges alone.
func sharpEdges(m *mesh.Mesh) (points []mesh.Vec, ends [][2]int32) {
	type side struct {
		from, to int32 // from < to
		triangle int32
	}
	sides := make([]side, 0, 3*len(m.Triangles))
	normal := make([]mesh.Vec, len(m.Triangles))
	for i, t := range m.Triangles {
		a := m.Positions[t[0]]
		normal[i] = m.Positions[t[1]].Sub(a).Cross(m.Positions[t[2]].Sub(a)).Unit()
		for k := range t {
			p, q := t[k], t[(k+1)%3]
			sides = append(sides, side{min(p, q), max(p, q), int32(i)})
		}
	}
	slices.SortFunc(sides, func(a, b side) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to), cmp.Compare(a.triangle, b.triangle))
	})
	number := make([]int32, len(m.Positions)) // plus 1
	point := func(v int32) int32 {
		if number[v] == 0 {
			points = append(points, m.Positions[v])
			number[v] = int32(len(points))
		}
		return number[v] - 1
	}
	for len(sides) > 0 {
		n := 1
		for n < len(sides) && sides[n].from == sides[0].from && sides[n].to == sides[0].to {
			n++
		}
		if n != 2 || turnsSharply(normal[sides[0].triangle], normal[sides[1].triangle]) {
			ends = append(ends, [2]int32{point(sides[0].from), point(sides[0].to)})
		}
		sides = sides[n:]
	}
	return points, ends
}

// turnsSharply holds for normals further apart than the crease; a triangle without area
// has none, and closes what is beside it.
func turnsSharply(a, b mesh.Vec) bool {
	return a != mesh.Vec{} && b != mesh.Vec{} && a.Dot(b) < crease
}
