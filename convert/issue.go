package convert

import (
	"cmp"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/store"
	"planfold/schema"
)

// result is what became of a plan.
type result struct {
	outcome string // "converted", "unchanged" or "held"; "" for a plan that did not come so far
	edition *bundle.Edition
	newer   func(revision, than string) (yes, known bool)
	totals  bundle.Totals
}

// load is an attachment's blob.
func (r *run) load(f *file, folder *Folder) ([]byte, error) {
	if f.scaled.SHA256 == "" {
		return f.read(folder)
	}
	data, ok := r.Cache.Get(f.scaled.SHA256)
	if !ok {
		return nil, fmt.Errorf("picture %s is lost while the run is using it", f.scaled.SHA256[:12])
	}
	return data, nil
}

// read reads the attachment again; a file that changed since it was measured is an error,
// since the step already names its digest.
func (f *file) read(folder *Folder) ([]byte, error) {
	in, err := folder.FS.Open(f.path)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	data, err := io.ReadAll(in)
	if err == nil && store.Digest(data) != f.input.SHA256 {
		err = fmt.Errorf("%q changed while the run was reading it", f.path)
	}
	return data, err
}

// issue gives the edition its identity and its documents, and issues it unless it
// is there already.
func (a *assembly) issue() error {
	if err := a.hold(); err != nil {
		return err
	}
	id := a.sums.ID()
	profile, err := schema.Encode(a.Profile)
	if err != nil {
		return err
	}
	a.fillManifest(id, store.Digest(profile))
	edition := bundle.Edition{Revision: a.job.revision, ID: id, Folder: bundle.EditionName(a.job.revision, id), Held: a.manifest.Held, Cause: a.manifest.Cause}
	outcome := "converted"
	if old := a.catalog.Plan(a.job.id).Edition(edition.Folder); old != nil {
		edition, outcome = *old, "unchanged"
		a.manifest.Cause = old.Cause
	}
	if !a.DryRun {
		if err := a.write(bundle.Folder(a.job.id, a.job.revision, id)); err != nil {
			return err
		}
	}
	if edition.Held {
		outcome = "held"
	}
	a.job.result = result{outcome: outcome, edition: &edition, newer: a.plan.Newer, totals: a.manifest.Totals}
	return nil
}

// hold marks an edition that must not become current, for those who look at its
// folder, and tells it apart from one of the same content that may. It names no line of
// the plan: the same content has the same id, wherever it stands.
func (a *assembly) hold() error {
	var reasons strings.Builder
	for _, d := range a.job.diagnostics {
		if d.Holds {
			code := d.Code
			if d.Step != "" {
				code += fmt.Sprintf(" in step %q", d.Step)
			}
			fmt.Fprintf(&reasons, "%s: %s\n", code, d.Message)
		}
	}
	if a.manifest.Held = reasons.Len() > 0; !a.manifest.Held {
		return nil
	}
	return a.add(bundle.HeldName, []byte(reasons.String()))
}

func (a *assembly) fillManifest(id, profile string) {
	m := &a.manifest
	slices.SortFunc(m.Steps, func(x, y bundle.StepEntry) int { return cmp.Compare(x.Sequence, y.Sequence) })
	m.Format, m.Plan, m.Revision, m.RevisionFrom, m.Edition = "planfold/bundle/1", a.job.id, a.job.revision, a.job.revisionFrom, id
	m.Title, m.Status, m.Approver = a.plan.Title, a.plan.Status, a.plan.Approver
	m.Tool, m.Rules = a.Tool, a.Mapper.Digest()
	m.Profile = bundle.ProfileUsed{Name: a.Profile.Name, SHA256: profile}
	m.Effective = a.Effective
	m.Inputs = a.inputs()
	m.Diagnostics = a.job.diagnostics
	m.Totals.Steps, m.Totals.Items, m.Totals.Blobs = len(m.Steps), len(a.plan.Items), len(a.blobs)
	for _, b := range a.blobs {
		m.Totals.BlobBytes += b.bytes
	}
	m.Cause = a.cause()
	if m.Steps == nil {
		m.Steps = []bundle.StepEntry{}
	}
}

// inputs lists the files that the edition was made from, the plan first.
func (a *assembly) inputs() []bundle.Input {
	used := a.inputFiles
	for _, use := range a.job.geometry {
		s := a.geometry[use.key]
		used = append(append(used, s.input), s.record.Side...)
	}
	used = slices.DeleteFunc(used, func(in bundle.Input) bool { return in.SHA256 == "" }) // not there
	slices.SortFunc(used, func(a, b bundle.Input) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.SHA256, b.SHA256))
	})
	return append([]bundle.Input{a.job.input}, slices.Compact(used)...)
}

// cause says why there is a new edition: what differs from the plan's last one.
func (a *assembly) cause() string {
	last := a.lastManifest()
	if last == nil {
		return "first edition"
	}
	m := &a.manifest
	var changed []string
	for _, c := range []struct {
		what string
		is   bool
	}{
		{"revision", m.Revision != last.Revision},
		{"plan", m.Revision == last.Revision && m.Inputs[0].SHA256 != last.Inputs[0].SHA256},
		{"rules", m.Rules != last.Rules},
		{"profile", m.Profile != last.Profile},
		{"files", !slices.Equal(m.Inputs[1:], last.Inputs[1:])},
		{"tool", m.Tool != last.Tool},
	} {
		if c.is {
			changed = append(changed, c.what)
		}
	}
	if changed == nil {
		return "cause unknown"
	}
	return strings.Join(changed, ", ") + " changed"
}

func (a *assembly) lastManifest() *bundle.Manifest {
	p := a.catalog.Plan(a.job.id)
	if p == nil || len(p.Editions) == 0 {
		return nil
	}
	m, err := bundle.ManifestOf(a.Store.FS(), "plans/"+p.Folder+"/"+p.Editions[len(p.Editions)-1].Folder)
	if err != nil || len(m.Inputs) == 0 {
		return nil
	}
	return m
}

// write stores the blobs that are not there, checks the last documents, and lets
// the folder appear, all of it unless it is there already.
func (a *assembly) write(folder string) error {
	for _, digest := range slices.Sorted(maps.Keys(a.blobs)) {
		if err := a.putBlob(digest, a.blobs[digest]); err != nil {
			return err
		}
	}
	if _, err := fs.Stat(a.Store.FS(), folder); err == nil {
		return nil
	}
	for _, doc := range []struct {
		name  string
		write func(io.Writer) ([]bundle.Problem, error)
	}{{"bundle.json", a.manifest.Write}, {"origin.json", a.origins.Write}} {
		var problems []bundle.Problem
		digest, err := a.folder.Stream(doc.name, func(w io.Writer) (err error) {
			problems, err = doc.write(w)
			return err
		})
		if err != nil {
			return err
		}
		if err := a.refuseIf(problems, a.job.position()); err != nil {
			return err
		}
		a.sums[doc.name] = digest
	}
	if _, err := a.folder.Stream("SHA256SUMS", func(w io.Writer) error { return a.sums.Write(w, folder) }); err != nil {
		return err
	}
	return a.folder.Commit(folder)
}

func (a *assembly) putBlob(digest string, b blob) error {
	if a.Store.HasBlob(digest, b.extension, b.bytes) {
		return nil
	}
	data, err := b.load()
	if err != nil {
		return a.refuse(diag.FileUnreadable.At(a.job.position(), "%v", cause(err)))
	}
	return a.Store.PutBlob(digest, b.extension, data)
}
