package scene

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"hash"
	"math"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/raster"
)

// What is enclosed by what is already there is seen by nobody, and leaves the context.
//
// A part is enclosed when no sample of it is seen, past the rest of the context, from
// any of many directions all around. The parts of the step hide nothing, since they
// move; they and what they touch stay, and so does what the overlay is aligned by. A
// part too thin for the samples is not judged, and stays. An opening lets through the
// directions that lie in the cone from its far end, so one that is less than about
// twice as deep as it is wide is looked through.
//
// From each direction there is one buffer for all steps of a structure, into which only
// what has come since is drawn, and only when something is to be found out that no run
// has found out before. What was found enclosed stays so while parts are added.

const (
	fewContext = 8   // that are not worth looking at
	lookSize   = 288 // samples that show all of a structure
	thin       = 3.0 // samples, of a part that is not judged
	renewals   = 8   // of the buffers, where a context lacks what they show
)

// insight is what was found of who encloses whom in a structure.
type insight struct {
	sample  float64 // metres
	eyes    []lookout
	waiting []func()  // what is there and not drawn yet
	drawn   hash.Hash // of all that the buffers hold when nothing waits
	there   []bool    // by occurrence: it is drawn, or waits
	blind   bool      // some of it could not be
	pieces  int
	renewed int
	found   []finding
}

// lookout is a direction, and what is seen from there, tagged by occurrence.
type lookout struct {
	view   *raster.View
	buffer *raster.Buffer // nil before anything is drawn
}

// finding says who is enclosed where all these are there.
type finding struct{ there, enclosed []int }

// leaveEnclosed takes out of the context what nobody sees.
func (c *composer) leaveEnclosed() {
	context := c.standing()
	if len(context) < fewContext {
		return
	}
	there := make([]bool, len(c.roles))
	for _, p := range context {
		there[p.occurrence] = true
	}
	c.lookAround(context, there)
	enclosed := c.Structure.insight.enclosedBy(there)
	if c.aligned >= 0 && enclosed[c.aligned] {
		c.tell(diag.SceneRegistrationHidden, c.Step.Registration.By().Origin, "registration %q is enclosed by what is already there", c.out.Aligned)
	}
	c.pieces = slices.DeleteFunc(c.pieces, func(p *piece) bool {
		if !enclosed[p.occurrence] || p.role != Context || c.kept[p.occurrence] || c.touchesFocus(p) {
			return false
		}
		c.out.Enclosed = append(c.out.Enclosed, p.name)
		for _, s := range p.shapes {
			c.out.EnclosedTriangles += s.levels[0].Triangles
		}
		return true
	})
}

// standing is the context that stays in its place.
func (c *composer) standing() (out []*piece) {
	moved := make([]bool, len(c.roles))
	move := func(path string) {
		if i, ok := c.Structure.Find(path); ok {
			for k := i; k < c.Structure.Occurrences[i].End; k++ {
				moved[k] = true
			}
		}
	}
	if c.saved != nil {
		for _, d := range c.saved.Displaced {
			move(d.Occurrence.Value)
		}
	}
	for _, m := range c.Step.Motions {
		move(m.Occurrence)
	}
	for _, p := range c.pieces {
		if p.role == Context && !moved[p.occurrence] && len(p.shapes) > 0 {
			out = append(out, p)
		}
	}
	return out
}

// near is how close to a part of the step something is that it may touch, metres.
const near = 0.002

func (c *composer) touchesFocus(p *piece) bool {
	return slices.ContainsFunc(c.pieces, func(f *piece) bool {
		if f.role != Focus || f.bounds.Empty() {
			return false
		}
		for k := range 3 {
			if p.bounds.Min[k] > f.bounds.Max[k]+near || f.bounds.Min[k] > p.bounds.Max[k]+near {
				return false
			}
		}
		return true
	})
}

// lookAround finds what of a context nobody sees. A context that lacks what the buffers
// show is drawn anew only if it has as much, and not often: else what was found of less
// has to do.
func (c *composer) lookAround(context []*piece, there []bool) {
	n := &c.Structure.insight
	if n.eyes == nil {
		c.openEyes()
	} else if !within(indexes(n.there), there) {
		if len(context) < n.pieces || n.renewed == renewals {
			return
		}
		n.renewed++
		n.there = make([]bool, len(there))
		for i := range n.eyes {
			n.eyes[i].buffer = nil
		}
		n.waiting = nil
		fmt.Fprintln(n.drawn, "cleared")
	}
	n.pieces = len(context)
	for _, p := range context {
		if !n.there[p.occurrence] {
			n.there[p.occurrence] = true
			c.show(p)
		}
	}
	if f := c.judge(context); len(n.found) == 0 || !slices.Equal(f.enclosed, n.found[len(n.found)-1].enclosed) {
		n.found = append(n.found, f)
	}
}

// openEyes makes the buffers, which take in all of the structure.
func (c *composer) openEyes() {
	box := mesh.EmptyBox()
	for _, i := range c.units(c.Structure) {
		if o := &c.Structure.Occurrences[i]; o.Placed {
			p := piece{placement: o.Placement, shapes: c.shapesOf(o.Item)}
			p.measure()
			box.Join(p.bounds)
		}
	}
	n := &c.Structure.insight
	n.sample, n.there, n.drawn = box.Diagonal()/lookSize, make([]bool, len(c.roles)), sha256.New()
	for _, d := range directions {
		up := mesh.Vec{0, 0, 1}
		if math.Abs(d[2]) > 0.9 {
			up = mesh.Vec{1, 0, 0}
		}
		v := raster.Orthographic(box.Centre(), d, up, 0.5*box.Diagonal(), lookSize, lookSize)
		n.eyes = append(n.eyes, lookout{view: v})
		fmt.Fprintln(n.drawn, *v, lookSize)
	}
}

// show has a piece drawn, at the coarsest levels that are exact enough.
func (c *composer) show(p *piece) {
	n := &c.Structure.insight
	for k := range p.shapes {
		s := &p.shapes[k]
		at := slices.IndexFunc(s.levels, func(v Level) bool { return float64(v.Deviation*s.scale) <= n.sample/2 })
		if at < 0 {
			at = len(s.levels) - 1
		}
		blob, tag, place := s.levels[at].Blob, int32(p.occurrence), p.placement.Mul(s.Transform)
		fmt.Fprintln(n.drawn, blob, place, tag)
		n.waiting = append(n.waiting, func() {
			m := c.Mesh(blob)
			if m == nil {
				n.blind = true
				return
			}
			body := raster.Place(m, place)
			for _, e := range n.eyes {
				e.buffer.Draw(e.view, body, tag)
			}
		})
	}
}

// judge finds what of a context is enclosed. That depends on how meshes are drawn, on all
// that was drawn, where and seen from where, and on who is judged, of what size.
func (c *composer) judge(context []*piece) (out finding) {
	n := &c.Structure.insight
	var key bytes.Buffer
	fmt.Fprintf(&key, "enclosed 1 %s %x %v %v\n", raster.Version, n.drawn.Sum(nil), n.sample, thin)
	for _, p := range context {
		out.there = append(out.there, p.occurrence)
		fmt.Fprintln(&key, p.occurrence, p.bounds)
	}
	c.Once(key.String(), &out.enclosed, func() { out.enclosed = n.enclosed(context) })
	return out
}

// enclosed lists what of a context is not seen.
func (n *insight) enclosed(context []*piece) (out []int) {
	for i := range n.eyes {
		if e := &n.eyes[i]; e.buffer == nil {
			e.buffer = raster.NewBuffer(lookSize, lookSize)
		}
	}
	for _, draw := range n.waiting {
		draw()
	}
	n.waiting = nil
	seen := make([]bool, len(n.there))
	for _, e := range n.eyes {
		for _, t := range e.buffer.Tags {
			if t != raster.None {
				seen[t] = true
			}
		}
	}
	for _, p := range context {
		size := p.bounds.Max.Sub(p.bounds.Min)
		if !n.blind && !seen[p.occurrence] && min(size[0], size[1], size[2]) >= float64(thin*n.sample) {
			out = append(out, p.occurrence)
		}
	}
	return out
}

// enclosedBy tells what is known to be enclosed by what is there.
func (n *insight) enclosedBy(there []bool) []bool {
	enclosed := make([]bool, len(there))
	for _, f := range n.found {
		if within(f.there, there) {
			for _, i := range f.enclosed {
				enclosed[i] = true
			}
		}
	}
	return enclosed
}

func within(some []int, set []bool) bool {
	return !slices.ContainsFunc(some, func(i int) bool { return !set[i] })
}

func indexes(set []bool) (out []int) {
	for i, in := range set {
		if in {
			out = append(out, i)
		}
	}
	return out
}

// directions are spread evenly over the sphere: on a spiral from pole to pole, each the
// golden angle on from the one before.
var directions = func() (out [96]mesh.Vec) {
	const cos, sin = -0.7373688780783197, 0.6754902942615238 // of the golden angle
	x, y := 1.0, 0.0
	for i := range out {
		z := (2*float64(i)+1)/float64(len(out)) - 1
		r := math.Sqrt(1 - float64(z*z))
		out[i] = mesh.Vec{float64(r * x), float64(r * y), z}
		x, y = float64(x*cos)-float64(y*sin), float64(x*sin)+float64(y*cos)
	}
	return out
}()
