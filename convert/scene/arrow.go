package scene

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"planfold/convert/mesh"
	"planfold/convert/raster"
)

const (
	fewest    = 4    // ways alike, at least, that do not each have an arrow
	alike     = 0.02 // of a length, that they differ by at most
	apart     = 0.75 // of their extent, that what lies aside of the rest is from it
	crowded   = 0.04 // of a picture's width, by arrows that lie side by side
	hollow    = 0.6  // of a part's width, empty around its middle
	ringWidth = 96   // samples of what is looked through
)

// arrow is a way as a picture shows it.
type arrow struct {
	way
	path raster.Path
}

// arrows are those of a picture. Of a group that moves together one has an arrow, where there
// is room for it, what is tightened first or else nearest the eye, and each of the others a
// line.
func (c *composer) arrows(ways []way, v *raster.View) (paths []raster.Path) {
	var all []arrow
	for _, w := range ways {
		all = append(all, arrow{w, c.pathOf(&w, v.Position)})
	}
	groups, single := grouped(all)
	for _, g := range groups {
		lead, room := g[0], false
		for _, w := range g {
			free := !slices.ContainsFunc(single, func(o *arrow) bool { return w.crowds(o, v) })
			sooner := cmp.Or(cmp.Compare(c.turn(&w.way), c.turn(&lead.way)), cmp.Compare(w.from.Distance(v.Position), lead.from.Distance(v.Position))) < 0
			if free && !room || free == room && sooner {
				lead, room = w, free
			}
		}
		for _, w := range g {
			w.path.Thin = w != lead
		}
	}
	for _, w := range all {
		paths = append(paths, w.path)
	}
	return paths
}

// turn is the least place in the tightening order of what goes a way; beyond all others, if
// it has none.
func (c *composer) turn(w *way) int {
	least := math.MaxInt
	for _, t := range c.Step.Tightening {
		if n, err := strconv.Atoi(t.Order.Value); err == nil && n < least {
			if i, ok := c.Structure.Find(t.Occurrence.Value); ok && w.carries(i) {
				least = n
			}
		}
	}
	return least
}

// grouped parts arrows into those of groups, which lie together, and single ones.
func grouped(all []arrow) (groups [][]*arrow, single []*arrow) {
	done := make([]bool, len(all))
	for i := range all {
		if done[i] {
			continue
		}
		var group []*arrow
		box := mesh.EmptyBox()
		for k := range all[i:] {
			if w := &all[i+k]; !done[i+k] && w.like(&all[i].way) {
				done[i+k] = true
				group = append(group, w)
				box.Add(w.from)
			}
		}
		if len(group) < fewest {
			single = append(single, group...)
			continue
		}
		for len(group) > 0 {
			together, rest := []*arrow{group[0]}, group[1:]
			for n := 0; n < len(together); n++ {
				var far []*arrow
				for _, w := range rest {
					if w.from.Distance(together[n].from) > float64(apart*box.Diagonal()) {
						far = append(far, w)
					} else {
						together = append(together, w)
					}
				}
				rest = far
			}
			groups, group = append(groups, together), rest
		}
	}
	return groups, single
}

// like reports whether what travels two ways seems to be one group.
func (w *way) like(v *way) bool {
	return w.direction.Dot(v.direction) > parallel &&
		math.Abs(w.length-v.length) <= float64(alike*w.length) && math.Abs(w.travel-v.travel) <= float64(alike*w.travel)
}

// crowds reports whether two arrows lie side by side, and close, in a view.
func (w *arrow) crowds(o *arrow, v *raster.View) bool {
	a, drawn := w.spots(v)
	b, too := o.spots(v)
	if !drawn || !too || w.follows(o.way) {
		return false
	}
	const steps = 8
	for i := range steps + 1 {
		for k := range steps + 1 {
			p := a[0].Add(a[1].Sub(a[0]).Scale(float64(i) / steps))
			q := b[0].Add(b[1].Sub(b[0]).Scale(float64(k) / steps))
			if p.Distance(q) < float64(crowded*v.Width()) {
				return true
			}
		}
	}
	return false
}

// spots are where the ends of an arrow are seen; not ok for one that reaches past the eye,
// which is not drawn.
func (w *arrow) spots(v *raster.View) (out [2]mesh.Vec, ok bool) {
	for k, at := range [2]mesh.Vec{w.path.From, w.path.To} {
		x, y, ok := v.Spot(at)
		if !ok {
			return out, false
		}
		out[k] = mesh.Vec{x, y}
	}
	return out, true
}

// pathOf is the arrow of a way.
func (c *composer) pathOf(w *way, eye mesh.Vec) raster.Path {
	from := w.from.Add(c.ontoRing(w, eye))
	first := slices.IndexFunc(c.pieces, func(p *piece) bool { return p.role == Focus && w.carries(p.occurrence) })
	return raster.Path{From: from, To: from.Add(w.direction.Scale(w.length)), Number: int32(first)}
}

// ontoRing is how far a way lies aside of what it leads a ring to: through the empty middle
// of a wide one an arrow would point at what lies there.
func (c *composer) ontoRing(w *way, eye mesh.Vec) mesh.Vec {
	aside := eye.Sub(w.from)
	aside = aside.Sub(w.direction.Scale(w.direction.Dot(aside))).Unit()
	bodies, reach := c.travelling(w)
	if reach == 0 || aside.Length() == 0 {
		return mesh.Vec{}
	}
	b := raster.NewBuffer(ringWidth, ringWidth)
	v := raster.Orthographic(w.from, w.direction, aside, reach, ringWidth, ringWidth)
	for _, x := range bodies {
		b.Draw(v, x, 0)
	}
	const middle = ringWidth / 2
	least, most := math.Inf(1), 0.0
	for i, t := range b.Tags {
		if t == raster.None {
			continue
		}
		right, up := float64(i%ringWidth-middle)+0.5, float64(middle-i/ringWidth)-0.5
		r := math.Sqrt(float64(right*right) + float64(up*up))
		least, most = min(least, r), max(most, r)
	}
	if !(least > hollow*most) {
		return mesh.Vec{}
	}
	sum, n := 0.0, 0.0
	for up := range middle {
		if b.Tags[(middle-1-up)*ringWidth+middle] != raster.None {
			sum, n = sum+float64(up)+0.5, n+1
		}
	}
	return aside.Scale(float64(sum / max(n, 1) / middle * reach))
}

// travelling is what goes a way, where it starts, and how far it reaches to the sides.
func (c *composer) travelling(w *way) (bodies []*raster.Placed, reach float64) {
	for _, p := range c.pieces {
		if !w.carries(p.occurrence) {
			continue
		}
		start := c.displacement(p.occurrence)
		box := p.bounds.Transform(start)
		for k := range 8 {
			reach = max(reach, box.Corner(k).Sub(w.from).Cross(w.direction).Length())
		}
		for k := range p.shapes {
			s := &p.shapes[k]
			if m := c.Mesh(s.choice.levels[s.choice.at].Blob); m != nil {
				bodies = append(bodies, raster.Place(m, start.Mul(p.placement).Mul(s.Transform)))
			}
		}
	}
	return bodies, reach
}
