package convert

import (
	"errors"
	"fmt"
	"slices"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/scene"
	"planfold/convert/step"
	"planfold/convert/store"
	"planfold/schema"
)

// assemble reads each plan again, makes its steps, and issues them.
func (r *run) assemble() error {
	var jobs []job
	for _, p := range r.plans {
		if p.refused {
			continue
		}
		jobs = append(jobs, job{
			memory: 128 << 20, // half of it to see who encloses whom
			do:     func() error { return r.assemblePlan(p) },
			panicked: func(v any, where string) {
				p.refuse(panicked(p.position(), v, where))
			},
		})
	}
	return r.runPhase("assemble", jobs)
}

// assembly is a plan's edition in the making.
type assembly struct {
	*run
	documents
	job *planJob
	structures
	builtBy    map[string][]int // by item: the operations that build it
	steps      map[string]bool  // by id: whether it is issued
	library    scene.Library
	locator    *scene.Locator
	aligned    map[aligning]*registration
	facts      step.Facts
	folder     *store.Folder
	sums       bundle.Sums
	blobs      map[string]blob // by digest
	inputFiles []bundle.Input  // attachments
	origins    *bundle.OriginsWriter
	remarks    map[string]bool // that are made once, by message
	manifest   bundle.Manifest // its totals are counted as the edition grows
}

// blob is a file of the tree that the edition refers to, and how to get it.
type blob struct {
	extension string
	bytes     int64
	load      func() ([]byte, error)
}

// errRefused ends a plan's assembly after what is wrong with it was noted.
var errRefused = errors.New("refused")

func (r *run) assemblePlan(p *planJob) error {
	folder, err := r.Store.NewFolder()
	if err != nil {
		return err
	}
	defer folder.Discard()
	a := &assembly{run: r, job: p, documents: documents{revision: p.revision, product: p.product, outline: &p.outline}, folder: folder, structures: structures{}, aligned: map[aligning]*registration{}, steps: map[string]bool{}, sums: bundle.Sums{}, blobs: map[string]blob{}, remarks: map[string]bool{}, origins: bundle.NewOrigins(p.source.Base)}
	a.carry = a.carryFile
	for _, part := range []func() error{a.foresee, a.read, a.whole, a.issue} {
		if err := part(); errors.Is(err, errRefused) {
			return nil
		} else if err != nil {
			return fmt.Errorf("plan %q: %w", p.id, err)
		}
	}
	return nil
}

// foresee brings the steps into sequence. What rules leave out is found first: what
// waits for it waits for what comes before it, and may stand ahead of it in the file; a
// part that is left out is never there.
func (a *assembly) foresee() error {
	if a.Mapper.LeavesOut() {
		next := 0
		var facts step.Facts
		_, _, err := a.Mapper.Read(a.job.source.Open, a.job.source.Base, func(plan *step.Plan, o *step.Operation) error {
			if next == 0 {
				_, facts = a.shapesOf(plan)
				a.Mapper.AssignItems(plan, facts)
			}
			a.Mapper.Assign(plan, o, facts)
			at, err := a.outlined(next, o)
			if err != nil {
				return err
			}
			noteParts(&a.job.outline.Operations[at], o, a.Effective)
			next++
			return nil
		})
		if err != nil {
			return err
		}
	}
	a.note(a.sequence(a.job.source.Base)...)
	a.builtBy = a.builders()
	for _, o := range a.job.outline.Operations {
		for _, s := range o.Steps {
			a.steps[s.ID] = a.steps[s.ID] || !s.Skipped
		}
	}
	return nil
}

// read reads the plan once more, for its steps. The file must be the one whose
// digest the edition will name.
func (a *assembly) read() error {
	next := 0
	_, _, err := a.Mapper.Read(a.job.source.Open, a.job.source.Base, func(plan *step.Plan, o *step.Operation) error {
		if err := a.begin(plan); err != nil {
			return err
		}
		at, err := a.outlined(next, o)
		if err != nil {
			return err
		}
		next++
		return a.operation(at, o)
	})
	if err != nil {
		return err
	}
	if now, err := a.job.measure(); err != nil || now != a.job.input || a.plan == nil {
		return a.changed()
	}
	return nil
}

// outlined is where the operation that is read as number n stands in the outline, which
// was made of what the file held before.
func (a *assembly) outlined(n int, o *step.Operation) (at int, err error) {
	if n >= len(a.job.emitted) {
		return 0, a.changed()
	}
	at = a.job.emitted[n]
	if was := &a.job.outline.Operations[at]; was.ID != o.ID.Value || len(was.Steps) != len(o.Steps) {
		return 0, a.changed()
	}
	return at, nil
}

func (a *assembly) changed() error {
	return a.refuse(diag.FileUnreadable.At(a.job.position(), "the plan changed while the run was reading it"))
}

func (a *assembly) refuse(d diag.Diagnostic) error {
	a.job.refuse(d)
	return errRefused
}

// refuseIf refuses the plan if there are problems with what it was about to issue.
func (a *assembly) refuseIf(problems []bundle.Problem, at diag.Position) error {
	for _, p := range problems {
		a.job.refuse(diag.RunCheckFailed.At(at, "%s", p))
	}
	if len(problems) > 0 {
		return errRefused
	}
	return nil
}

// note adds diagnostics to the plan's.
func (a *assembly) note(list ...diag.Diagnostic) {
	a.job.diagnostics.Add(list...)
}

// begin takes the plan's head, the first time that it is handed over.
func (a *assembly) begin(plan *step.Plan) error {
	if a.plan != nil {
		return nil
	}
	a.plan = plan
	a.library, a.facts = a.shapesOf(plan)
	a.note(a.Mapper.AssignItems(plan, a.facts)...)
	a.noteItems()
	a.note(a.unconsumed()...)
	return a.locate()
}

// structure expands what an operation builds.
func (a *assembly) structure(builds string) *scene.Structure {
	s, list := a.structures.of(a.plan, builds)
	a.note(list...)
	return s
}

func (a *assembly) operation(at int, o *step.Operation) error {
	a.note(a.Mapper.Assign(a.plan, o, a.facts)...)
	a.noteFiles(o.Common.Attachments)
	a.manifest.Totals.Operations++
	for j, s := range o.Steps {
		if s.Skip.Given() {
			a.manifest.Skipped = append(a.manifest.Skipped, bundle.Skipped{Operation: o.ID.Value, Step: s.ID.Value, Reason: s.Skip.Value, Rule: s.Skip.Origin.Rule})
			a.note(diag.StepSkipped.At(s.ID.Origin.At(a.job.source.Base), "step %q is left out by rule %q: %s", s.ID.Value, s.Skip.Origin.Rule, s.Skip.Value))
		} else if err := a.step(at, j, o, s); err != nil {
			return err
		}
	}
	return nil
}

// step makes one step's documents, checks them, and adds them to the edition.
func (a *assembly) step(at, j int, o *step.Operation, s *step.Step) error {
	a.noteFiles(s.Attachments)
	folder := a.job.folders[at][j]
	doc := a.document(at, j, o, s)
	past := a.order.Past(step.Ref{Operation: at, Step: j})
	there, toCome := a.present(past, at, j)
	in := scene.Input{
		Plan: a.plan, Operation: o, Step: s, Structure: a.structure(o.Builds.Value), Present: there, ToCome: toCome, Built: a.built,
		Library: a.library, Profile: a.Profile, Mesh: a.levels.mesh, Normals: a.levels.shades, Once: a.once,
		BlobURI: func(digest string) string { return blobURI(digest, "bin") },
	}
	built := scene.Build(in)
	if err := a.levels.err(); err != nil {
		return err
	}
	if err := a.addScene(doc, folder, built); err != nil {
		return err
	}
	if err := a.addPicture(doc, built); err != nil {
		return err
	}
	a.place(doc, built)
	if err := a.register(doc, s, in.Structure, built); err != nil {
		return err
	}
	built.Diagnostics = slices.DeleteFunc(built.Diagnostics, func(d diag.Diagnostic) bool { return saidBefore(d, s.Diagnostics) })
	found := slices.Concat(a.unbuilt(past, at, j, o, s), built.Diagnostics)
	a.notCarried(doc, at, j, s.Diagnostics, found)
	a.note(slices.DeleteFunc(found, a.remarked)...)
	return a.addStep(folder, doc, built)
}

// saidBefore holds for a name that leads nowhere, where the mapper has said so: it is
// not said of the scene again.
func saidBefore(d diag.Diagnostic, mapped diag.List) bool {
	if d.Code != diag.SceneOccurrenceUnknown.Name && d.Code != diag.SceneViewUnknown.Name {
		return false
	}
	return slices.ContainsFunc(mapped, func(m diag.Diagnostic) bool {
		return m.Code == diag.MapRefMissing.Name && m.Position.Line == d.Position.Line && m.Position.Column == d.Position.Column
	})
}

// remarked holds for an item without geometry, a part without a place, or one that is
// consumed before it is built, of which an earlier step has told: a fastener of a thousand
// steps is one remark, and so is what an operation consumes for all of its steps.
func (a *assembly) remarked(d diag.Diagnostic) bool {
	if !slices.Contains([]string{diag.SceneItemWithoutGeometry.Name, diag.ScenePartUnplaced.Name, diag.OrderUnbuilt.Name}, d.Code) {
		return false
	}
	before := a.remarks[d.Message]
	a.remarks[d.Message] = true
	return before
}

func (a *assembly) addStep(folder string, doc *bundle.Step, built *scene.Scene) error {
	text, err := schema.Encode(doc)
	if err != nil {
		return err
	}
	if err := a.refuseIf(bundle.CheckStep(folder, text, built.GLTF, a.sums, a.steps), doc.ID.Origin.At(a.job.source.Base)); err != nil {
		return err
	}
	a.origins.Add(folder, doc)
	entry := bundle.StepEntry{Folder: folder, ID: doc.ID.Value, Operation: doc.Operation.ID.Value, Sequence: doc.Sequence, Predecessors: doc.Predecessors, Title: doc.Title.First(), Triangles: built.Triangles, Bytes: int64(len(text))}
	for _, res := range doc.Resources {
		entry.Bytes += res.Bytes
	}
	a.manifest.Steps = append(a.manifest.Steps, entry)
	a.manifest.Totals.Triangles += built.Triangles
	a.manifest.Totals.SceneBytes += int64(len(built.GLTF))
	return a.add("steps/"+folder+"/step.json", text)
}

// add writes a file of the edition and lists its digest.
func (a *assembly) add(name string, data []byte) error {
	a.sums[name] = store.Digest(data)
	return a.folder.Write(name, data)
}

// addScene adds the scene and its blobs and says in the document what they are.
func (a *assembly) addScene(doc *bundle.Step, folder string, built *scene.Scene) error {
	if built.GLTF == nil {
		return nil
	}
	digest := store.Digest(built.GLTF)
	doc.Scene = &bundle.Scene{
		URI: "scene.gltf", Triangles: built.Triangles, Bytes: int64(len(built.GLTF)), SHA256: digest,
		Deviation: built.Deviation, Origin: built.Origin, Layout: built.Layout, Views: built.Views, Clips: built.Clips, Hidden: built.Hidden,
		Enclosed: built.Enclosed, EnclosedTriangles: built.EnclosedTriangles,
		Nodes: make([]bundle.SceneNode, len(built.Nodes)),
	}
	for _, m := range built.Motions {
		doc.Scene.Motions = append(doc.Scene.Motions, bundle.Motion(m))
	}
	for i, n := range built.Nodes {
		doc.Scene.Nodes[i] = bundle.SceneNode{Name: n.Name, Occurrence: n.Occurrence, Item: n.Item, Role: n.Role, Triangles: n.Triangles, Deviation: n.Deviation}
		if n.Part >= 0 {
			doc.Scene.Nodes[i].Part = &n.Part
		}
	}
	doc.Resources = append(doc.Resources, bundle.Resource{URI: "scene.gltf", Bytes: int64(len(built.GLTF)), SHA256: digest})
	for _, b := range built.Blobs {
		doc.Resources = append(doc.Resources, resource(b.SHA256, "bin", b.Bytes))
	}
	a.useBlobs(built)
	return a.add("steps/"+folder+"/scene.gltf", built.GLTF)
}

func resource(digest, extension string, bytes int64) bundle.Resource {
	return bundle.Resource{URI: blobURI(digest, extension), Bytes: bytes, SHA256: digest}
}

// blobURI leads to a blob from a step's folder.
func blobURI(digest, extension string) string { return "../../" + bundle.BlobPath(digest, extension) }

// useBlobs lists a scene's buffers: levels, to be taken from the cache when the
// edition is issued, and the keyframes that the scene itself brings.
func (a *assembly) useBlobs(built *scene.Scene) {
	for i, b := range built.Blobs {
		load := func() ([]byte, error) { return a.loadLevel(b.SHA256) }
		if built.Keyframes != nil && i == len(built.Blobs)-1 {
			load = func() ([]byte, error) { return built.Keyframes, nil }
		}
		a.use(b.SHA256, blob{"bin", b.Bytes, load})
	}
}

func (a *assembly) use(digest string, b blob) {
	a.blobs[digest] = b
	a.sums[bundle.BlobPath(digest, b.extension)] = digest
}

// whole adds the finished product.
func (a *assembly) whole() error {
	built := scene.Whole(scene.Input{
		Plan: a.plan, Structure: a.structure(""), Library: a.library, Profile: a.Profile,
		BlobURI: func(digest string) string { return bundle.BlobPath(digest, "bin") },
	})
	a.note(built.Diagnostics...)
	if built.GLTF == nil {
		return nil
	}
	a.useBlobs(built)
	if err := a.refuseIf(bundle.CheckScene("whole.gltf", built.GLTF, a.sums), a.job.position()); err != nil {
		return err
	}
	a.manifest.Whole = &bundle.WholeEntry{Triangles: built.Triangles, Bytes: int64(len(built.GLTF)), Deviation: built.Deviation, Origin: built.Origin}
	return a.add("whole.gltf", built.GLTF)
}
