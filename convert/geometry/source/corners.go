package source

import "planfold/convert/mesh"

// Corners is a list of positions that several meshes index. It remembers which
// vertex of a welder each became, for the welder in use only, so that going back
// and forth between meshes costs time but never memory.
type Corners struct {
	At     func(i int) mesh.Vec
	Len    int
	vertex []int32
	owner  []*mesh.Welder
}

// Vertex is the vertex of w at position i.
func (c *Corners) Vertex(w *mesh.Welder, i int) int32 {
	if c.owner == nil {
		c.vertex, c.owner = make([]int32, c.Len), make([]*mesh.Welder, c.Len)
	}
	if c.owner[i] != w {
		c.vertex[i], c.owner[i] = w.Vertex(c.At(i)), w
	}
	return c.vertex[i]
}
