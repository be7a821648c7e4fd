package convert

import (
	"fmt"
	"runtime"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/raster"
	"planfold/convert/scene"
	"planfold/convert/store"
)

// addPicture adds the step's picture, drawn once for each scene that is the same.
func (a *assembly) addPicture(doc *bundle.Step, built *scene.Scene) error {
	if built.Picture == nil {
		return nil
	}
	width, height := scene.PictureSize(a.Profile)
	key := a.onceKey(stepPictureKey(doc, built, width, height))
	data, ok := a.Cache.Get(key)
	if !ok {
		var err error
		if data, err = built.Picture().PNG(); err != nil {
			return fmt.Errorf("draw step %q: %w", doc.ID.Value, err)
		}
		if err := a.levels.err(); err != nil {
			return err
		}
		if err := a.Cache.Put(key, data); err != nil {
			return fmt.Errorf("cache: %w", err)
		}
	}
	r := resource(store.Digest(data), "png", int64(len(data)))
	doc.Picture = &bundle.Picture{URI: r.URI, Width: width, Height: height, Bytes: r.Bytes, SHA256: r.SHA256}
	doc.Resources = append(doc.Resources, r)
	a.use(r.SHA256, blob{"png", r.Bytes, func() ([]byte, error) {
		data, ok := a.Cache.Get(key)
		if !ok {
			return nil, fmt.Errorf("the cache lost the picture of step %q while the run was using it", doc.ID.Value)
		}
		return data, nil
	}})
	return nil
}

// stepPictureKey depends on the renderer, on what compresses, on the size, on the scene,
// which holds all places, levels and moves, and on what the scene does not hold: where it
// is seen from, the ways home, and the roles. Arrows follow from those: when other ones are
// made of them, raster.Version changes too.
func stepPictureKey(doc *bundle.Step, built *scene.Scene, width, height int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "picture %s %s %d %d\n%s\n%s\n", raster.Version, runtime.Version(), width, height, doc.Scene.SHA256, built.Aim)
	for _, n := range built.Nodes {
		fmt.Fprintf(&b, "%q %s\n", n.Name, n.Role)
	}
	return b.String()
}
