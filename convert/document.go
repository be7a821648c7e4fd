package convert

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
)

// documents builds the step.json of each step of a plan, its scene aside.
type documents struct {
	plan     *step.Plan
	revision string
	product  string
	outline  *step.Outline
	order    *step.Order
	built    map[string]string      // by operation: the item it builds
	disorder map[step.Ref]diag.List // what is wrong with a step's order; Step -1: with all of the operation

	// carry completes the row of a document with the file that it names; nil leaves
	// the row as the plan has it.
	carry func(doc *bundle.Step, row *bundle.Attachment)
}

// document builds the document of a step; at is the operation's place in the outline.
func (a *documents) document(at, j int, o *step.Operation, s *step.Step) *bundle.Step {
	doc := &bundle.Step{
		Format: "planfold/step/1", Precedence: bundle.Precedence,
		Plan:      bundle.PlanHead{ID: a.plan.ID, Title: a.plan.Title, Status: a.plan.Status, Approver: a.plan.Approver},
		Revision:  a.revision,
		Operation: o, ID: s.ID, IDFrom: s.IDFrom, Number: s.Number, Alternative: s.Alternative, Effectivity: s.Effectivity, Title: s.Title, Text: s.Text,
		Sequence:   a.order.Sequence[at][j],
		Hazards:    slices.Concat(o.Common.Hazards, s.Hazards),
		Tools:      slices.Concat(o.Common.Tools, s.Tools),
		Tightening: s.Tightening,
		SignOffs:   slices.Concat(o.Common.SignOffs, s.SignOffs),
		Evidence:   slices.Concat(o.Common.Evidence, s.Evidence),
		Resources:  []bundle.Resource{},
	}
	if s.Registration.By().Given() {
		doc.Registration = &bundle.Registration{Registration: s.Registration}
	}
	doc.Characteristics = slices.Concat(o.Common.Characteristics, s.Characteristics)
	for _, ref := range a.order.Predecessors[at][j] {
		doc.Predecessors = append(doc.Predecessors, a.outline.Operations[ref.Operation].Steps[ref.Step].ID)
	}
	for _, part := range s.AllParts(o) {
		doc.Parts = append(doc.Parts, a.part(doc, part))
	}
	doc.Attachments = a.attachments(doc, slices.Concat(s.Attachments, o.Common.Attachments))
	return doc
}

// part adds to a part's row what its item says, and the item's documents, which
// follow it to every step that consumes it.
func (a *documents) part(doc *bundle.Step, p step.Part) bundle.Part {
	row := bundle.Part{Part: p}
	if item := a.plan.Items[p.Item.Value]; item != nil {
		row.ItemRevision, row.ItemTitle, row.Class, row.Material = item.Revision, item.Title, item.Class, item.Material
		row.ItemTotal, row.ItemNotes = item.Total, item.Notes
		row.Documents = a.attachments(doc, item.Attachments)
	} else if built := a.plan.Items[a.built[p.Operation.Value]]; built != nil {
		row.ItemTitle = built.Title
	}
	return row
}

// attachments turns references into rows. A document that is named twice is shown
// once; one that is missing keeps its row, and the step says that it is.
func (a *documents) attachments(doc *bundle.Step, list []step.Attachment) []bundle.Attachment {
	var out []bundle.Attachment
	for _, at := range list {
		row := bundle.Attachment{File: at.File, Title: at.Title, Effectivity: at.Effectivity}
		same := func(b bundle.Attachment) bool {
			return b.File.Value == row.File.Value || b.SHA256 != "" && b.SHA256 == row.SHA256
		}
		if slices.ContainsFunc(out, same) {
			continue // that it is missing has been said too
		}
		if a.carry != nil {
			a.carry(doc, &row)
		}
		if !slices.ContainsFunc(out, same) {
			out = append(out, row)
		}
	}
	return out
}

// carryFile completes the row of a document with the file that was found for it.
func (a *assembly) carryFile(doc *bundle.Step, row *bundle.Attachment) {
	f := a.file(a.job.source.Attachments, row.File.Value)
	if !f.usable() {
		doc.NotCarried = append(doc.NotCarried, bundle.NotCarriedOf(f.named(row.File, ""))...)
		return
	}
	is := f.issued()
	row.Type, row.Bytes, row.SHA256 = f.mediaType, is.Bytes, is.SHA256
	row.URI = blobURI(is.SHA256, f.extension)
	a.useFile(doc, f)
}

// useFile makes an attachment's blob part of the edition and of the step.
func (a *assembly) useFile(doc *bundle.Step, f *file) {
	folder, is := a.job.source.Attachments, f.issued()
	a.use(is.SHA256, blob{f.extension, is.Bytes, func() ([]byte, error) { return a.load(f, folder) }})
	r := resource(is.SHA256, f.extension, is.Bytes)
	if !slices.Contains(doc.Resources, r) {
		doc.Resources = append(doc.Resources, r)
	}
}

// sequence orders the steps, and lists what stands in the way: to the steps too.
func (a *documents) sequence(file string) diag.List {
	a.order, a.disorder, a.built = a.outline.Order(), map[step.Ref]diag.List{}, map[string]string{}
	for _, o := range slices.Backward(a.outline.Operations) { // of two with one id the order takes the first too
		a.built[o.ID] = o.Builds
	}
	var list diag.List
	wrong := func(r step.Ref, c *diag.Code, at step.Origin, format string, args ...any) {
		d := c.At(at.At(file), format, args...)
		list.Add(d)
		a.disorder[r] = append(a.disorder[r], d)
	}
	for _, circle := range a.order.Cycles {
		names, first := a.circle(circle)
		d := diag.OrderCycle.At(first.At(file), "these wait for each other in a circle: %s", names)
		list.Add(d)
		for _, c := range a.order.Cycle {
			a.disorder[c] = append(a.disorder[c], d)
		}
	}
	for _, m := range a.order.Missing {
		o, at := a.outline.Operations[m.Operation], step.Ref{Operation: m.Operation, Step: m.Step}
		if m.Step < 0 {
			wrong(at, diag.OrderMissing, o.Origin, "operation %q waits for operation %q, which the plan does not have", o.ID, m.Name)
		} else {
			s := o.Steps[m.Step]
			wrong(at, diag.OrderMissing, s.Origin, "step %q waits for step %q, which the plan does not have", s.ID, m.Name)
		}
	}
	for _, pair := range a.order.Overruled {
		waits, first := a.named(pair[0]), a.named(pair[1])
		d := diag.OrderOverruled.At(waits.at.At(file), "%s has the order number %s and waits for %s (%d:%d), which has %s",
			waits.name, waits.order, first.name, first.at.Line, first.at.Column, first.order)
		list.Add(d)
		a.disorder[pair[0]] = append(a.disorder[pair[0]], d)
	}
	return slices.Concat(list, a.alternatives(file), a.twice(file))
}

// alternatives tells of groups of operations of which more than one is left: to
// their steps too.
func (a *documents) alternatives(file string) diag.List {
	var list diag.List
	for _, group := range a.open() {
		first := a.outline.Operations[group[0]]
		d := diag.MapAlternativeOpen.At(first.Origin.At(file), "no rule skips all but one of the %d alternative operations %q, of which %q is the first", len(group), first.Alternative, first.ID)
		list.Add(d)
		for _, i := range group {
			r := step.Ref{Operation: i, Step: -1}
			a.disorder[r] = append(a.disorder[r], d)
		}
	}
	return list
}

// open lists the groups of alternative operations of which more than one is left.
func (a *documents) open() [][]int {
	groups := map[string][]int{}
	for i := range a.outline.Operations {
		if o := &a.outline.Operations[i]; o.Alternative != "" && !o.LeftOut() {
			groups[o.Alternative] = append(groups[o.Alternative], i)
		}
	}
	var out [][]int
	for _, o := range a.outline.Operations {
		if group := groups[o.Alternative]; len(group) > 1 {
			out = append(out, group)
		}
		delete(groups, o.Alternative) // each once, in the order of the plan
	}
	return out
}

// inOutline is an operation or a step as messages name it.
type inOutline struct {
	name, order string
	at          step.Origin
}

func (a *documents) named(r step.Ref) inOutline {
	o := a.outline.Operations[r.Operation]
	if r.Step < 0 {
		return inOutline{fmt.Sprintf("operation %q", o.ID), o.Order, o.Origin}
	}
	s := o.Steps[r.Step]
	return inOutline{fmt.Sprintf("step %q of operation %q", s.ID, o.ID), s.Order, s.Origin}
}

// circle names what waits for itself, each with its place, and gives the first place.
func (a *documents) circle(members []step.Ref) (names string, first step.Origin) {
	var all []string
	for i, r := range members {
		n := a.named(r)
		if i == 0 {
			first = n.at
		}
		all = append(all, fmt.Sprintf("%s (%d:%d)", n.name, n.at.Line, n.at.Column))
	}
	return strings.Join(all, ", "), first
}

// notCarried tells a step's document what was lost: of the order, then of the lists.
func (a *documents) notCarried(doc *bundle.Step, at, j int, lists ...diag.List) {
	ordered := []diag.List{a.disorder[step.Ref{Operation: at, Step: -1}], a.disorder[step.Ref{Operation: at, Step: j}]}
	for _, list := range append(ordered, lists...) {
		doc.NotCarried = append(doc.NotCarried, bundle.NotCarriedOf(list)...)
	}
}

// noteFiles raises what is wrong with attachments, at each place that names one,
// and notes which files the edition is made from.
func (a *assembly) noteFiles(list []step.Attachment) {
	for _, at := range list {
		f := a.file(a.job.source.Attachments, at.File.Value)
		a.note(f.named(at.File, a.job.source.Base)...)
		if f.usable() {
			a.inputFiles = append(a.inputFiles, f.input)
		}
	}
}

// In mm: nothing that is handled is smaller, and nothing that is put together on a floor larger.
const leastSize, mostSize = 0.3, 100_000.0

// noteItems raises what is wrong with the files of items, in the order of the plan.
func (a *assembly) noteItems() {
	for _, id := range sortedItems(a.plan) {
		a.noteFiles(a.plan.Items[id].Attachments)
	}
	base := a.job.source.Base
	for _, use := range a.job.geometry {
		s := a.geometry[use.key]
		at := use.ref.File.Origin.At(base)
		a.note(s.at(at)...)
		fact, known := a.facts[use.item]
		if size := slices.Max(fact.Bounds[:]); known && (size < leastSize || size > mostSize) {
			a.note(diag.ItemSizeOdd.At(at, "item %q is %v mm large", use.item, math.Round(size*1000)/1000))
		}
		if use.ref.Node.Given() && s.usable() && len(s.below(use.ref.Node.Value)) == 0 {
			a.note(diag.ItemNodeMissing.At(at, "item %q: %q has no node %q", use.item, s.path, use.ref.Node.Value))
		}
	}
}
