package convert

import (
	"slices"

	"planfold/convert/mesh"
	"planfold/convert/scene"
	"planfold/convert/step"
	"planfold/convert/store"
)

// shapesOf gathers what each item of a plan looks like, and what that tells rules.
func (a *assembly) shapesOf(plan *step.Plan) (scene.Library, step.Facts) {
	library, facts := scene.Library{}, step.Facts{}
	for _, use := range a.job.geometry {
		s := a.geometry[use.key]
		if !s.usable() {
			continue
		}
		for _, b := range s.below(use.ref.Node.Value) {
			library[use.item] = append(library[use.item], s.shape(b, use.ref))
		}
	}
	for item, list := range library {
		facts[item] = factOf(list)
	}
	return library, facts
}

// below lists the bodies under a node, with the transforms from that node on; an
// empty name means all of the file, from its roots.
func (s *shapes) below(node string) []body {
	if node == "" {
		return s.record.Bodies
	}
	var out []body
	for _, b := range s.record.Bodies {
		i := slices.IndexFunc(b.Path, func(n pathNode) bool { return n.Name == node })
		if i >= 0 {
			out = append(out, body{b.Path[i+1:], b.Mesh, b.Materials})
		}
	}
	return out
}

func (s *shapes) shape(b body, ref step.Geometry) scene.Shape {
	out := scene.Shape{Name: s.path, Ladder: s.ladders[b.Mesh], Transform: mesh.Identity(), Materials: b.Materials, File: s.path}
	if ref.Placement != nil {
		out.Transform, out.File = ref.Placement.Matrix, ""
	}
	for _, n := range b.Path {
		out.Transform = out.Transform.Mul(n.Transform)
		if n.Name != "" {
			out.Name = n.Name
		}
	}
	return out
}

func factOf(list []scene.Shape) step.Fact {
	var f step.Fact
	box := mesh.EmptyBox()
	var digests []byte
	for _, s := range list {
		finest := s.Ladder.Levels[0]
		f.Triangles += finest.Triangles
		box.Join(s.Ladder.Bounds.Transform(s.Transform))
		digests = append(digests, finest.Blob.SHA256...)
	}
	for k := range 3 {
		f.Bounds[k] = (box.Max[k] - box.Min[k]) * 1000
	}
	f.Digest = store.Digest(digests)
	return f
}
