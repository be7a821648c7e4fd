package scene

import (
	"slices"

	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/step"
)

// piece is what one named node shows: an occurrence in its place, or a part on the
// tray.
type piece struct {
	name       string
	occurrence int // -1 on the tray
	item       string
	part       int
	role       string
	placement  mesh.Mat // to the frame of what is built
	shapes     []drawn
	bounds     mesh.Box // in the frame of what is built; empty without geometry
	closeness  float64  // to the eye, at most 1
	dropped    bool
}

// drawn is one shape of a piece. On the tray, a sub-assembly is one piece whose
// shapes are of several items.
type drawn struct {
	Shape  // Transform leads to the piece's frame
	item   string
	levels []Level // coarse to fine, at least one
	choice *choice
	scale  float64 // largest singular value of all transforms
}

// middle is the point that a piece turns about.
func (p *piece) middle() mesh.Vec {
	box := mesh.EmptyBox()
	for _, s := range p.shapes {
		box.Join(s.Ladder.Bounds.Transform(s.Transform))
	}
	if box.Empty() {
		return p.placement.Point(mesh.Vec{})
	}
	return p.placement.Point(box.Centre())
}

func (p *piece) measure() {
	p.bounds = mesh.EmptyBox()
	for i := range p.shapes {
		s := &p.shapes[i]
		total := p.placement.Mul(s.Transform)
		s.scale = stretchOf(total).largest
		p.bounds.Join(s.Ladder.Bounds.Transform(total))
	}
}

// shapesOf lists the shapes of an item that draw anything.
func (c *composer) shapesOf(item string) []drawn {
	out, ok := c.shapes[item]
	if !ok {
		for _, s := range c.Library[item] {
			if levels := useful(s.Ladder); len(levels) > 0 && !s.Ladder.Bounds.Empty() && !stretchOf(s.Transform).flat {
				out = append(out, drawn{Shape: s, item: item, levels: levels})
			}
		}
		c.shapes[item] = out
	}
	return slices.Clone(out)
}

// units lists what is drawn of a structure: the lowest occurrences, but a
// sub-assembly below which nothing has geometry is one unit, with its own.
func (c *composer) units(s *Structure) []int {
	known := map[string]bool{}
	deep := make([]bool, len(s.Occurrences)) // something that stands in it has geometry
	for i := len(s.Occurrences) - 1; i >= 0; i-- {
		o := s.Occurrences[i]
		has, ok := known[o.Item]
		if !ok {
			has = len(c.shapesOf(o.Item)) > 0
			known[o.Item] = has
		}
		if o.Parent >= 0 && (has || deep[i]) {
			deep[o.Parent] = true
		}
	}
	var out []int
	for i := 0; i < len(s.Occurrences); {
		if deep[i] {
			i++
			continue
		}
		out = append(out, i)
		i = s.Occurrences[i].End
	}
	return out
}

// collect makes the pieces that stand in place.
func (c *composer) collect() {
	for _, i := range c.units(c.Structure) {
		o := &c.Structure.Occurrences[i]
		role := c.role(i)
		if role == Hidden || !o.Placed {
			continue
		}
		p := &piece{name: o.Path, occurrence: i, item: o.Item, part: c.part[i], role: role, placement: o.Placement, shapes: c.shapesOf(o.Item)}
		if len(p.shapes) == 0 && p.part < 0 {
			continue // context that cannot be seen
		}
		p.measure()
		c.pieces = append(c.pieces, p)
	}
	c.tellMissing()
}

// findFocus measures what the step is about, where it stands in place.
func (c *composer) findFocus() {
	box := mesh.EmptyBox()
	for _, p := range c.pieces {
		if p.role == Focus {
			box.Join(p.bounds)
		}
	}
	if !box.Empty() {
		c.out.Focus = &box
	}
}

// tellMissing reports the step's items without geometry, each once.
func (c *composer) tellMissing() {
	told := map[string]bool{}
	for _, p := range c.pieces {
		if len(p.shapes) == 0 && !told[p.item] {
			told[p.item] = true
			c.tellNoGeometry(p.item, c.parts[p.part].Origin)
		}
	}
}

func (c *composer) tellNoGeometry(item string, at step.Origin) {
	if known := c.Plan.Items[item]; known != nil && len(known.Geometry) > 0 {
		c.tell(diag.SceneGeometryMissing, at, "nothing is drawn of item %q: its geometry cannot be used", item)
		return
	}
	c.tell(diag.SceneItemWithoutGeometry, at, "nothing is drawn of item %q: the plan names no geometry for it", item)
}
