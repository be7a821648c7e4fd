package scene

import (
	"cmp"
	"math"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/step"
)

// focusWeight is how much more a deviation counts on a part of the step than on what
// is already there. The worker looks at the part, from near, and holds the real one
// beside it; the context only says where. That it is four times is a judgement, not
// a measurement: at four, a context level may be two halvings coarser.
const focusWeight = 4

func weightOf(role string) float64 {
	if role == Focus {
		return focusWeight
	}
	return 1
}

// A part of the step should not deviate by more than either.
const (
	coarseDistance = 0.0005 // metres
	coarseShare    = 0.01   // of its diagonal
)

// fit chooses the levels of all pieces.
func (c *composer) fit(budget int) {
	from := c.eye()
	for _, p := range c.pieces {
		p.closeness = from.closeness(p.bounds)
	}
	c.dropContext(budget)
	c.gather()
	c.tellItemBudgets()
	if total := chooseLevels(c.choices, budget, c.own); total > budget {
		c.tell(diag.SceneBudgetExceeded, c.stepOrigin(), "%d triangles are drawn, the budget is %d", total, budget)
	}
	c.tellCoarse()
}

func (c *composer) stepOrigin() step.Origin { return c.Step.ID.Origin }

// dropContext hides the pieces of the context that look smallest until the rest fits at
// its coarsest, and then shows again, largest first, what still has room.
func (c *composer) dropContext(budget int) {
	least := func(p *piece) int {
		n := 0
		for _, s := range p.shapes {
			n += s.levels[0].Triangles
		}
		return n
	}
	total := 0
	var context []*piece
	for _, p := range c.pieces {
		total += least(p)
		if p.role == Context && (p.occurrence < 0 || !c.kept[p.occurrence]) {
			context = append(context, p)
		}
	}
	slices.SortStableFunc(context, func(a, b *piece) int { return cmp.Compare(a.size(), b.size()) })
	last := 0
	for ; last < len(context) && total > budget; last++ {
		context[last].dropped = true
		total -= least(context[last])
	}
	for _, p := range slices.Backward(context[:last]) {
		if n := least(p); total+n <= budget {
			p.dropped = false
			total += n
		}
	}
	for _, p := range c.pieces {
		if p.dropped {
			c.out.Hidden = append(c.out.Hidden, p.name)
		}
	}
	c.pieces = slices.DeleteFunc(c.pieces, func(p *piece) bool { return p.dropped })
	if n := len(c.out.Hidden); n > 0 {
		c.tell(diag.SceneContextHidden, c.stepOrigin(), "%d of %d occurrences that are already there are hidden; the budget is %d triangles", n, len(context), budget)
	}
}

// gather makes one choice of each shape of each item in each role.
func (c *composer) gather() {
	type key struct {
		ladder     *Ladder
		item, role string
		own        int // triangles allowed, by a budget of its own
		nth        int // of the item's shapes with this ladder
	}
	type limit struct {
		item, role string
		triangles  int
	}
	index := map[key]*choice{}
	limits := map[limit]int{}
	for _, p := range c.pieces {
		seen := map[key]int{}
		for i := range p.shapes {
			s := &p.shapes[i]
			own := c.ownBudget(p, s.item).Value
			k := key{ladder: s.Ladder, item: s.item, role: p.role, own: own}
			k.nth, seen[k] = seen[k], seen[k]+1
			made := index[k]
			if made == nil {
				made = &choice{levels: s.levels, own: -1}
				if own > 0 {
					l := limit{s.item, p.role, own}
					if _, ok := limits[l]; !ok {
						limits[l] = len(c.own)
						c.own = append(c.own, own)
					}
					made.own = limits[l]
				}
				index[k] = made
				c.choices = append(c.choices, made)
			}
			made.count++
			made.weight = max(made.weight, weightOf(p.role)*s.scale*p.closeness)
			s.choice = made
		}
	}
}

// ownBudget is what a rule allows an item in a piece: the part's budget, or else
// the item's; zero for none.
func (c *composer) ownBudget(p *piece, item string) step.Count {
	if p.part >= 0 && p.part < len(c.parts) && c.parts[p.part].Budget.Value > 0 && c.parts[p.part].Item.Value == item {
		return c.parts[p.part].Budget
	}
	if i := c.Plan.Items[item]; i != nil {
		return i.Budget
	}
	return step.Count{}
}

// tellItemBudgets reports items that their own budget cannot hold.
func (c *composer) tellItemBudgets() {
	told := map[string]bool{}
	for _, p := range c.pieces {
		for _, s := range p.shapes {
			own := c.ownBudget(p, s.item)
			if own.Value <= 0 || told[s.item] {
				continue
			}
			told[s.item] = true
			least := 0
			for _, shape := range c.shapesOf(s.item) {
				least += shape.levels[0].Triangles
			}
			if least > own.Value {
				c.tell(diag.SceneItemBudgetExceeded, own.Origin, "item %q has %d triangles at its coarsest, its budget is %d", s.item, least, own.Value)
			}
		}
	}
}

// size of a piece as it looks.
func (p *piece) size() float64 { return p.closeness * p.bounds.Diagonal() }

// deviation of a piece as drawn, metres.
func (p *piece) deviation() float64 {
	d := 0.0
	for _, s := range p.shapes {
		d = max(d, s.scale*s.choice.levels[s.choice.at].Deviation)
	}
	return d
}

func (p *piece) triangles() int {
	n := 0
	for _, s := range p.shapes {
		n += s.choice.triangles()
	}
	return n
}

// tellCoarse reports parts of the step that deviate too much, each item once, by its
// worst piece.
func (c *composer) tellCoarse() {
	worst := map[string]*piece{}
	var items []string
	for _, p := range c.pieces {
		d := p.deviation()
		if p.role != Focus || d <= coarseDistance && d <= float64(coarseShare*p.bounds.Diagonal()) {
			continue
		}
		if w := worst[p.item]; w == nil {
			items = append(items, p.item)
		} else if d <= w.deviation() {
			continue
		}
		worst[p.item] = p
	}
	for _, item := range items {
		p := worst[item]
		at := c.stepOrigin()
		if p.part >= 0 {
			at = c.parts[p.part].Origin
		}
		c.tell(diag.SceneFocusCoarse, at, "item %q deviates by up to %.4g mm at a size of %.4g mm", item, millimetres(p.deviation()), 1000*p.bounds.Diagonal())
	}
}

// millimetres rounds up to a ten-thousandth, so that a bound stays one.
func millimetres(metres float64) float64 {
	return math.Ceil(metres*1e7) / 1e4
}

// centre of a set of pieces, on whole micrometres: few digits for those who read it.
func centreOf(pieces []*piece, role string) (mesh.Vec, bool) {
	box := mesh.EmptyBox()
	for _, p := range pieces {
		if role == "" || p.role == role {
			box.Join(p.bounds)
		}
	}
	if box.Empty() {
		return mesh.Vec{}, false
	}
	return micrometres(box.Centre()), true
}

// micrometres rounds to whole ones.
func micrometres(v mesh.Vec) mesh.Vec {
	for k := range v {
		v[k] = math.Floor(float64(v[k]*1e6)+0.5) / 1e6
	}
	return v
}
