package convert

import (
	"planfold/convert/diag"
	"planfold/convert/scene"
	"planfold/convert/step"
)

// Checked is a plan that was judged as far as it can be without geometry and
// attachments.
type Checked struct {
	Plan        *step.Plan // nil if the export is no plan
	Diagnostics diag.List
	job         *planJob
}

// Check maps one plan as Map does, and raises what a run would raise of the plan
// itself: of its order, of its structure, of what its steps and rules name. The mapper
// leaves out what does not hold for the serial number or date, if one is given.
func Check(m Mapper, s Source, effective string, each func(*step.Plan, *step.Operation) error) (*Checked, error) {
	c := checking{effective: effective, used: map[string]bool{}, structures: structures{}}
	p, list, err := Map(m, s, func(p *step.Plan, o *step.Operation) error {
		c.take(p, o)
		return each(p, o)
	})
	if err != nil || p == nil {
		return &Checked{Diagnostics: list}, err
	}
	job := &planJob{source: s, diagnostics: append(list, c.found...)}
	if !p.Revision.Given() {
		if job.input, err = job.measure(); err != nil {
			return &Checked{Diagnostics: list}, err
		}
	}
	job.identify(p)
	job.diagnostics.Add(c.end(p, effective)...)
	return &Checked{p, job.diagnostics, job}, nil
}

// CheckTwice raises what is wrong with plans together.
func CheckTwice(plans []*Checked) {
	var jobs []*planJob
	for _, p := range plans {
		if p.job != nil {
			jobs = append(jobs, p.job)
		}
	}
	refuseTwice(jobs)
	for _, p := range plans {
		if p.job != nil {
			p.Diagnostics = p.job.diagnostics
		}
	}
}

type checking struct {
	effective  string
	operations []outlined
	used       map[string]bool // items
	structures structures
	found      diag.List
}

func (c *checking) take(p *step.Plan, o *step.Operation) {
	c.operations = append(c.operations, outlined{outlineOf(o, c.effective), o.Sequence})
	noteUsed(c.used, o)
	for _, s := range o.Steps {
		if s.Skip.Given() {
			continue
		}
		structure, list := c.structures.of(p, o.Builds.Value)
		c.found.Add(list...)
		for _, d := range scene.Check(scene.Input{Plan: p, Operation: o, Step: s, Structure: structure}) {
			if !saidBefore(d, s.Diagnostics) {
				c.found.Add(d)
			}
		}
	}
}

func (c *checking) end(p *step.Plan, effective string) diag.List {
	_, list := c.structures.of(p, "")
	list.Add(noStep(p, c.operations, effective)...)
	_, outline := outlineInOrder(c.operations)
	d := documents{plan: p, product: p.Product.Value, outline: &outline}
	list.Add(d.sequence(p.Position.File)...)
	list.Add(d.unconsumed()...)
	return append(list, unusedItems(p, c.used)...)
}

// structures are those of a plan's items, each expanded once.
type structures map[string]*scene.Structure

// of expands what an operation builds. The list is what is wrong with it, the first
// time that it is asked for.
func (s structures) of(p *step.Plan, builds string) (*scene.Structure, diag.List) {
	if builds == p.Product.Value {
		builds = ""
	}
	if known := s[builds]; known != nil {
		return known, nil
	}
	expanded, list := scene.Expand(p, builds)
	s[builds] = expanded
	return expanded, list
}
