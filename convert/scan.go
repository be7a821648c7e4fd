package convert

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/convert/store"
)

// planJob is what a run knows of one plan between its phases.
type planJob struct {
	source                Source
	id, revision, product string
	revisionFrom          string
	input                 bundle.Input
	outline               step.Outline
	emitted               []int      // outline index of each operation in the order of reading
	folders               [][]string // step folders, by operation and step
	attachments           []step.Text
	geometry              []geometryUse
	diagnostics           diag.List
	frame                 step.Frame
	refused               bool
	result                result
}

// geometryUse is one reference of an item to a geometry file.
type geometryUse struct {
	item string
	ref  step.Geometry
	key  shapeKey
}

func (j *planJob) position() diag.Position { return diag.Position{File: j.source.Base} }

func (j *planJob) refuse(d ...diag.Diagnostic) {
	j.refused = true
	j.diagnostics.Add(d...)
}

// scan reads every plan once.
func (r *run) scan() error {
	jobs := make([]job, len(r.Options.Plans))
	r.plans = make([]*planJob, len(jobs))
	for i, source := range r.Options.Plans {
		p := &planJob{source: source}
		r.plans[i] = p
		jobs[i] = job{
			do: func() error { r.scanPlan(p); return nil },
			panicked: func(v any, where string) {
				p.refuse(panicked(p.position(), v, where))
			},
		}
	}
	if err := r.runPhase("read plans", jobs); err != nil {
		return err
	}
	if r.Only != "" {
		r.plans = slices.DeleteFunc(r.plans, func(p *planJob) bool { return p.id != r.Only })
	}
	refuseTwice(r.plans)
	return nil
}

func (r *run) scanPlan(p *planJob) {
	var operations []outlined
	used := map[string]bool{} // items
	var plan *step.Plan
	input, err := p.measure()
	if err == nil {
		var list diag.List
		plan, list, err = r.Mapper.Read(p.source.Open, p.source.Base, func(_ *step.Plan, o *step.Operation) error {
			operations = append(operations, outlined{outlineOf(o, r.Effective), o.Sequence})
			p.referTo(o)
			noteUsed(used, o)
			return nil
		})
		p.diagnostics.Add(list...)
	}
	switch {
	case err != nil:
		p.refuse(p.source.Unreadable(err))
	case plan == nil:
		p.refused = true
	default:
		p.input, p.frame = input, plan.Frame
		p.identify(plan)
		if list := noStep(plan, operations, r.Effective); list != nil {
			p.refuse(list...)
		}
		p.setOutline(operations)
		p.referToItems(plan, used)
	}
}

// noStep refuses a plan that has no step, or none that holds for what is asked for.
func noStep(plan *step.Plan, operations []outlined, effective string) diag.List {
	switch steps, left := countSteps(operations); {
	case effective != "" && left > 0 && steps == left:
		return diag.List{diag.RunPlanEmpty.At(plan.Position, "none of the %d steps of plan %q holds for %q", steps, plan.ID.Value, effective)}
	case steps == 0:
		return diag.List{diag.RunPlanEmpty.At(plan.Position, "the rules find no step in plan %q (operations: %d)", plan.ID.Value, len(operations))}
	}
	return nil
}

// countSteps counts the steps, and those of them that were left out.
func countSteps(operations []outlined) (steps, left int) {
	for _, o := range operations {
		for _, s := range o.Steps {
			steps++
			if s.Skipped {
				left++
			}
		}
	}
	return steps, left
}

// cause is the part of an error that names no path of the machine.
func cause(err error) error {
	for {
		inner := errors.Unwrap(err)
		if inner == nil {
			return err
		}
		err = inner
	}
}

func (p *planJob) measure() (bundle.Input, error) {
	f, err := p.source.Open()
	if err != nil {
		return bundle.Input{}, err
	}
	defer f.Close()
	digest, size, err := store.DigestOf(f)
	return bundle.Input{Name: p.source.Base, SHA256: digest, Bytes: size}, err
}

func (p *planJob) identify(plan *step.Plan) {
	p.id, p.revision, p.product = plan.ID.Value, plan.Revision.Value, plan.Product.Value
	if p.id == "" {
		p.refuse(diag.RunPlanNameless.At(plan.Position, "the plan has no id; give plan.id a value in the rules"))
	}
	if p.revision == "" {
		p.revision, p.revisionFrom = "sha-"+p.input.SHA256[:12], "digest"
		p.diagnostics.Add(diag.RunRevisionFromDigest.At(plan.Position, "plan %q has no revision; it is issued as %q", p.id, p.revision))
	}
}

// outlined is an operation's outline with its place in the plan's file, which is
// not that of reading: an inner operation is read before the one around it.
type outlined struct {
	step.OutlineOperation
	sequence int
}

func outlineOf(o *step.Operation, effective string) step.OutlineOperation {
	out := step.OutlineOperation{
		ID: o.ID.Value, Parent: o.Parent.Value, Builds: o.Builds.Value, Alternative: o.Alternative.Value,
		Predecessors: values(o.Predecessors), Order: o.Order.Value, Origin: o.ID.Origin,
		Steps: make([]step.OutlineStep, len(o.Steps)),
	}
	for j, s := range o.Steps {
		out.Steps[j] = step.OutlineStep{ID: s.ID.Value, Alternative: s.Alternative.Value, Predecessors: values(s.Predecessors), Order: s.Order.Value, Origin: s.ID.Origin}
	}
	noteParts(&out, o, effective)
	return out
}

// noteParts notes what is issued of an operation and what it consumes: rules may change
// both. Where a serial number or date is given all that is left holds for it.
func noteParts(out *step.OutlineOperation, o *step.Operation, effective string) {
	consumed := func(parts []step.Part, limits ...[]step.Effectivity) (all, always []string) {
		limited := len(slices.Concat(limits...)) > 0
		for _, p := range parts {
			paths := values(p.Occurrences)
			all = append(all, paths...)
			if effective == "" && (limited || len(p.Effectivity) > 0) || p.Alternative.Given() {
				continue
			}
			always = append(always, paths...)
		}
		return all, always
	}
	out.Consumes, out.Takes = consumed(o.Common.Parts, o.Effectivity)
	for j, s := range o.Steps {
		to := &out.Steps[j]
		to.Skipped = s.Skip.Given()
		to.Consumes, to.Takes = consumed(s.Parts, o.Effectivity, s.Effectivity)
	}
}

func (p *planJob) setOutline(operations []outlined) {
	p.emitted, p.outline = outlineInOrder(operations)
	p.nameFolders()
}

// outlineInOrder brings operations from the order of reading into that of the file,
// and says where each went.
func outlineInOrder(operations []outlined) (emitted []int, outline step.Outline) {
	order := make([]int, len(operations))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(operations[a].sequence, operations[b].sequence) })
	emitted = make([]int, len(operations))
	for at, i := range order {
		emitted[i] = at
		outline.Operations = append(outline.Operations, operations[i].OutlineOperation)
	}
	return emitted, outline
}

func values(texts []step.Text) []string {
	var out []string
	for _, t := range texts {
		out = append(out, t.Value)
	}
	return out
}

// nameFolders gives each step its folder. An id that several operations use is
// told apart by the operation's.
func (p *planJob) nameFolders() {
	count := map[string]int{}
	for _, o := range p.outline.Operations {
		for _, s := range o.Steps {
			count[s.ID]++
		}
	}
	var ids []string
	for _, o := range p.outline.Operations {
		for _, s := range o.Steps {
			if count[s.ID] > 1 {
				ids = append(ids, o.ID+"."+s.ID)
			} else {
				ids = append(ids, s.ID)
			}
		}
	}
	names := bundle.Names(ids)
	for _, o := range p.outline.Operations {
		p.folders = append(p.folders, names[:len(o.Steps)])
		names = names[len(o.Steps):]
	}
}

// refuseTwice refuses plans whose id and revision, or whose id but for letter
// case, another plan of the run has.
func refuseTwice(plans []*planJob) {
	seen := map[string]*planJob{}
	for _, p := range plans {
		if p.refused {
			continue
		}
		for _, key := range []string{p.id + "\x00" + p.revision, "\x00" + strings.ToLower(p.id)} {
			other, twice := seen[key]
			if !twice {
				seen[key] = p
				continue
			}
			if key[0] == 0 && other.id == p.id {
				continue
			}
			for _, pair := range [][2]*planJob{{p, other}, {other, p}} {
				pair[0].refuse(diag.RunPlanTwice.At(pair[0].position(), "plan %q revision %q is also in %q (as plan %q)", pair[0].id, pair[0].revision, pair[1].source.Name, pair[1].id))
			}
			break
		}
	}
}

// referTo notes the attachments of an operation and its steps.
func (p *planJob) referTo(o *step.Operation) {
	note := func(list []step.Attachment) {
		for _, a := range list {
			p.attachments = append(p.attachments, a.File)
		}
	}
	note(o.Common.Attachments)
	for _, s := range o.Steps {
		note(s.Attachments)
	}
}

// unusedItems remarks on items that nothing uses: no operation builds or consumes
// them or may consume them instead, and the structure does not place them.
func unusedItems(plan *step.Plan, used map[string]bool) diag.List {
	var out diag.List
	used[plan.Product.Value] = true
	for _, list := range plan.Structure {
		for _, o := range list {
			used[o.Item.Value] = true
		}
	}
	for _, id := range sortedItems(plan) {
		if !used[id] {
			out.Add(diag.ItemUnused.At(plan.Items[id].ID.Origin.At(plan.Position.File), "no step and no structure uses item %q", id))
		}
	}
	return out
}

// referToItems notes the attachments and geometry of all items, and remarks on
// those that nothing uses.
func (p *planJob) referToItems(plan *step.Plan, used map[string]bool) {
	p.diagnostics.Add(unusedItems(plan, used)...)
	for _, id := range sortedItems(plan) {
		item := plan.Items[id]
		for _, a := range item.Attachments {
			p.attachments = append(p.attachments, a.File)
		}
		for _, g := range item.Geometry {
			p.geometry = append(p.geometry, geometryUse{item: id, ref: g, key: p.shapeKey(g)})
		}
	}
}

func noteUsed(used map[string]bool, o *step.Operation) {
	note := func(parts []step.Part) {
		for _, p := range parts {
			used[p.Item.Value] = true
			for _, id := range p.Substitutes {
				used[id.Value] = true
			}
		}
	}
	used[o.Builds.Value] = true
	note(o.Common.Parts)
	for _, s := range o.Steps {
		note(s.Parts)
	}
}

// sortedItems lists item ids in the order of the plan's file.
func sortedItems(plan *step.Plan) []string {
	ids := make([]string, 0, len(plan.Items))
	for id := range plan.Items {
		ids = append(ids, id)
	}
	slices.SortFunc(ids, func(a, b string) int {
		x, y := plan.Items[a].ID.Origin, plan.Items[b].ID.Origin
		return cmp.Or(cmp.Compare(x.Line, y.Line), cmp.Compare(x.Column, y.Column), cmp.Compare(a, b))
	})
	return ids
}
