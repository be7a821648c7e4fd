package source

import "planfold/convert/mesh"

// Corners is a list of positions that several meshes index. It remembers which
// vertex of a welder each became, for the welder in use only, so that going back
// and forth between meshes costs time but never memory.
type Corners struct {
	At    func(i int) mesh.Vec
	Len   int
	known []known
}

type known struct {
	owner  *mesh.Welder
	vertex int32
}

// Vertex is the vertex of w at position i.
func (c *Corners) Vertex(w *mesh.Welder, i int) int32 {
	if c.known == nil {
		c.known = make([]known, c.Len)
	}
	k := &c.known[i]
	if k.owner != w {
		*k = known{w, w.Vertex(c.At(i))}
	}
	return k.vertex
}
