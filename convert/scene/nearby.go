package scene

import (
	"math"

	"planfold/convert/mesh"
)

// nearby tells whether a point lies within a distance of a surface. Triangles are listed
// by the cells of a grid that they come so near to.
type nearby struct {
	mesh   *mesh.Mesh
	within float64
	low    mesh.Vec
	side   float64 // of a cell
	count  [3]int
	cells  [][]int32
}

// mostCells along an edge of the grid.
const mostCells = 32

func newNearby(m *mesh.Mesh, within float64) *nearby {
	box := m.Bounds()
	n := &nearby{mesh: m, within: within}
	longest := 0.0
	for k := range 3 {
		n.low[k] = box.Min[k] - within
		longest = max(longest, box.Max[k]-box.Min[k]+2*within)
	}
	n.side = max(longest/mostCells, within)
	for k := range 3 {
		n.count[k] = 1 + int(math.Floor((box.Max[k]+within-n.low[k])/n.side))
	}
	n.cells = make([][]int32, n.count[0]*n.count[1]*n.count[2])
	for i, t := range m.Triangles {
		b := mesh.EmptyBox()
		for _, v := range t {
			b.Add(m.Positions[v])
		}
		var lo, hi [3]int
		for k := range 3 {
			lo[k], hi[k] = n.cell(b.Min[k]-within, k), n.cell(b.Max[k]+within, k)
		}
		for x := lo[0]; x <= hi[0]; x++ {
			for y := lo[1]; y <= hi[1]; y++ {
				for z := lo[2]; z <= hi[2]; z++ {
					at := (x*n.count[1]+y)*n.count[2] + z
					n.cells[at] = append(n.cells[at], int32(i))
				}
			}
		}
	}
	return n
}

func (n *nearby) cell(x float64, k int) int {
	return min(max(int(math.Floor((x-n.low[k])/n.side)), 0), n.count[k]-1)
}

func (n *nearby) has(p mesh.Vec) bool {
	at := 0
	for k := range 3 {
		c := math.Floor((p[k] - n.low[k]) / n.side)
		if !(c >= 0 && c < float64(n.count[k])) {
			return false
		}
		at = at*n.count[k] + int(c)
	}
	for _, i := range n.cells[at] {
		t := n.mesh.Triangles[i]
		corners := [3]mesh.Vec{n.mesh.Positions[t[0]], n.mesh.Positions[t[1]], n.mesh.Positions[t[2]]}
		if mesh.TriangleDistance2(&p, &corners) <= float64(n.within*n.within) {
			return true
		}
	}
	return false
}
