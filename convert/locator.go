package convert

import (
	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/scene"
)

const locatorName = "locator.gltf"

// locate adds the locator, which all steps share.
func (a *assembly) locate() error {
	l, unwritable := scene.Locate(scene.Input{
		Plan: a.plan, Structure: a.structure(""), Library: a.library, Profile: a.Profile, Mesh: a.levels.mesh,
		BlobURI: func(digest string) string { return bundle.BlobPath(digest, "bin") },
	})
	if err := a.levels.err(); err != nil {
		return err
	}
	if unwritable != nil {
		a.note(diag.SceneUnwritable.At(a.plan.Position, "the locator: %v", unwritable))
	}
	if a.locator = l; l == nil {
		return nil
	}
	a.manifest.Locator = &bundle.WholeEntry{Triangles: l.Triangles, Bytes: int64(len(l.GLTF)), Deviation: l.Deviation, Origin: l.Origin}
	return a.addLight(locatorName, &l.Light)
}

// place marks in the locator where the step's parts go.
func (a *assembly) place(doc *bundle.Step, built *scene.Scene) {
	if a.locator == nil || built.Focus == nil {
		return
	}
	box, places := a.locator.Place(a.frame(doc.Operation.Builds.Value), *built.Focus)
	if places == 0 {
		return
	}
	doc.Locator = &bundle.Locator{URI: useLight(doc, locatorName, &a.locator.Light), Box: box}
	if places > 1 {
		doc.Locator.Places = places
	}
}
