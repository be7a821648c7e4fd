package scene

import (
	"slices"

	"planfold/convert/mesh"
)

// way is the straight line on which something travels home: from is where its front
// starts, and length is how far an arrow goes that does not cover its seat.
type way struct {
	from, direction mesh.Vec
	length          float64 // of the arrow
	travel          float64
	moved           [][2]int // occurrences that go it, from one to before another
}

const (
	leastShown = 0.6    // of a travel, by its arrow, though it runs into the seat
	parallel   = 0.9999 // cosine
	sameLine   = 0.02   // of a travel, that lines are apart
)

// ways are those of what moves with a part of the step in it. What travels one behind the
// other on one line has one.
func (c *composer) ways() (ways []way) {
	for i, o := range c.Structure.Occurrences {
		m := c.moves[i]
		if m == nil || m.offset.Length() == 0 || !slices.ContainsFunc(c.pieces, func(p *piece) bool {
			return p.role == Focus && p.occurrence >= i && p.occurrence < o.End
		}) {
			continue
		}
		w := c.way(i, m)
		if k := slices.IndexFunc(ways, w.follows); k >= 0 {
			ways[k].join(w)
		} else {
			ways = append(ways, w)
		}
	}
	return ways
}

// way of a move: its arrow starts before what moves and ends behind where that will be,
// if there is room enough between.
func (c *composer) way(i int, m *move) way {
	home := m.offset.Unit().Scale(-1)
	front, back := 0.0, 0.0
	for _, p := range c.pieces {
		if p.occurrence < i || p.occurrence >= c.Structure.Occurrences[i].End || p.bounds.Empty() {
			continue
		}
		for k := range 8 {
			d := home.Dot(p.bounds.Corner(k).Sub(m.middle))
			front, back = max(front, d), max(back, -d)
		}
	}
	around := mesh.Identity()
	if o := c.Structure.Occurrences[i]; o.Parent >= 0 {
		around = c.displacement(o.Parent)
	}
	travel := m.offset.Length()
	from := m.middle.Add(m.offset).Add(home.Scale(front))
	return way{around.Point(from), around.Direction(home).Unit(), max(travel-front-back, leastShown*travel), travel, [][2]int{{i, c.Structure.Occurrences[i].End}}}
}

// carries reports whether an occurrence goes the way.
func (w *way) carries(i int) bool {
	return slices.ContainsFunc(w.moved, func(m [2]int) bool { return i >= m[0] && i < m[1] })
}

// follows reports whether two ways overlap on one line.
func (w *way) follows(v way) bool {
	d := v.from.Sub(w.from)
	ahead := w.direction.Dot(d)
	return w.direction.Dot(v.direction) > parallel &&
		d.Sub(w.direction.Scale(ahead)).Length() < float64(sameLine*w.travel) &&
		ahead < w.travel && -ahead < v.travel
}

// join makes one arrow of two: from what is farthest on.
func (w *way) join(v way) {
	ahead := w.direction.Dot(v.from.Sub(w.from))
	end := max(w.length, ahead+v.length)
	if ahead < 0 {
		w.from = v.from
		end -= ahead
	}
	w.length, w.travel, w.moved = end, max(w.travel, v.travel), append(w.moved, v.moved...)
}
