package convert

import (
	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
)

// Mapped is one plan as rules make it, without geometry and files: all of its
// operations, in the order of the file, and what was found wrong.
type Mapped struct {
	Plan        *step.Plan // nil if the export is no plan
	Operations  []*step.Operation
	Diagnostics diag.List
	outlined    []outlined
	documents   documents
}

// MapWhole maps one plan and keeps it; one that cannot be read is no plan.
func MapWhole(m Mapper, s Source) *Mapped {
	out := &Mapped{}
	var err error
	out.Plan, out.Diagnostics, err = Map(m, s, func(_ *step.Plan, o *step.Operation) error {
		out.Operations = append(out.Operations, o)
		out.outlined = append(out.outlined, outlined{outlineOf(o, ""), o.Sequence})
		return nil
	})
	if err != nil {
		out.Plan = nil
		out.Diagnostics.Add(s.Unreadable(err))
	}
	return out
}

// Order brings the steps into sequence. It comes before Document and Sequence; who
// needs neither is spared the cost. What is wrong with the order joins Diagnostics.
func (m *Mapped) Order() {
	if m.documents.order != nil {
		return
	}
	emitted, outline := outlineInOrder(m.outlined)
	sorted := make([]*step.Operation, len(m.Operations))
	for i, at := range emitted {
		sorted[at] = m.Operations[i]
	}
	m.Operations = sorted
	m.documents = documents{plan: m.Plan, revision: m.Plan.Revision.Value, product: m.Plan.Product.Value, outline: &outline}
	m.Diagnostics.Add(m.documents.sequence(m.Plan.Position.File)...)
}

// Sequence is the place of a step among all, from 1.
func (m *Mapped) Sequence(operation, step int) int {
	return m.documents.order.Sequence[operation][step]
}

// Document is step.json as it would be issued, but for scene and files.
func (m *Mapped) Document(operation, step int) *bundle.Step {
	o := m.Operations[operation]
	s := o.Steps[step]
	doc := m.documents.document(operation, step, o, s)
	m.documents.notCarried(doc, operation, step, s.Diagnostics)
	return doc
}
