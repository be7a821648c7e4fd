package convert

import (
	"slices"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
)

// document builds step.json, its scene aside.
func (a *assembly) document(at, j int, o *step.Operation, s *step.Step) *bundle.Step {
	doc := &bundle.Step{
		Format: "planfold/step/1", Precedence: bundle.Precedence,
		Plan:      bundle.PlanHead{ID: a.plan.ID, Title: a.plan.Title, Status: a.plan.Status, Approver: a.plan.Approver},
		Revision:  a.job.revision,
		Operation: o, ID: s.ID, IDFrom: s.IDFrom, Number: s.Number, Alternative: s.Alternative, Effectivity: s.Effectivity, Title: s.Title, Text: s.Text,
		Sequence:     a.order.Sequence[at][j],
		Hazards:      slices.Concat(o.Common.Hazards, s.Hazards),
		Tools:        slices.Concat(o.Common.Tools, s.Tools),
		Tightening:   s.Tightening,
		SignOffs:     slices.Concat(o.Common.SignOffs, s.SignOffs),
		Evidence:     slices.Concat(o.Common.Evidence, s.Evidence),
		Registration: s.Registration,
		Resources:    []bundle.Resource{},
	}
	doc.Characteristics = slices.Concat(o.Common.Characteristics, s.Characteristics)
	for _, ref := range a.order.Predecessors[at][j] {
		doc.Predecessors = append(doc.Predecessors, a.job.outline.Operations[ref.Operation].Steps[ref.Step].ID)
	}
	for _, part := range s.AllParts(o) {
		doc.Parts = append(doc.Parts, a.part(doc, part))
	}
	doc.Attachments = a.attachments(doc, slices.Concat(s.Attachments, o.Common.Attachments))
	return doc
}

// part adds to a part's row what its item says, and the item's documents, which
// follow it to every step that consumes it.
func (a *assembly) part(doc *bundle.Step, p step.Part) bundle.Part {
	row := bundle.Part{Part: p}
	if item := a.plan.Items[p.Item.Value]; item != nil {
		row.ItemRevision, row.ItemTitle, row.Class, row.Material = item.Revision, item.Title, item.Class, item.Material
		row.ItemTotal, row.ItemNotes = item.Total, item.Notes
		row.Documents = a.attachments(doc, item.Attachments)
	}
	return row
}

// attachments turns references into rows. A document that is named twice is shown
// once; one that is missing keeps its row, and the step says that it is.
func (a *assembly) attachments(doc *bundle.Step, list []step.Attachment) []bundle.Attachment {
	var out []bundle.Attachment
	for _, at := range list {
		row := bundle.Attachment{File: at.File, Title: at.Title, Effectivity: at.Effectivity}
		f := a.files[fileKey{a.job.source.Attachments, at.File.Value}]
		if f.usable() {
			row.Type, row.Bytes, row.SHA256 = f.mediaType, f.input.Bytes, f.input.SHA256
			row.URI = blobURI(f.input.SHA256, f.extension)
			a.useFile(doc, f)
		} else {
			doc.NotCarried = append(doc.NotCarried, bundle.NotCarriedOf(f.at(at.File.Origin.At("")))...)
		}
		same := func(b bundle.Attachment) bool {
			return b.File.Value == row.File.Value || b.SHA256 != "" && b.SHA256 == row.SHA256
		}
		if !slices.ContainsFunc(out, same) {
			out = append(out, row)
		}
	}
	return out
}

// useFile makes an attachment's blob part of the edition and of the step.
func (a *assembly) useFile(doc *bundle.Step, f *file) {
	folder := a.job.source.Attachments
	a.use(f.input.SHA256, blob{f.extension, f.input.Bytes, func() ([]byte, error) { return f.load(folder) }})
	r := resource(f.input.SHA256, f.extension, f.input.Bytes)
	if !slices.Contains(doc.Resources, r) {
		doc.Resources = append(doc.Resources, r)
	}
}

// referenceProblems raises what is wrong with the files that the plan names, at
// each place that names one, in the order of the plan.
func (a *assembly) referenceProblems() []diag.List {
	base := a.job.source.Base
	var out []diag.List
	for _, ref := range a.job.attachments {
		out = append(out, a.files[fileKey{a.job.source.Attachments, ref.Value}].at(ref.Origin.At(base)))
	}
	for _, use := range a.job.geometry {
		s := a.geometry[use.key]
		at := use.ref.File.Origin.At(base)
		out = append(out, s.at(at))
		if use.ref.Node.Given() && s.usable() && len(s.below(use.ref.Node.Value)) == 0 {
			out = append(out, diag.List{diag.ItemNodeMissing.At(at, "item %q: %q has no node %q", use.item, s.path, use.ref.Node.Value)})
		}
	}
	return out
}
