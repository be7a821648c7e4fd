package solid

import "planfold/convert/mesh"

// Instance is one mesh of a scene with its whole path resolved.
type Instance struct {
	Name      string // names of the nodes above and the node, joined by "/"
	Mesh      int
	Transform mesh.Mat
	Materials []int
}

// Instances lists what is drawn by a scene, depth first, in order.
func Instances(s *mesh.Scene) []Instance {
	var out []Instance
	var walk func(n int, path string, t mesh.Mat)
	walk = func(n int, path string, t mesh.Mat) {
		node := &s.Nodes[n]
		if path != "" {
			path += "/"
		}
		path += node.Name
		t = t.Mul(node.Transform)
		if node.Mesh >= 0 {
			out = append(out, Instance{path, node.Mesh, t, node.Materials})
		}
		for _, c := range node.Children {
			walk(c, path, t)
		}
	}
	for _, r := range s.Roots {
		walk(r, "", mesh.Identity())
	}
	return out
}
