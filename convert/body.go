package convert

import (
	"slices"

	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/scene"
)

// body is one drawn mesh of a file: the nodes down to it, and its looks.
type body struct {
	Path      []pathNode
	Mesh      int
	Materials []mesh.Material
	Patches   []scene.Patch // of a surface: what each of its bodies shows
}

type pathNode struct {
	Name      string
	Transform mesh.Mat
}

// name is that of the innermost node that has one.
func (b *body) name() string {
	for _, n := range slices.Backward(b.Path) {
		if n.Name != "" {
			return n.Name
		}
	}
	return ""
}

// transform is that of the path, below m.
func (b *body) transform(m mesh.Mat) mesh.Mat {
	for _, n := range b.Path {
		m = m.Mul(n.Transform)
	}
	return m
}

// surface is bodies whose meshes are patches of one surface. Whatever draws all of
// them draws the surface, whose seams thin out with the rest. Whatever draws only some
// draws those with the shared border as it is in the source, at every level: what else
// is drawn of the surface, as another item and at another level, has the same bytes
// there. (Stored on a grid, they agree within the coarser level's.) Files are not
// compared with each other: what two of them have in common is not known.
type surface struct {
	Bodies  []int
	Patches []scene.Patch // by body
	Mesh    int
}

// bodies lists what a scene draws, with the nodes that lead to it; of is the body of
// each node, or -1.
func bodies(sc *mesh.Scene) (out []body, of []int) {
	of = make([]int, len(sc.Nodes))
	var walk func(n int, path []pathNode)
	walk = func(n int, path []pathNode) {
		node := &sc.Nodes[n]
		path = append(slices.Clip(path), pathNode{node.Name, node.Transform})
		of[n] = -1
		if node.Mesh >= 0 {
			of[n] = len(out)
			b := body{Path: path, Mesh: node.Mesh}
			for _, m := range node.Materials {
				look := glb.Plain
				if m >= 0 {
					look = sc.Materials[m]
				}
				b.Materials = append(b.Materials, look)
			}
			out = append(out, b)
		}
		for _, c := range node.Children {
			walk(c, path)
		}
	}
	for _, root := range sc.Roots {
		walk(root, nil)
	}
	return out, of
}

// addSurface takes up patches, of is the body of each node. All of the models are
// stored about one centre, so that a place which they share has one set of bytes.
func (r *sceneRecord) addSurface(p *mesh.Patches, sc *mesh.Scene, of []int, models []model) []model {
	s := surface{Mesh: len(models)}
	centre := p.Mesh.Bounds().Centre()
	for i, n := range p.Nodes {
		s.Bodies = append(s.Bodies, of[n])
		models[sc.Nodes[n].Mesh] = model{p.Alone[i], centre}
		s.Patches = append(s.Patches, scene.Patch{Name: r.Bodies[of[n]].name(), First: p.First[i], Count: p.First[i+1] - p.First[i]})
	}
	r.Surfaces = append(r.Surfaces, s)
	return append(models, model{p.Mesh, centre})
}

// below lists the bodies under a node, with the transforms from that node on; an
// empty name means all of the file, from its roots.
func (s *shapes) below(node string) []body {
	found := make([]*body, len(s.record.Bodies))
	for i, b := range s.record.Bodies {
		from := 0
		if node != "" {
			from = 1 + slices.IndexFunc(b.Path, func(n pathNode) bool { return n.Name == node })
		}
		if node == "" || from > 0 {
			found[i] = &body{Path: b.Path[from:], Mesh: b.Mesh, Materials: b.Materials}
		}
	}
	for _, u := range s.record.Surfaces {
		u.draw(found)
	}
	var out []body
	for _, b := range found {
		if b != nil {
			out = append(out, *b)
		}
	}
	return out
}

// draw puts the surface in the place of its first body if all of them are drawn, and
// in one place.
func (u *surface) draw(found []*body) {
	first := found[u.Bodies[0]]
	for _, i := range u.Bodies {
		if found[i] == nil || found[i].transform(mesh.Identity()) != first.transform(mesh.Identity()) {
			return
		}
	}
	last := u.Patches[len(u.Patches)-1]
	looks := make([]mesh.Material, last.First+last.Count)
	for i := range looks {
		looks[i] = glb.Plain
	}
	for k, i := range u.Bodies {
		copy(looks[u.Patches[k].First:], found[i].Materials)
		found[i] = nil
	}
	found[u.Bodies[0]] = &body{Path: first.Path, Mesh: u.Mesh, Materials: looks, Patches: u.Patches}
}
