package convert

import (
	"cmp"

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

func (s *shapes) shape(b body, ref step.Geometry) scene.Shape {
	at, file := mesh.Identity(), s.path
	if ref.Placement != nil {
		at, file = ref.Placement.Matrix, ""
	}
	return scene.Shape{
		Name: cmp.Or(b.name(), s.path), Ladder: s.ladders[b.Mesh], Transform: b.transform(at),
		Materials: b.Materials, Patches: b.Patches, File: file,
	}
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
