package main

import (
	"planfold/convert/mesh"
	"planfold/convert/reduce"
	"planfold/convert/scene"
)

// sharesOf gives each mesh its share of the triangles: what it keeps when all, each in
// its first place, are reduced as one.
func sharesOf(s *mesh.Scene, triangles int) []int {
	if len(s.Meshes) == 1 {
		return []int{triangles}
	}
	var all mesh.Mesh
	var first []int // group of each mesh
	groups := 0
	places := firstPlaces(s)
	for i, m := range s.Meshes {
		base := int32(len(all.Positions))
		for _, p := range m.Positions {
			all.Positions = append(all.Positions, places[i].Point(p))
		}
		for j, t := range m.Triangles {
			all.Triangles = append(all.Triangles, [3]int32{t[0] + base, t[1] + base, t[2] + base})
			group := int32(groups)
			if m.Group != nil {
				group += m.Group[j]
			}
			all.Group = append(all.Group, group)
		}
		first = append(first, groups)
		groups += m.Groups()
	}
	shares := make([]int, len(s.Meshes))
	left := reduce.Shares(&all, triangles)
	for i := range shares {
		for _, n := range left[first[i]:min(first[i]+s.Meshes[i].Groups(), len(left))] {
			shares[i] += n
		}
		shares[i] = max(shares[i], 1)
	}
	return shares
}

// walkNodes visits the nodes that are drawn, each with the way to the scene's frame.
func walkNodes(s *mesh.Scene, visit func(n *mesh.Node, at mesh.Mat)) {
	var walk func(n int, above mesh.Mat)
	walk = func(n int, above mesh.Mat) {
		node := &s.Nodes[n]
		at := above.Mul(node.Transform)
		visit(node, at)
		for _, child := range node.Children {
			walk(child, at)
		}
	}
	for _, n := range s.Roots {
		walk(n, mesh.Identity())
	}
}

// firstPlaces is where the first node that shows each mesh stands.
func firstPlaces(s *mesh.Scene) []mesh.Mat {
	places := make([]mesh.Mat, len(s.Meshes))
	for i := range places {
		places[i] = mesh.Identity()
	}
	placed := make([]bool, len(s.Meshes))
	walkNodes(s, func(n *mesh.Node, at mesh.Mat) {
		if n.Mesh >= 0 && !placed[n.Mesh] {
			places[n.Mesh], placed[n.Mesh] = at, true
		}
	})
	return places
}

// scales is by how much each mesh is shown larger than it is, where it is largest.
func scales(s *mesh.Scene) []float64 {
	out := make([]float64, len(s.Meshes))
	walkNodes(s, func(n *mesh.Node, at mesh.Mat) {
		if n.Mesh >= 0 {
			out[n.Mesh] = max(out[n.Mesh], scene.Stretch(at))
		}
	})
	for i, x := range out {
		if x == 0 { // not shown
			out[i] = 1
		}
	}
	return out
}

// meshNames is the name of the first node that shows each mesh.
func meshNames(s *mesh.Scene) []string {
	names := make([]string, len(s.Meshes))
	walkNodes(s, func(n *mesh.Node, _ mesh.Mat) {
		if n.Mesh >= 0 && names[n.Mesh] == "" {
			names[n.Mesh] = n.Name
		}
	})
	return names
}
