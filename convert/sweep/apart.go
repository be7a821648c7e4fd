package sweep

import (
	"math"
	"slices"

	"planfold/convert/mesh"
)

// Moving is a body that is to leave.
type Moving struct {
	Body
	// Ways are directions of unit length in which it may leave; of those that are equally
	// short the first is taken. Float is the one that is taken if it touches nothing.
	Ways  []mesh.Vec
	Float int
	// Given, if it is not zero, is a distance: the body leaves in its first way by so
	// much, whatever is in the way.
	Given float64
	// Kind is equal of bodies that leave together where they can.
	Kind int
}

// Leave is how a body leaves, or what keeps it.
type Leave struct {
	Moving   int
	Round    int // from 0; bodies of one round leave together
	Way      int // in its Ways; -1 if it cannot leave
	Distance float64
	Met      *Meeting // what keeps it, or what a given way goes through; nil if nothing
}

// Meeting is what a body runs into.
type Meeting struct {
	Moving int // -1 for what stands still
	Shell  int
}

// apart is the state of taking apart. Body 0 stands still.
type apart struct {
	bodies []Body
	moving []Moving
	boxes  []mesh.Box
	fields map[mesh.Vec]*field // by direction
	wide   map[mesh.Vec]*field // the same, of bodies that were moved
	passes [][][]pass          // by moving body and way
	wanted []int               // by moving body: the way that is shortest from where all stand
	room   []float64           // by moving body that left: how far it might have gone
	left   []int
	kept   []bool // by moving body: it is still there
	leaves []Leave
}

// Apart takes bodies away from what stands still and from each other, one after the
// other, each in the shortest of its ways that are free: until it has passed all that is
// near, and from there on straight in one of its ways for good. What is listed last
// leaves first, if the way that is shortest from where all stand is free then; when there
// is no such body, the smallest leaves that can. Bodies that cannot leave come last.
func Apart(still Body, moving []Moving) []Leave {
	a := newApart(still, moving)
	for round := 0; len(a.left) > 0; round++ {
		first, way := a.next()
		if way < 0 {
			break
		}
		a.leave(first, way, round)
	}
	for _, i := range a.left {
		a.leaves = append(a.leaves, Leave{Moving: i, Way: -1, Met: a.meets(i, 0)})
	}
	a.stack()
	a.wait()
	return a.leaves
}

func newApart(still Body, moving []Moving) *apart {
	a := &apart{bodies: []Body{still}, moving: moving, fields: map[mesh.Vec]*field{}, wide: map[mesh.Vec]*field{}}
	for i, m := range moving {
		a.bodies = append(a.bodies, m.Body)
		a.left, a.kept, a.room = append(a.left, i), append(a.kept, true), append(a.room, math.Inf(1))
	}
	columns := map[mesh.Vec][]mesh.Box{}
	for _, m := range moving {
		box := mesh.EmptyBox()
		for _, s := range m.Shells {
			box.Join(s.Bounds.Transform(s.At))
		}
		a.boxes = append(a.boxes, box)
		for _, w := range m.Ways {
			columns[w] = append(columns[w], box)
		}
	}
	for i, m := range moving {
		a.passes = append(a.passes, nil)
		for _, w := range m.Ways {
			if a.fields[w] == nil {
				a.fields[w] = newField(a.bodies, w, columns[w])
			}
			e := errand{body: i + 1, reach: math.Inf(1), margin: a.margin(i), enough: a.margin(i)}
			if m.Given > 0 {
				e.reach, e.enough = m.Given, m.Given
			}
			a.passes[i] = append(a.passes[i], a.fields[w].out(e))
		}
	}
	for i := range moving {
		a.wanted = append(a.wanted, a.shortest(i, func(w int) (float64, bool) {
			_, ok := a.free(i, w, false)
			return a.clear(i, w, true), ok
		}))
	}
	return a
}

// margin is how far a body moves beyond what is near, so that it is seen to be out.
func (a *apart) margin(i int) float64 { return a.boxes[i].Diagonal() / 3 }

// there tells whether a body is there, of those that are listed with what stands still.
func (a *apart) there(body int) bool { return body == 0 || a.kept[body-1] }

// clear is how far a body moves until it has passed what is near: those that are still
// there, or all.
func (a *apart) clear(i, way int, all bool) (clear float64) {
	for _, p := range a.passes[i][way] {
		if all || a.there(p.body) {
			clear = max(clear, p.clear)
		}
	}
	return clear
}

// free tells whether a body's way is free of what stands still and, if others count, of
// those that are still there; and how far it may move.
func (a *apart) free(i, way int, others bool) (room float64, ok bool) {
	room = math.Inf(1)
	for _, p := range a.passes[i][way] {
		if p.body == 0 || others && a.there(p.body) {
			room = min(room, p.at)
		}
	}
	if math.IsInf(room, 1) {
		return room, true
	}
	distance := a.clear(i, way, !others) + a.margin(i)
	return room, room > distance && a.escapes(i, a.moving[i].Ways[way].Scale(distance), others)
}

// escapes tells whether a body that has been moved a little leaves from there, straight,
// by any way.
func (a *apart) escapes(i int, shift mesh.Vec, others bool) bool {
	absent := func(j int) bool { return j > 0 && !(others && a.kept[j-1]) }
	return slices.ContainsFunc(a.moving[i].Ways, func(w mesh.Vec) bool {
		if a.wide[w] == nil {
			everywhere := math.MaxFloat32
			a.wide[w] = newField(a.bodies, w, []mesh.Box{{Min: mesh.Vec{-everywhere, -everywhere, -everywhere}, Max: mesh.Vec{everywhere, everywhere, everywhere}}})
		}
		met := a.wide[w].out(errand{body: i + 1, shift: shift, reach: math.Inf(1), enough: math.Inf(1), skip: absent})
		return !slices.ContainsFunc(met, pass.met)
	})
}

// shortest is the first of the ways of a body that are free and, but for a little, as
// short as any; -1 if none is. Given ways are free. A body that touches nothing floats.
func (a *apart) shortest(i int, way func(w int) (clear float64, ok bool)) int {
	m := a.moving[i]
	if m.Given > 0 {
		return 0
	}
	clears := make([]float64, len(m.Ways))
	least, most := math.Inf(1), 0.0
	for w := range m.Ways {
		clear, ok := way(w)
		if clears[w] = clear; ok {
			least, most = min(least, clear), max(most, clear)
		} else {
			clears[w] = math.Inf(1)
		}
	}
	if least == 0 && most == 0 && clears[m.Float] == 0 {
		return m.Float
	}
	const tie, tieShare = 0.001, 1.1
	return slices.IndexFunc(clears, func(c float64) bool { return !math.IsInf(c, 1) && c <= float64(tieShare*least)+tie })
}

// now is the way that is shortest as things stand.
func (a *apart) now(i int) int {
	return a.shortest(i, func(w int) (float64, bool) {
		_, ok := a.free(i, w, true)
		return a.clear(i, w, false), ok
	})
}

// next is the body that leaves next, and its way; -1 if none can.
func (a *apart) next() (i, way int) {
	for _, i := range slices.Backward(a.left) {
		w := a.wanted[i]
		if w < 0 {
			continue
		}
		if a.moving[i].Given > 0 {
			if !slices.ContainsFunc(a.passes[i][w], func(p pass) bool { return p.met() && p.body > 0 && a.there(p.body) }) {
				return i, w
			}
		} else if _, ok := a.free(i, w, true); ok {
			if a.clear(i, w, false) == 0 { // what made it the shortest may have left
				w = a.now(i)
			}
			return i, w
		}
	}
	smallest := -1
	for _, i := range slices.Backward(a.left) {
		if a.moving[i].Given > 0 {
			continue
		}
		if w := a.now(i); w >= 0 && (smallest < 0 || a.boxes[i].Diagonal() < a.boxes[smallest].Diagonal()) {
			smallest, way = i, w
		}
	}
	if smallest >= 0 {
		return smallest, way
	}
	for _, i := range slices.Backward(a.left) { // none is free: what is given goes all the same
		if a.moving[i].Given > 0 {
			return i, 0
		}
	}
	return -1, -1
}

// leave takes a body away, with those of its kind that can go with it.
func (a *apart) leave(first, way, round int) {
	m := a.moving[first]
	group := []int{first}
	for _, i := range a.left {
		o := a.moving[i]
		if i != first && m.Given == 0 && o.Given == 0 && o.Kind == m.Kind {
			if w := a.now(i); w >= 0 && o.Ways[w] == m.Ways[way] {
				group = append(group, i)
			}
		}
	}
	distance := m.Given
	list := make([]Leave, len(group))
	for k, i := range group {
		w := slices.Index(a.moving[i].Ways, m.Ways[way])
		list[k] = Leave{Moving: i, Round: round, Way: w}
		if m.Given > 0 {
			list[k].Met = a.meets(i, w)
			continue
		}
		a.room[i], _ = a.free(i, w, true)
		distance = max(distance, a.clear(i, w, false)+a.margin(i))
	}
	for _, l := range list {
		l.Distance = min(distance, a.room[l.Moving])
		a.leaves = append(a.leaves, l)
		a.kept[l.Moving] = false
	}
	a.left = slices.DeleteFunc(a.left, func(i int) bool { return !a.kept[i] })
}

// meets is what a body runs into on a way, of what is still there.
func (a *apart) meets(i, way int) *Meeting {
	for _, p := range a.passes[i][way] {
		if p.met() && a.there(p.body) {
			return &Meeting{p.body - 1, p.shell}
		}
	}
	return nil
}

// stack moves bodies that left the same way so far apart that each starts beyond those
// that are there before it.
func (a *apart) stack() {
	for k, l := range slices.Backward(a.leaves) {
		if l.Way < 0 || a.moving[l.Moving].Given > 0 {
			continue
		}
		own := a.column(l)
		for _, before := range a.leaves[k+1:] {
			if before.Way < 0 || before.Round == l.Round || a.direction(before) != a.direction(l) {
				continue
			}
			other := a.column(before)
			if own.Max[0] > other.Min[0] && other.Max[0] > own.Min[0] && own.Max[1] > other.Min[1] && other.Max[1] > own.Min[1] {
				a.push(l.Round, before.Distance+other.Max[2]-own.Min[2]+a.boxes[l.Moving].Diagonal()/10)
			}
		}
	}
}

// wait sees to what happens when this is played backwards: a body that left early waits
// where it starts while those that left after it come in. Its start is moved out until
// boxes around their ways are clear of it. Where it cannot be, the one that would go
// through it stays, with all that left after that one.
func (a *apart) wait() {
	for range len(a.leaves) {
		further := false
		for k, l := range a.leaves {
			for _, in := range a.leaves[k+1:] {
				if in.Way < 0 || a.moving[in.Moving].Given > 0 || !a.hits(in, a.leaves[k]) {
					continue
				}
				was := a.leaves[k].Distance
				if a.moving[l.Moving].Given == 0 {
					across := looking(a.direction(l))
					a.push(l.Round, a.swept(in).Transform(across).Max[2]-a.column(l).Min[2]+a.boxes[l.Moving].Diagonal()/10)
				}
				if further = further || a.leaves[k].Distance > was; a.hits(in, a.leaves[k]) {
					a.keep(in.Round, l.Moving)
				}
			}
		}
		if !further {
			return
		}
	}
}

// hits tells whether a body on its way may run into one that waits.
func (a *apart) hits(in, waits Leave) bool {
	if waits.Way < 0 || in.Way < 0 || in.Round == waits.Round || a.direction(in) == a.direction(waits) {
		return false // those of one direction are stacked
	}
	way := a.swept(in)
	there := moved(a.boxes[waits.Moving], a.direction(waits).Scale(waits.Distance))
	for k := range 3 {
		if way.Max[k]-there.Min[k] < allowed || there.Max[k]-way.Min[k] < allowed {
			return false
		}
	}
	return true
}

// swept is a box around all of a body's way.
func (a *apart) swept(l Leave) mesh.Box {
	box := moved(a.boxes[l.Moving], a.direction(l).Scale(l.Distance))
	box.Join(a.boxes[l.Moving])
	return box
}

func moved(b mesh.Box, by mesh.Vec) mesh.Box { return mesh.Box{Min: b.Min.Add(by), Max: b.Max.Add(by)} }

// keep leaves what left from a round on where it stands, since another is in the way.
func (a *apart) keep(round, other int) {
	for k := range a.leaves {
		if l := &a.leaves[k]; l.Way >= 0 && l.Round >= round && a.moving[l.Moving].Given == 0 {
			*l = Leave{Moving: l.Moving, Way: -1, Met: &Meeting{Moving: other}}
		}
	}
}

func (a *apart) direction(l Leave) mesh.Vec { return a.moving[l.Moving].Ways[l.Way] }

// column is the box of a body seen along the way that it leaves.
func (a *apart) column(l Leave) mesh.Box { return a.boxes[l.Moving].Transform(looking(a.direction(l))) }

// push lets all of a round leave at least so far.
func (a *apart) push(round int, distance float64) {
	for k := range a.leaves {
		if l := &a.leaves[k]; l.Way >= 0 && l.Round == round {
			l.Distance = min(max(l.Distance, distance), a.room[l.Moving])
		}
	}
}
