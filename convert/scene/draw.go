package scene

import (
	"slices"

	"planfold/convert/diag"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/store"
)

// finish chooses levels, writes the document and sums up.
func (c *composer) finish(budget int) *Scene {
	if !c.drawsAny() {
		return c.out
	}
	c.fit(budget)
	c.planMoves()
	var ok bool
	if c.origin, ok = centreOf(c.pieces, Focus); !ok {
		c.origin, _ = centreOf(c.pieces, "")
	}
	c.out.Origin = c.origin
	c.aim()
	p := &painter{composer: c, doc: &glb.Document{}, groups: map[int]group{}, stored: map[string]bool{}}
	p.paint()
	data, err := p.doc.Encode()
	if err != nil {
		c.tell(diag.SceneUnwritable, c.stepOrigin(), "step %q: %v", c.Step.ID.Value, err)
		return &Scene{Layout: c.out.Layout, Diagnostics: c.out.Diagnostics}
	}
	c.out.GLTF = data
	c.takePicture()
	return c.out
}

func (c *composer) drawsAny() bool {
	return slices.ContainsFunc(c.pieces, func(p *piece) bool { return len(p.shapes) > 0 })
}

// painter writes pieces as nodes.
type painter struct {
	*composer
	doc    *glb.Document
	root   int
	groups map[int]group // by occurrence of a sub-assembly that moves
	stored map[string]bool
}

// group is a node that moves, or the root: where it is and what point it stands on.
type group struct {
	node   int
	middle mesh.Vec
}

func (p *painter) paint() {
	p.root = p.doc.Node(glb.Root, glb.Node{Name: "scene", Rotation: turnUp(p.Plan.Frame.Up)})
	for _, piece := range p.pieces {
		p.piece(piece)
	}
	p.camera.paint(p)
	if tracks := p.tracks(); len(tracks) > 0 {
		p.doc.Animate(clipName, tracks, p.keyframes)
		p.out.Clips = []string{clipName}
	}
}

// turnUp turns the plan's up axis to Y. The halves of the square root of 2 are those
// of a quarter turn.
func turnUp(up byte) glb.Quat {
	const h = 0.7071067811865476
	switch up {
	case 'X':
		return glb.Quat{0, 0, h, h}
	case 'Y':
		return glb.Still
	}
	return glb.Quat{-h, 0, 0, h}
}

// above is the nearest moving sub-assembly that an occurrence stands in, or the root.
func (p *painter) above(i int) group {
	for i >= 0 {
		i = p.Structure.Occurrences[i].Parent
		if m := p.moves[i]; i >= 0 && m != nil {
			return p.group(i, m)
		}
	}
	return group{p.root, p.origin}
}

// group adds the node of a moving sub-assembly once.
func (p *painter) group(i int, m *move) group {
	if g, ok := p.groups[i]; ok {
		return g
	}
	above := p.above(i)
	m.base = m.middle.Sub(above.middle)
	m.node = p.doc.Node(above.node, glb.Node{Name: p.Structure.Occurrences[i].Path, Translation: m.base})
	g := group{m.node, m.middle}
	p.groups[i] = g
	return g
}

func (p *painter) piece(x *piece) {
	above := group{p.root, p.origin}
	path := ""
	if x.occurrence >= 0 {
		above = p.above(x.occurrence)
		path = x.name
	}
	middle := x.middle()
	base := middle.Sub(above.middle)
	outer := p.doc.Node(above.node, glb.Node{Translation: base})
	if m := p.moves[x.occurrence]; x.occurrence >= 0 && m != nil {
		m.node, m.base = outer, base
	}
	at := x.placement
	for k := range 3 {
		at[12+k] -= middle[k]
	}
	inner := placeNode(p.doc, outer, x.name, at, 0)
	row := Node{Name: x.name, Occurrence: path, Item: x.item, Part: x.part, Role: x.role, Triangles: x.triangles(), Deviation: millimetres(x.deviation())}
	for i := range x.shapes {
		p.shape(inner, &x.shapes[i])
	}
	p.out.Nodes = append(p.out.Nodes, row)
	p.out.Triangles += row.Triangles
	p.out.Deviation = max(p.out.Deviation, row.Deviation)
}

func (p *painter) shape(parent int, s *drawn) {
	blob := s.choice.levels[s.choice.at].Blob
	p.refer(blob)
	at, looks := s.Transform.Mul(blob.Layout.Frame()), p.look(s)
	patches := s.Patches
	if patches == nil {
		patches = []Patch{{Name: s.Name}}
	}
	for _, patch := range patches {
		m := p.doc.Mesh(patch.Name, p.BlobURI(blob.SHA256), blob.Layout.Part(patch.First, patch.Count), looks[min(patch.First, len(looks)):])
		placeNode(p.doc, parent, patch.Name, at, m+1)
	}
}

// refer lists a blob once.
func (p *painter) refer(b Blob) {
	if !p.stored[b.SHA256] {
		p.stored[b.SHA256] = true
		p.out.Blobs = append(p.out.Blobs, b)
	}
}

// look is the shape's materials, in the colour that a rule gave the item.
func (c *composer) look(s *drawn) []mesh.Material {
	item := c.Plan.Items[s.item]
	if item == nil || item.Material3D == nil {
		return s.Materials
	}
	looks := slices.Clone(s.Materials)
	for range s.groups() - len(looks) {
		looks = append(looks, glb.Plain)
	}
	for i := range looks {
		copy(looks[i].Color[:3], item.Material3D.Color[:])
	}
	return looks
}

// groups is how many materials the shape can have.
func (s *drawn) groups() int {
	n := 0
	for _, l := range s.choice.levels {
		for _, g := range l.Blob.Layout.Primitives {
			n = max(n, g.Group+1)
		}
	}
	return n
}

// keyframes takes the animation's numbers as one more blob.
func (p *painter) keyframes(data []byte) string {
	id := store.Digest(data)
	p.out.Keyframes = data
	p.refer(Blob{SHA256: id, Bytes: int64(len(data))})
	return p.BlobURI(id)
}
