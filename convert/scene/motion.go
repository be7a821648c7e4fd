package scene

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"planfold/convert/diag"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/step"
)

const (
	clipName     = "assemble"
	groupSeconds = 1.5 // that one group of parts takes to travel home
)

// move is how one occurrence travels home: displaced by an offset of its middle and
// turned about its middle, both zero at home.
type move struct {
	occurrence int
	middle     mesh.Vec // at home, in the frame of what is built
	offset     mesh.Vec
	turn       glb.Quat // when displaced, if it turns by less than half a turn
	axis       mesh.Vec // of turns by rule, along the travel
	turns      float64  // still to go when displaced; 0: turn holds
	order      int      // in tightening; 0: not tightened
	from       string   // FromView, FromRule or Inferred
	origin     step.Origin
	group      int      // in playing order; moves of one group play together
	through    string   // what it leads through, though it is given
	along      string   // what its way is an axis of, if it is inferred
	node       int      // in the document
	base       mesh.Vec // where the node stands at home, to its parent
}

// plan the motions: what the saved view displaces, then what rules move.
func (c *composer) planMoves() {
	c.moves = map[int]*move{}
	shown := c.middles()
	hidden := 0
	var first step.Origin
	if c.saved != nil {
		for _, d := range c.saved.Displaced {
			i, ok := c.find(d.Occurrence, "view %q", c.saved.ID.Value)
			if !ok {
				continue
			}
			middle, ok := shown[i]
			if !ok {
				hidden++
				first = d.Occurrence.Origin
				continue
			}
			c.displace(i, middle, d)
		}
	}
	if hidden > 0 {
		c.tell(diag.SceneDisplacedHidden, first, "view %q displaces %s that the step does not show", c.saved.ID.Value, occurrences(hidden))
	}
	c.planRuleMoves(shown)
	c.orderTightening()
	c.takeApart(shown)
}

// middles of all occurrences of which something is shown in place.
func (c *composer) middles() map[int]mesh.Vec {
	boxes := map[int]mesh.Box{}
	out := map[int]mesh.Vec{}
	for _, p := range c.pieces {
		if p.occurrence < 0 {
			continue
		}
		out[p.occurrence] = p.middle()
		bounds := p.bounds
		if bounds.Empty() {
			bounds.Add(p.middle())
		}
		for i := c.Structure.Occurrences[p.occurrence].Parent; i >= 0; i = c.Structure.Occurrences[i].Parent {
			b, ok := boxes[i]
			if !ok {
				b = mesh.EmptyBox()
			}
			b.Join(bounds)
			boxes[i] = b
		}
	}
	for i, b := range boxes {
		out[i] = b.Centre()
	}
	return out
}

// displace plans the way from a displaced placement, which stands in the same frame
// as the home placement does.
func (c *composer) displace(i int, middle mesh.Vec, d step.Displaced) {
	o := &c.Structure.Occurrences[i]
	frame := mesh.Identity()
	if o.Parent >= 0 {
		frame = c.Structure.Occurrences[o.Parent].Placement
	}
	if stretchOf(d.Placement.Matrix).flat {
		c.tell(diag.ScenePlacementFlat, d.Placement.Origin, "view %q: the displaced placement flattens occurrence %q", c.saved.ID.Value, o.Path)
		return
	}
	change := frame.Mul(d.Placement.Matrix).Mul(inverse(o.Placement))
	m := &move{occurrence: i, middle: middle, offset: change.Point(middle).Sub(middle), turn: glb.Still, from: FromView, origin: d.Occurrence.Origin}
	if s := stretchOf(change); s.scaled || s.sheared || s.mirrored {
		c.tell(diag.SceneDisplacementScaled, d.Placement.Origin, "view %q: the displaced placement of occurrence %q has another size or shape than its home placement", c.saved.ID.Value, o.Path)
	} else {
		m.turn = glb.Rotation(change)
	}
	c.moves[i] = m
}

// planRuleMoves takes motions of parts, then those of the step, later ones over
// earlier ones; none moves what the view has moved.
func (c *composer) planRuleMoves(shown map[int]mesh.Vec) {
	byView := map[int]bool{}
	for i := range c.moves {
		byView[i] = true
	}
	try := func(m *step.Motion, i int) {
		middle, ok := shown[i]
		if !ok || byView[i] {
			c.tell(diag.SceneMotionUnused, m.Origin, "rule %q does not move occurrence %q", m.Origin.Rule, c.Structure.Occurrences[i].Path)
			return
		}
		direction := mesh.Vec(m.Direction).Unit()
		c.moves[i] = &move{
			occurrence: i, middle: middle, offset: direction.Scale(-m.Distance), turn: glb.Still,
			axis: direction, turns: -m.Turns, from: FromRule, origin: m.Origin,
		}
	}
	all := func(m *step.Motion, paths []step.Text) {
		used := false
		for _, path := range paths {
			if i, ok := c.Structure.Find(path.Value); ok && (m.Occurrence == "" || m.Occurrence == path.Value) {
				try(m, i)
				used = true
			}
		}
		if !used {
			c.tell(diag.SceneMotionUnused, m.Origin, "rule %q moves nothing that stands in place", m.Origin.Rule)
		}
	}
	for _, p := range c.parts {
		if p.Motion != nil {
			all(p.Motion, p.Occurrences)
		}
	}
	for k := range c.Step.Motions {
		m := &c.Step.Motions[k]
		if m.Occurrence != "" {
			if i, ok := c.find(step.Text{Value: m.Occurrence, Origin: m.Origin}, "rule %q", m.Origin.Rule); ok {
				try(m, i)
			}
			continue
		}
		for _, p := range c.parts {
			all(m, p.Occurrences)
		}
	}
}

func (c *composer) orderTightening() {
	for _, t := range c.Step.Tightening {
		i, ok := c.Structure.Find(t.Occurrence.Value)
		n, err := strconv.Atoi(t.Order.Value)
		if m := c.moves[i]; ok && err == nil && m != nil && m.order == 0 {
			m.order = max(n, 1)
		}
	}
}

// turnAt is how a move is turned when so much of the way is left, 1 to 0.
func (m *move) turnAt(left float64) glb.Quat {
	if m.turns != 0 {
		return glb.Turn(m.axis, m.turns*left)
	}
	if left == 0 {
		return glb.Still
	}
	return m.turn
}

// legs is how many legs the way has. Rotations are interpolated on the shortest
// arc, so keys are at most a third of a turn apart.
func (m *move) legs() int {
	return max(1, int(math.Ceil(3*math.Abs(m.turns))))
}

// track is the move between two times.
func (m *move) track(start float64) glb.Track {
	t := glb.Track{Node: m.node}
	turning := m.turns != 0 || m.turn != glb.Still
	n := m.legs()
	for k := 0; k <= n; k++ {
		left := float64(n-k) / float64(n)
		t.Times = append(t.Times, start+float64(groupSeconds*(1-left)))
		t.Translations = append(t.Translations, m.base.Add(m.offset.Scale(left)))
		if turning {
			t.Rotations = append(t.Rotations, m.turnAt(left))
		}
	}
	return t
}

// displaced is the matrix that takes what the move holds from home to where it starts.
func (m *move) displaced() mesh.Mat {
	turned := rotationMatrix(m.turnAt(1))
	return mesh.Translation(m.middle.Add(m.offset)).Mul(turned).Mul(mesh.Translation(m.middle.Scale(-1)))
}

func rotationMatrix(q glb.Quat) mesh.Mat {
	out := mesh.Identity()
	for k := range 3 {
		var v glb.Quat
		v[k] = 1
		r := q.Mul(v).Mul(glb.Quat{-q[0], -q[1], -q[2], q[3]})
		out[4*k], out[4*k+1], out[4*k+2] = r[0], r[1], r[2]
	}
	return out
}

// listed are the moves as they would play if none were in another's way: first what is
// not tightened, then by the tightening sequence; context first, then by part line, then
// in the order of the structure.
func (c *composer) listed() []*move {
	moves := make([]*move, 0, len(c.moves))
	for _, m := range c.moves { // sorted below: the map's order does not last
		moves = append(moves, m)
	}
	slices.SortFunc(moves, func(a, b *move) int {
		return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(c.part[a.occurrence], c.part[b.occurrence]), cmp.Compare(a.occurrence, b.occurrence))
	})
	return moves
}

// tracks puts the moves in time, one group after another.
func (c *composer) tracks() []glb.Track {
	moves := c.listed()
	slices.SortStableFunc(moves, func(a, b *move) int { return cmp.Compare(a.group, b.group) })
	var out []glb.Track
	for _, m := range moves {
		out = append(out, m.track(float64(groupSeconds*float64(m.group))))
		c.out.Motions = append(c.out.Motions, Motion{c.path(m.occurrence), m.from, m.group, m.through, m.along})
	}
	return out
}

// key is equal for moves that go together: offsets within a micrometre.
func (m *move) key() [8]int64 {
	var k [8]int64
	for i, x := range m.offset {
		k[i] = int64(math.Floor(float64(x*1e6) + 0.5))
	}
	for i, x := range m.turn {
		k[3+i] = int64(math.Floor(float64(x*1e6) + 0.5))
	}
	k[7] = int64(math.Floor(float64(m.turns*1e6) + 0.5))
	return k
}
