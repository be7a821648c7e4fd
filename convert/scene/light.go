package scene

import (
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/store"
)

// Light is a light mesh that several steps share: one mesh in one buffer, the plan's up
// axis turned to glTF's Y as in every scene.
type Light struct {
	GLTF      []byte
	Triangles int
	Deviation float64    // mm, an upper bound
	Origin    [3]float64 // where its zero stands, metres, plan axes
	Blobs     []Blob     // all that GLTF refers to
	Data      [][]byte   // their bytes, to be stored by the caller
}

// keep takes a buffer, and returns its digest.
func (l *Light) keep(data []byte, layout glb.Layout) string {
	id := store.Digest(data)
	l.Blobs, l.Data = append(l.Blobs, Blob{id, int64(len(data)), layout}), append(l.Data, data)
	return id
}

// joined is one mesh of all that is drawn, about the scene's origin, with the look of each
// of its groups.
type joined struct {
	mesh  mesh.Mesh
	looks []mesh.Material
	group map[mesh.Material]int32
}

// join draws the pieces at the levels that were chosen, as one mesh. It is nil where a
// level cannot be had.
func (c *composer) join() *joined {
	j := &joined{group: map[mesh.Material]int32{}}
	for _, p := range c.pieces {
		place := mesh.Translation(c.origin.Scale(-1)).Mul(p.placement)
		for i := range p.shapes {
			s := &p.shapes[i]
			m := c.Mesh(s.choice.levels[s.choice.at].Blob)
			if m == nil {
				return nil
			}
			j.add(m, place.Mul(s.Transform), c.look(s))
		}
	}
	return j
}

func (j *joined) add(m *mesh.Mesh, at mesh.Mat, looks []mesh.Material) {
	first := int32(len(j.mesh.Positions))
	for _, v := range m.Positions {
		j.mesh.Positions = append(j.mesh.Positions, at.Point(v))
	}
	mirrored := at.Determinant() < 0
	for i, t := range m.Triangles {
		if mirrored {
			t[1], t[2] = t[2], t[1]
		}
		j.mesh.Triangles = append(j.mesh.Triangles, [3]int32{t[0] + first, t[1] + first, t[2] + first})
		look := glb.Plain
		if g := groupOf(m, i); g < len(looks) {
			look = looks[g]
		}
		j.mesh.Group = append(j.mesh.Group, j.of(look))
	}
}

func groupOf(m *mesh.Mesh, triangle int) int {
	if m.Group == nil {
		return 0
	}
	return int(m.Group[triangle])
}

// of is the group of a look; how it is named makes no difference.
func (j *joined) of(look mesh.Material) int32 {
	look.Name = ""
	g, ok := j.group[look]
	if !ok {
		g = int32(len(j.looks))
		j.group[look] = g
		j.looks = append(j.looks, look)
	}
	return g
}

// light writes the mesh as a document of one node, to which more may be added below the
// root. It is nil where there is nothing to write; the error is of a number that a file
// cannot hold.
func (c *composer) light(name string, j *joined, more func(l *Light, doc *glb.Document, root int)) (*Light, error) {
	if j == nil || len(j.mesh.Triangles) == 0 {
		return nil, nil
	}
	worst := 0.0
	for _, p := range c.pieces {
		if len(p.shapes) > 0 {
			worst = max(worst, p.deviation())
		}
	}
	encode := glb.EncodeMesh
	if c.Profile.Compression {
		encode = func(m *mesh.Mesh, centre mesh.Vec) ([]byte, glb.Layout) { return glb.CompressMesh(m, centre, worst) }
	}
	data, layout := encode(&j.mesh, mesh.Vec{})
	l := &Light{Triangles: len(j.mesh.Triangles), Deviation: millimetres(worst + layout.Error()), Origin: c.origin}
	doc := &glb.Document{}
	root := doc.Node(glb.Root, glb.Node{Name: name, Rotation: turnUp(c.Plan.Frame.Up)})
	placeNode(doc, root, "", layout.Frame(), doc.Mesh("", c.BlobURI(l.keep(data, layout)), layout, j.looks)+1)
	if more != nil {
		more(l, doc, root)
	}
	var err error
	if l.GLTF, err = doc.Encode(); err != nil {
		return nil, err
	}
	return l, nil
}
