package scene

import (
	"bytes"
	"fmt"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/sweep"
)

// Motions are planned by taking the step apart. What the saved view or rules displace
// leaves as they say. Where a view displaces nothing, each other part of the step leaves
// in the shortest straight way that is free (see package sweep), or stands at home.
// Played backwards, that is how they come in.
//
// What is in the way is what is there in reality, drawn or not: what was built before,
// and the other parts of the step. Parts still to come are not.

// leaving is what leaves as one: occurrences that a view or rules displace alike, or one
// part.
type leaving struct {
	moves  []*move // all displaced alike
	body   sweep.Body
	source []int // by shell: its occurrence
	ways   []mesh.Vec
	along  []string // by way: what it is an axis of, where it is inferred
	float  int
}

// Seen from a device nothing finer than this matters, and sweeping allows more than
// twice as much.
const sweptDeviation = 0.00005

// inferredTurns is how often a screw turns on the way in: to be seen, not to be counted.
const inferredTurns = 3

// takeApart puts the moves into groups, adds those that it infers, and tells which go
// through something.
func (c *composer) takeApart(shown map[int]mesh.Vec) {
	given := len(c.moves)
	if c.saved == nil || !slices.ContainsFunc(c.listed(), func(m *move) bool { return m.from == FromView }) {
		c.addUnmoved(shown)
	}
	if len(c.moves) == 0 {
		return
	}
	s := c.newScenery()
	list := c.leavings(s)
	if given == 0 && len(list) == 0 {
		return
	}
	var moving []sweep.Moving
	for _, l := range list {
		m := sweep.Moving{Body: l.body, Ways: l.ways, Float: l.float, Kind: c.part[l.moves[0].occurrence]}
		if first := l.moves[0]; first.from != Inferred {
			m.Given = max(first.offset.Length(), 1e-9)
		}
		moving = append(moving, m)
	}
	c.play(s, list, s.apart(moving))
}

// apart is sweep.Apart, or what it said before of the same. The key is printed from all
// that it is given, each mesh as the blob that it was made of, so that nothing it looks at
// can be left out.
func (s *scenery) apart(moving []sweep.Moving) (leaves []sweep.Leave) {
	var key bytes.Buffer
	fmt.Fprintln(&key, "motion", sweep.Version)
	for _, m := range append([]sweep.Moving{{Body: s.still}}, moving...) {
		for _, shell := range m.Shells {
			blob := s.blobs[shell.Mesh]
			shell.Mesh = nil
			fmt.Fprintln(&key, blob, shell)
		}
		m.Shells = nil
		fmt.Fprintln(&key, m)
	}
	s.Once(key.String(), &leaves, func() { leaves = sweep.Apart(s.still, moving) })
	return leaves
}

// addUnmoved adds an empty move for each part of the step that has none.
func (c *composer) addUnmoved(shown map[int]mesh.Vec) {
	moved := func(i int) bool {
		for k := range c.moves {
			if k >= i && k < c.Structure.Occurrences[i].End || i >= k && i < c.Structure.Occurrences[k].End {
				return true
			}
		}
		return false
	}
	for _, p := range c.parts {
		for _, path := range p.Occurrences {
			i, ok := c.Structure.Find(path.Value)
			middle, there := shown[i]
			if ok && there && c.roles[i] == Focus && !moved(i) {
				c.moves[i] = &move{occurrence: i, middle: middle, turn: glb.Still, from: Inferred, origin: p.Origin}
			}
		}
	}
}

// leavings makes what leaves of the moves, in the order in which they are listed. A part
// without geometry that could be swept is not moved by inference.
func (c *composer) leavings(s *scenery) []*leaving {
	var list []*leaving
	index := map[[8]int64]*leaving{}
	for _, m := range c.listed() {
		k := m.key()
		if l := index[k]; l != nil && m.from != Inferred {
			l.moves = append(l.moves, m)
			continue
		}
		l := &leaving{moves: []*move{m}}
		list = append(list, l)
		if m.from != Inferred {
			index[k] = l
		}
	}
	for _, l := range list {
		for _, m := range l.moves {
			s.take(l, m.occurrence)
		}
		if first := l.moves[0]; first.from != Inferred {
			l.ways = []mesh.Vec{first.offset.Unit()}
			if first.offset.Length() == 0 {
				l.ways[0], l.body.Shells = c.upward(), nil
			}
		} else if len(l.body.Shells) > 0 {
			s.findWays(l)
		}
	}
	s.stand()
	return slices.DeleteFunc(list, func(l *leaving) bool {
		if l.ways != nil {
			return false
		}
		delete(c.moves, l.moves[0].occurrence)
		return true
	})
}

func (c *composer) upward() mesh.Vec { return tableOf(c.Plan.Frame.Up).vector(0, 0, 1) }

// findWays lists the directions in which a part may leave: along the axes of its own
// cylinders, then up, then across its own planes if it has no cylinders, then along the
// axes of its placement and of what is built. Its own axes are measured; where one of
// the others is the same but for that, it is taken.
func (s *scenery) findWays(l *leaving) {
	up, placement := s.upward(), ownAxes(s.Structure.Occurrences[l.moves[0].occurrence].Placement)
	exact := append([]mesh.Vec{up, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, placement[:]...)
	add := func(along string, axis mesh.Vec) {
		if same := slices.IndexFunc(exact, func(e mesh.Vec) bool { return sweep.Along(e, axis) }); same >= 0 {
			axis = exact[same]
		}
		if axis.Dot(up) < 0 {
			axis = axis.Scale(-1)
		}
		if !slices.ContainsFunc(l.ways, func(w mesh.Vec) bool { return sweep.Along(w, axis) }) {
			l.ways, l.along = append(l.ways, axis, axis.Scale(-1)), append(l.along, along, along)
		}
	}
	own := s.axes(l)
	l.body.Thread = own.thread
	for _, of := range []struct {
		along string
		axes  []mesh.Vec
	}{{"cylinder", own.cylinders}, {"up", exact[:1]}, {"plane", own.planes}, {"assembly", exact[1:4]}, {"placement", placement[:]}} {
		for _, axis := range of.axes {
			add(of.along, axis)
		}
	}
	l.float = slices.IndexFunc(l.ways, func(w mesh.Vec) bool { return sweep.Along(w, up) && w.Dot(up) > 0 })
}

// axes of a part by its own shape. Equal ones stand next to each other as a rule.
type axes struct {
	item      string
	rotation  [9]float64
	cylinders []mesh.Vec
	planes    []mesh.Vec // if there are no cylinders
	thread    sweep.Thread
}

func (s *scenery) axes(l *leaving) axes {
	o := &s.Structure.Occurrences[l.moves[0].occurrence]
	a := axes{item: o.Item}
	for k := range 3 {
		copy(a.rotation[3*k:], o.Placement[4*k:4*k+3])
	}
	if a.item == s.last.item && a.rotation == s.last.rotation {
		return s.last
	}
	if a.cylinders, a.planes = l.body.Axes(); len(a.cylinders) > 0 {
		a.planes = nil
	}
	own := ownAxes(o.Placement)
	for _, axis := range slices.Concat(a.cylinders[:min(1, len(a.cylinders))], own[:]) {
		if a.thread = l.body.FindThread(axis); a.thread.Pitch != 0 {
			a.cylinders = append([]mesh.Vec{axis}, a.cylinders...)
			break
		}
	}
	s.last = a
	return a
}

// play puts what left into groups, the last that left first.
func (c *composer) play(s *scenery, list []*leaving, leaves []sweep.Leave) {
	last := 0
	for _, l := range leaves {
		last = max(last, l.Round)
	}
	kept := map[int][]sweep.Leave{} // by part line
	for _, leave := range leaves {
		l := list[leave.Moving]
		first := l.moves[0]
		switch {
		case leave.Way < 0:
			k := c.part[first.occurrence]
			kept[k] = append(kept[k], leave)
			delete(c.moves, first.occurrence)
		case first.from == Inferred:
			c.infer(l, leave)
		case leave.Met != nil && first.turn == glb.Still:
			through := c.path(s.met(list, leave.Met))
			c.tell(diag.SceneMotionCollides, first.origin, "the motion of %s, the first of them %q, leads through %q", occurrences(len(l.moves)), c.path(first.occurrence), through)
			for _, m := range l.moves {
				m.through = through
			}
		}
		for _, m := range l.moves {
			m.group = last - leave.Round
		}
	}
	for k := range c.parts {
		if blocked := kept[k]; len(blocked) > 0 {
			m := list[blocked[0].Moving].moves[0]
			c.tell(diag.SceneMotionBlocked, m.origin, "part %q: no straight way in is free for %s; %q stands in the way of the first, %q",
				partName(&c.parts[k]), occurrences(len(blocked)), c.path(s.met(list, blocked[0].Met)), c.path(m.occurrence))
		}
	}
}

// occurrences counts them in words.
func occurrences(n int) string {
	if n == 1 {
		return "1 occurrence"
	}
	return fmt.Sprintf("%d occurrences", n)
}

func (c *composer) path(i int) string { return c.Structure.Occurrences[i].Path }

// infer gives a part its way in; one that is a screw turns.
func (c *composer) infer(l *leaving, leave sweep.Leave) {
	m, way := l.moves[0], l.ways[leave.Way]
	m.offset, m.along = way.Scale(leave.Distance), l.along[leave.Way]
	if t := l.body.Thread; t.Pitch != 0 && sweep.Along(t.Axis, way) {
		m.axis, m.turns = way.Scale(-1), -inferredTurns
		if t.Pitch < 0 {
			m.turns = inferredTurns
		}
	}
}

// scenery is the geometry that is there in reality, leaf by leaf of the structure.
type scenery struct {
	*composer
	leaves []int
	taken  []bool // by leaf
	there  []bool // by occurrence: present, or a part of the step
	still  sweep.Body
	source []int                 // by shell of still: its occurrence
	meshes map[string]*mesh.Mesh // of shells, by blob as it is printed
	blobs  map[*mesh.Mesh]string // and the other way round
	last   axes                  // of the part that was looked at last
}

func (c *composer) newScenery() *scenery {
	s := &scenery{composer: c, leaves: c.units(c.Structure), there: make([]bool, len(c.Structure.Occurrences)), meshes: map[string]*mesh.Mesh{}, blobs: map[*mesh.Mesh]string{}}
	s.taken = make([]bool, len(s.leaves))
	for _, path := range c.Present {
		if i, ok := c.Structure.Find(path); ok {
			for k := i; k < c.Structure.Occurrences[i].End; k++ {
				s.there[k] = true
			}
		}
	}
	for i, p := range c.part {
		s.there[i] = s.there[i] || p >= 0
	}
	return s
}

// take adds what stands in an occurrence to what leaves.
func (s *scenery) take(l *leaving, occurrence int) {
	from, _ := slices.BinarySearch(s.leaves, occurrence)
	for k := from; k < len(s.leaves) && s.leaves[k] < s.Structure.Occurrences[occurrence].End; k++ {
		if !s.taken[k] {
			s.taken[k] = true
			for _, shell := range s.shells(s.leaves[k]) {
				l.body.Shells, l.source = append(l.body.Shells, shell), append(l.source, s.leaves[k])
			}
		}
	}
}

// stand makes a body of what does not leave.
func (s *scenery) stand() {
	for k, i := range s.leaves {
		if !s.taken[k] && s.there[i] {
			for _, shell := range s.shells(i) {
				s.still.Shells, s.source = append(s.still.Shells, shell), append(s.source, i)
			}
		}
	}
}

// met is the occurrence that something runs into.
func (s *scenery) met(list []*leaving, m *sweep.Meeting) int {
	if m.Moving < 0 {
		return s.source[m.Shell]
	}
	return list[m.Moving].source[m.Shell]
}

// mesh is one and the same of a blob, as long as the scenery stands: sweep takes alike what
// has one mesh.
func (s *scenery) mesh(b Blob) *mesh.Mesh {
	key := fmt.Sprint(b)
	m := s.meshes[key]
	if m == nil {
		m = s.Mesh(b)
		s.meshes[key], s.blobs[m] = m, key
	}
	return m
}

// shells are the meshes of an occurrence where it stands, each at the coarsest level that
// is fine enough.
func (s *scenery) shells(i int) (out []sweep.Shell) {
	o := &s.Structure.Occurrences[i]
	if !o.Placed {
		return nil
	}
	for _, d := range s.shapesOf(o.Item) {
		at := o.Placement.Mul(d.Transform)
		scale := stretchOf(at).largest
		level := d.levels[len(d.levels)-1]
		if k := slices.IndexFunc(d.levels, func(l Level) bool { return float64(l.Deviation*scale) <= sweptDeviation }); k >= 0 {
			level = d.levels[k]
		}
		if m := s.mesh(level.Blob); m != nil && len(m.Triangles) > 0 {
			out = append(out, sweep.Shell{Mesh: m, Bounds: d.Ladder.Bounds, At: at, Deviation: float64(level.Deviation * scale)})
		}
	}
	return out
}
