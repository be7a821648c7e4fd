package obj

import "planfold/convert/mesh"

// tree grows the nodes of the scene: an object is a node; a group is a node
// below its object, or a root where there are no objects. An object's name may
// come again for another object; a group's name continues the group.
type tree struct {
	scene   *mesh.Scene
	parts   []*part
	at      map[place]int // number in parts
	present place
	current *part // of the present place, once asked for
	objects []string
	nodes   map[int]int // object: its node
}

type place struct {
	object int // 0: none yet
	group  string
}

// part is what one node shows.
type part struct {
	node      int
	welder    mesh.Welder
	materials []int         // by group of the mesh
	groups    map[int]int32 // and back
}

func newTree() tree {
	return tree{scene: &mesh.Scene{}, at: map[place]int{}, objects: []string{""}, nodes: map[int]int{}}
}

func (t *tree) object(name string) {
	t.present, t.current = place{object: len(t.objects)}, nil
	t.objects = append(t.objects, name)
}

func (t *tree) group(name string) {
	if name == "default" || name == t.objects[t.present.object] {
		name = ""
	}
	t.present.group, t.current = name, nil
}

// part is the part of the present place; nodes appear with their first face.
func (t *tree) part() *part {
	if t.current != nil {
		return t.current
	}
	i, there := t.at[t.present]
	if !there {
		i = len(t.parts)
		t.at[t.present] = i
		t.parts = append(t.parts, &part{node: t.node(), groups: map[int]int32{}})
	}
	t.current = t.parts[i]
	return t.current
}

func (t *tree) node() int {
	owner := -1
	if t.present.object > 0 || t.present.group == "" {
		n, there := t.nodes[t.present.object]
		if !there {
			n = t.add(t.objects[t.present.object], -1)
			t.nodes[t.present.object] = n
		}
		owner = n
	}
	if t.present.group == "" {
		return owner
	}
	return t.add(t.present.group, owner)
}

func (t *tree) add(name string, parent int) int {
	n := len(t.scene.Nodes)
	t.scene.Nodes = append(t.scene.Nodes, mesh.Node{Name: name, Transform: mesh.Identity(), Mesh: -1})
	if parent < 0 {
		t.scene.Roots = append(t.scene.Roots, n)
	} else {
		t.scene.Nodes[parent].Children = append(t.scene.Nodes[parent].Children, n)
	}
	return n
}

func (p *part) groupOf(material int) int32 {
	g, there := p.groups[material]
	if !there {
		g = int32(len(p.materials))
		p.groups[material] = g
		p.materials = append(p.materials, material)
	}
	return g
}

// close hands the meshes to their nodes and counts what welding left out.
func (t *tree) close() (degenerate, duplicate int) {
	for _, p := range t.parts {
		degenerate += p.welder.Degenerate
		duplicate += p.welder.Duplicate
		if m := p.welder.Mesh(); m != nil {
			n := &t.scene.Nodes[p.node]
			n.Mesh, n.Materials = len(t.scene.Meshes), p.materials
			t.scene.Meshes = append(t.scene.Meshes, m)
		}
	}
	return degenerate, duplicate
}
