// Package mesh holds triangles in memory: indexed meshes, and scenes that place
// them under named nodes with materials.
//
// Lengths are metres in float64, right-handed. The package knows no file format,
// no path and no I/O; geometry/<format> fills it, reduce thins it, glb writes it.
package mesh

// Mesh is an indexed triangle mesh. Triangles are counter-clockwise seen from
// outside. A mesh has no name and no material of its own: the node that shows it,
// or the nodes that each show some of its groups, have one material a group.
type Mesh struct {
	Positions []Vec
	Triangles [][3]int32
	// Group tells triangles apart that must keep a border between them (one
	// material each). Nil means that all are of group 0.
	Group []int32
	// Fixed tells which vertices must stay exactly where they are, because another
	// mesh has them too. Nil means none.
	Fixed []bool
	// Smooth tells, of a mesh that was reduced, which vertices stand for places where
	// its source has no crease. Nil means that nothing is known.
	Smooth []bool

	// Wedges gives the attributes of each triangle's corners, as numbers into Colors
	// and TexCoords; nil when there are none of either. A wedge belongs to one
	// position, and corners of one position have the same wedge where their attributes
	// are equal. An edge whose two triangles use different wedges at an end is a seam.
	// The word is that of H. Hoppe, "New quadric metric for simplifying meshes with
	// appearance attributes", 1999.
	Wedges    [][3]int32
	Colors    [][4]float32 // linear RGBA, 0 to 1; nil for none
	TexCoords [][2]float32 // as glTF has them, v down; nil for none
}

// Groups is one more than the highest group in use, at least 1.
func (m *Mesh) Groups() int {
	n := int32(0)
	for _, g := range m.Group {
		n = max(n, g)
	}
	return int(n) + 1
}

// Bounds is the smallest box around the positions that triangles use.
func (m *Mesh) Bounds() Box {
	b := EmptyBox()
	for _, t := range m.Triangles {
		for _, i := range t {
			b.Add(m.Positions[i])
		}
	}
	return b
}

// Material is how a surface looks; colours are linear, 0 to 1.
type Material struct {
	Name      string
	Color     [4]float64 // base colour and opacity
	Metallic  float64
	Roughness float64
	TwoSided  bool
}

// Node places a mesh, other nodes or both.
type Node struct {
	Name      string
	Transform Mat // to the parent's frame
	Children  []int
	Mesh      int   // index into Scene.Meshes, or -1
	Materials []int // one a group, into Scene.Materials; -1 for none
	// First and Count are the groups of the mesh that it shows; all if Count is 0.
	First, Count int
}

// Scene is what one geometry file holds: a forest of nodes without cycles.
type Scene struct {
	Meshes    []*Mesh
	Materials []Material
	Nodes     []Node
	Roots     []int
}
