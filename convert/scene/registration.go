package scene

import (
	"fmt"
	"math"

	"planfold/convert/diag"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/step"
)

// register finds what the overlay is aligned by.
func (c *composer) register() {
	r := c.Step.Registration
	switch by := r.By(); {
	case r.Occurrence.Given():
		if i, ok := c.find(by, "the registration"); ok {
			c.aligned = i
		}
	case by.Given() && c.Library != nil: // else nobody knows what is large
		if c.aligned = c.largest(r.Class.Value); c.aligned < 0 {
			c.tell(diag.SceneRegistrationToCome, by.Origin, "the step is aligned by %s, and there is none yet", r)
			return
		}
	}
	if c.aligned < 0 {
		return
	}
	c.out.Aligned = c.Structure.Occurrences[c.aligned].Path
	switch part := c.part[c.aligned]; {
	case c.later[c.aligned]:
		c.tell(diag.SceneRegistrationToCome, r.By().Origin, "registration %q comes only with a later step, or one that need not be done before", c.out.Aligned)
	case part >= 0 && c.comes(c.aligned) && (len(c.Present) > 0 || !r.Occurrence.Given()): // who names it begins with it
		c.tell(diag.SceneRegistrationToCome, r.By().Origin, "registration %q comes only with this step", c.out.Aligned)
	}
}

// comes reports whether an occurrence is a part of the step that was not there before.
func (c *composer) comes(i int) bool {
	for _, path := range c.Present {
		if k, ok := c.Structure.Find(path); ok && k <= i && i < c.Structure.Occurrences[k].End {
			return false
		}
	}
	return true
}

// largest is the largest part of a class, or of all, that is there, or else that the step
// brings; of equals the first. It is -1 where there is none.
func (c *composer) largest(class string) int {
	best, size, before := -1, 0.0, false
	for _, i := range c.units(c.Structure) {
		o := &c.Structure.Occurrences[i]
		item := c.Plan.Items[o.Item]
		if c.role(i) == Hidden || !o.Placed || o.Hide || class != "" && (item == nil || item.Class.Value != class) {
			continue
		}
		p := &piece{placement: o.Placement, shapes: c.shapesOf(o.Item)}
		p.measure()
		there, d := c.roles[i] == Context, p.bounds.Diagonal()
		// Equal parts in several places differ in their last digits.
		if d > 0 && (there && !before || there == before && d > float64(size*(1+1e-9))) {
			best, size, before = i, d, there
		}
	}
	return best
}

// castRegistration shows what the overlay is aligned by: it must be there in
// reality, whether or not the plan has said so, and is not given up for triangles.
func (c *composer) castRegistration() {
	if c.aligned < 0 {
		return
	}
	for k := c.aligned; k < c.Structure.Occurrences[c.aligned].End; k++ {
		c.kept[k] = true
		if c.roles[k] == "" && c.part[k] < 0 {
			c.roles[k] = Context
		}
	}
}

// judgeRegistration tells if a rule hides it.
func (c *composer) judgeRegistration() {
	if c.aligned >= 0 && c.role(c.aligned) == Hidden {
		c.tell(diag.SceneRegistrationHidden, c.Step.Registration.By().Origin, "registration %q is not shown", c.out.Aligned)
	}
}

// Registration is a light mesh of what an overlay is aligned by, with its sharp edges as
// lines, in the frame of what is built.
type Registration struct {
	Light
	Edges int
	// Symmetric says how it may be turned and look the same, or is empty.
	Symmetric string
}

// Position is where its zero stands in a scene of that origin, in the scene's axes.
func (l *Light) Position(up byte, origin [3]float64) [3]float64 {
	return micrometres(turnedUp(up).Point(mesh.Vec(l.Origin).Sub(origin)))
}

const (
	// Edges are told from a level that is closer than what is shown need be: on a coarse
	// one a round face has creases too.
	edgeDistance = coarseDistance / 4
	edgeShare    = coarseShare / 4
	// registrationShare of a step's triangles are as many as the mesh has at most.
	registrationShare = 10
)

// Register makes it for an occurrence of in.Structure; nil where nothing of it is drawn.
// The error is of a number that a file cannot hold.
func Register(in Input, path string) (*Registration, error) {
	in.Step = &step.Step{}
	c := newComposer(in)
	i, ok := c.Structure.Find(path)
	if !ok {
		return nil, nil
	}
	c.give(i, Context, -1)
	c.hide()
	c.collect()
	if !c.drawsAny() {
		return nil, nil
	}
	c.fitEdges()
	c.origin, _ = centreOf(c.pieces, "")
	r, j := &Registration{}, c.join()
	l, err := c.light("registration", j, func(l *Light, doc *glb.Document, root int) {
		points, ends := sharpEdges(&j.mesh)
		if r.Edges = len(ends); r.Edges > 0 {
			store := func(data []byte) string { return c.BlobURI(l.keep(data, glb.Layout{})) }
			doc.Node(root, glb.Node{Mesh: 1 + doc.Lines("edges", points, ends, edgeLook, store)})
		}
	})
	if l == nil {
		return nil, err
	}
	r.Light = *l
	r.Symmetric = symmetryOf(&j.mesh, ownAxes(c.Structure.Occurrences[i].Placement)).String()
	return r, nil
}

// edgeLook is dark, so that lines stand out from the surface.
var edgeLook = mesh.Material{Color: [4]float64{0.02, 0.02, 0.02, 1}, Roughness: 1}

// fitEdges takes, of each ladder, the coarsest level that is close enough, or closer to
// that the fewer triangles the profile allows.
func (c *composer) fitEdges() {
	for more := 1.0; ; more *= 2 {
		total, coarsest := 0, true
		for _, p := range c.pieces {
			enough := float64(more * min(edgeDistance, float64(edgeShare*p.bounds.Diagonal())))
			for k := range p.shapes {
				s := &p.shapes[k]
				s.choice = &choice{levels: s.levels}
				for s.choice.at < len(s.levels)-1 && float64(s.scale*s.levels[s.choice.at].Deviation) > enough {
					s.choice.at++
				}
				total += s.choice.triangles()
				coarsest = coarsest && s.choice.at == 0
			}
		}
		if coarsest || total <= c.Profile.StepTriangles/registrationShare {
			return
		}
	}
}

// ownAxes are those of the part's own frame, where a placement takes them.
func ownAxes(m mesh.Mat) (axes [3]mesh.Vec) {
	for k := range 3 {
		axes[k] = mesh.Vec{m[4*k], m[4*k+1], m[4*k+2]}.Unit()
	}
	return axes
}

// String says in words how the surface may be turned; empty if not at all.
func (s symmetry) String() string {
	if s.order == 0 {
		return ""
	}
	axis := s.axis
	for k := range axis {
		axis[k] = math.Round(float64(axis[k]*1000))/1000 + 0
	}
	if s.round {
		return fmt.Sprintf("by any angle about the axis %g %g %g", axis[0], axis[1], axis[2])
	}
	return fmt.Sprintf("by 1/%d about the axis %g %g %g", s.order, axis[0], axis[1], axis[2])
}
