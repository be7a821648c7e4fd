package convert

import (
	"strconv"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/scene"
	"planfold/convert/step"
	"planfold/convert/store"
)

// aligning tells the light meshes of an edition apart by which overlays are aligned: what
// is built, and the occurrence in it.
type aligning struct{ builds, occurrence string }

// register completes what a step is aligned by with its light mesh, and warns where its
// pose is ambiguous.
func (a *assembly) register(doc *bundle.Step, s *step.Step, structure *scene.Structure, built *scene.Scene) error {
	by := s.Registration.By()
	if !by.Given() || built.Aligned == "" && !s.Registration.Occurrence.Given() {
		doc.Registration = nil
		return nil
	}
	if built.Aligned == "" { // the structure does not have it
		return nil
	}
	doc.Registration.Occurrence = step.Text{Value: built.Aligned, Origin: by.Origin}
	if i, ok := structure.Find(built.Aligned); ok {
		if item := a.plan.Items[structure.Occurrences[i].Item]; item != nil {
			doc.Registration.ItemTitle = item.Title
		}
	}
	r, err := a.registration(aligning{a.frame(doc.Operation.Builds.Value), built.Aligned}, structure)
	if err != nil || r == nil {
		return err
	}
	at := r.Position(a.plan.Frame.Up, built.Origin)
	to := doc.Registration
	to.URI, to.Position, to.Triangles, to.Deviation, to.Edges = useLight(doc, r.name, &r.Light), &at, r.Triangles, r.Deviation, r.Edges
	if r.Symmetric != "" {
		d := diag.SceneRegistrationSymmetric.At(by.Origin.At(a.job.source.Base), "registration %q looks the same turned %s", built.Aligned, r.Symmetric)
		if d.Position.Line == 0 {
			d.Position = doc.ID.Origin.At(a.job.source.Base)
			d.Message += " (rule " + strconv.Quote(by.Origin.Rule) + ")"
		}
		d.Plan, d.Step = a.plan.ID.Value, doc.ID.Value
		doc.NotCarried = append(doc.NotCarried, bundle.NotCarriedOf(diag.List{d})...)
		if !r.told {
			r.told = true
			a.note(d)
		}
	}
	return nil
}

type registration struct {
	scene.Registration
	name string
	told bool // that its pose is ambiguous: each step says so, the report once
}

// registration makes each light mesh once; nil where nothing can be drawn.
func (a *assembly) registration(of aligning, structure *scene.Structure) (*registration, error) {
	if r, ok := a.aligned[of]; ok {
		return r, nil
	}
	made, unwritable := scene.Register(scene.Input{
		Plan: a.plan, Structure: structure, Library: a.library, Profile: a.Profile, Mesh: a.levels.mesh,
		BlobURI: func(digest string) string { return "../" + bundle.BlobPath(digest, "bin") },
	}, of.occurrence)
	if err := a.levels.err(); err != nil {
		return nil, err
	}
	a.aligned[of] = nil
	if unwritable != nil {
		a.note(diag.SceneUnwritable.At(a.plan.Position, "registration %q: %v", of.occurrence, unwritable))
	}
	if made == nil {
		return nil, nil
	}
	r := &registration{Registration: *made, name: "registration/" + store.Digest(made.GLTF)[:12] + ".gltf"}
	a.aligned[of] = r
	return r, a.addLight(r.name, &r.Light)
}

// addLight adds a light mesh to the edition.
func (a *assembly) addLight(name string, l *scene.Light) error {
	for i, b := range l.Blobs {
		a.use(b.SHA256, blob{"bin", b.Bytes, func() ([]byte, error) { return l.Data[i], nil }})
	}
	if err := a.refuseIf(bundle.CheckScene(name, l.GLTF, a.sums), a.job.position()); err != nil {
		return err
	}
	return a.add(name, l.GLTF)
}

// useLight makes a light mesh a resource of a step, and returns where it is.
func useLight(doc *bundle.Step, name string, l *scene.Light) (uri string) {
	uri = "../../" + name
	doc.Resources = append(doc.Resources, bundle.Resource{URI: uri, Bytes: int64(len(l.GLTF)), SHA256: store.Digest(l.GLTF)})
	for _, b := range l.Blobs {
		doc.Resources = append(doc.Resources, resource(b.SHA256, "bin", b.Bytes))
	}
	return uri
}
