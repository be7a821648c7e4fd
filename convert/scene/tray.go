package scene

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/step"
)

// table is the plan's axes as one who stands before it sees them.
type table struct{ right, away, up int } // 0, 1, 2 for X, Y, Z; a negative axis is its complement

// tableOf agrees with turnUp: right is glTF's X, away its -Z, up its Y.
func tableOf(up byte) table {
	switch up {
	case 'X':
		return table{^1, ^2, 0}
	case 'Y':
		return table{0, ^2, 1}
	}
	return table{0, 1, 2}
}

// span is the box's extent along an axis.
func span(b mesh.Box, axis int) (low, high float64) {
	if axis < 0 {
		return -b.Max[^axis], -b.Min[^axis]
	}
	return b.Min[axis], b.Max[axis]
}

func (t table) vector(right, away, up float64) mesh.Vec {
	var v mesh.Vec
	for _, c := range []struct {
		axis  int
		value float64
	}{{t.right, right}, {t.away, away}, {t.up, up}} {
		if c.axis < 0 {
			v[^c.axis] = -c.value
		} else {
			v[c.axis] = c.value
		}
	}
	return v
}

// cell is one rectangle to be laid on the table.
type cell struct {
	box    mesh.Box
	offset mesh.Vec // result: what moves the box to its place
}

// lay puts cells on the table, largest footprint first, in rows about half as wide
// again as the whole is deep, the first row farthest away so that small things are
// not hidden behind large ones. Cells stand on height 0; the back left corner of
// the first row is at zero. It returns the size of the whole.
func (t table) lay(cells []*cell, gap float64) (width, depth float64) {
	type flat struct {
		*cell
		w, d float64
	}
	order := make([]flat, len(cells))
	area, limit := 0.0, 0.0
	for i, c := range cells {
		l, r := span(c.box, t.right)
		n, f := span(c.box, t.away)
		order[i] = flat{c, r - l, f - n}
		area += float64((r - l + gap) * (f - n + gap))
		limit = max(limit, r-l)
	}
	slices.SortStableFunc(order, func(a, b flat) int {
		return cmp.Or(cmp.Compare(float64(b.w*b.d), float64(a.w*a.d)), cmp.Compare(b.w+b.d, a.w+a.d))
	})
	limit = max(limit, math.Sqrt(1.5*area))
	for first := 0; first < len(order); {
		last, deep, x := first, 0.0, 0.0
		for last < len(order) && (last == first || x+order[last].w <= limit) {
			x += order[last].w + gap
			deep = max(deep, order[last].d)
			last++
		}
		if first > 0 {
			depth += gap
		}
		x = 0
		for _, c := range order[first:last] {
			l, _ := span(c.box, t.right)
			n, _ := span(c.box, t.away)
			bottom, _ := span(c.box, t.up)
			c.offset = t.vector(x-l, -depth-float64((deep+c.d)/2)-n, -bottom)
			x += c.w + gap
		}
		width, depth = max(width, x-gap), depth+deep
		first = last
	}
	return width, depth
}

// gapOf is the space between cells: a tenth of the largest edge.
func (t table) gapOf(cells []*cell) float64 {
	edge := 0.0
	for _, c := range cells {
		for _, axis := range []int{t.right, t.away} {
			low, high := span(c.box, axis)
			edge = max(edge, high-low)
		}
	}
	if edge == 0 {
		return 0.01
	}
	return edge / 10
}

// layTray lays the parts that nothing places beside what is in place: one copy of
// each line, to scale.
func (c *composer) layTray() {
	t := tableOf(c.Plan.Frame.Up)
	beside := mesh.EmptyBox()
	focusInPlace := false
	for _, p := range c.pieces {
		beside.Join(p.bounds)
		focusInPlace = focusInPlace || p.role == Focus
	}
	var tray []*piece
	for i := range c.parts {
		if !c.inPlace[i] {
			if p := c.trayPiece(t, i); p != nil {
				tray = append(tray, p)
			}
		}
	}
	if len(tray) == 0 {
		return
	}
	c.label(tray)
	if !focusInPlace {
		c.out.Layout = Tray
	} else {
		c.tellAside(tray)
	}
	c.place(t, tray, beside)
	c.pieces = append(c.pieces, tray...)
}

// tellAside tells of what is drawn beside parts that stand where they go.
func (c *composer) tellAside(tray []*piece) {
	for _, p := range tray {
		if len(p.shapes) > 0 {
			c.out.Layout = Mixed
			c.tell(diag.ScenePartUnplaced, c.parts[p.part].Origin, "part %q has no placement, and lies beside those that have", p.name)
		}
	}
}

// place moves the pieces to their cells.
func (c *composer) place(t table, tray []*piece, beside mesh.Box) {
	cells := make([]*cell, len(tray))
	for i, p := range tray {
		cells[i] = &cell{box: p.bounds}
	}
	gap := t.gapOf(cells)
	for _, c := range cells {
		if c.box.Empty() {
			c.box = mesh.Box{Min: mesh.Vec{-gap / 2, -gap / 2, -gap / 2}, Max: mesh.Vec{gap / 2, gap / 2, gap / 2}}
		}
	}
	width, depth := t.lay(cells, gap)
	shift := t.vector(-width/2, depth/2, 0)
	if !beside.Empty() {
		left, right := span(beside, t.right)
		near, far := span(beside, t.away)
		bottom, _ := span(beside, t.up)
		shift = t.vector(right+max(gap, (right-left)/4), (near+far+depth)/2, bottom)
	}
	for i, p := range tray {
		p.placement = mesh.Translation(cells[i].offset.Add(shift))
		p.measure()
	}
}

// trayPiece is a part line as a piece that stands on its item's own zero, or nil if
// it is hidden.
func (c *composer) trayPiece(t table, part int) *piece {
	line := &c.parts[part]
	role := c.trayRole(line)
	if role == Hidden {
		return nil
	}
	p := &piece{occurrence: -1, item: c.trayItem(line), part: part, role: role, placement: mesh.Identity()}
	if p.item == "" {
		c.tellNameless(part)
	} else if p.shapes = c.trayShapes(t, p.item); len(p.shapes) == 0 {
		c.tellNoGeometry(p.item, line.Origin)
	}
	p.measure()
	return p
}

// trayItem is what a part line brings: its item, what the operation it names builds,
// or what its first known occurrence is of.
func (c *composer) trayItem(line *step.Part) string {
	if line.Item.Given() {
		return line.Item.Value
	}
	if item := c.Built[line.Operation.Value]; line.Operation.Given() && item != "" {
		return item
	}
	for _, path := range line.Occurrences {
		if i, ok := c.Structure.Find(path.Value); ok {
			return c.Structure.Occurrences[i].Item
		}
	}
	return ""
}

// trayShapes is all that an item shows, in its own frame: what stands in it if it is
// a sub-assembly, else its own shapes. What has no known place to the rest (shapes of
// other files, occurrences without a placement) is set beside it.
func (c *composer) trayShapes(t table, item string) []drawn {
	inner, _ := Expand(c.Plan, item)
	var placed, loose []drawn
	var key []string // of loose shapes: what they stay together with
	for _, i := range c.units(inner) {
		o := inner.Occurrences[i]
		for _, s := range c.shapesOf(o.Item) {
			if o.Placed {
				s.Transform = o.Placement.Mul(s.Transform)
				placed = append(placed, s)
				continue
			}
			loose = append(loose, s)
			key = append(key, o.Path+"\x00"+s.File)
		}
	}
	if len(placed)+len(loose) == 0 {
		loose = c.shapesOf(item)
		for _, s := range loose {
			key = append(key, s.File)
		}
	}
	return append(placed, t.setApart(placed, loose, key)...)
}

// setApart lays groups of loose shapes side by side, beside what is placed.
func (t table) setApart(placed, loose []drawn, key []string) []drawn {
	index := map[string]*cell{}
	var cells []*cell
	if len(placed) > 0 {
		cells = append(cells, &cell{box: boundsOf(placed)})
	}
	for i, s := range loose {
		c := index[key[i]]
		if c == nil {
			c = &cell{box: mesh.EmptyBox()}
			index[key[i]] = c
			cells = append(cells, c)
		}
		c.box.Join(s.Ladder.Bounds.Transform(s.Transform))
	}
	if len(cells) < 2 {
		return loose
	}
	t.lay(cells, t.gapOf(cells))
	var home mesh.Vec
	if len(placed) > 0 {
		home = cells[0].offset
	}
	for i := range loose {
		move := mesh.Translation(index[key[i]].offset.Sub(home))
		loose[i].Transform = move.Mul(loose[i].Transform)
	}
	return loose
}

func boundsOf(shapes []drawn) mesh.Box {
	box := mesh.EmptyBox()
	for _, s := range shapes {
		box.Join(s.Ladder.Bounds.Transform(s.Transform))
	}
	return box
}

// label names the pieces on the tray: by find number, or by item and title; each
// name once in the scene.
func (c *composer) label(tray []*piece) {
	taken := map[string]bool{}
	for _, o := range c.Structure.Occurrences {
		taken[o.Path] = true
	}
	for _, p := range tray {
		line := &c.parts[p.part]
		name := line.Find.Value
		if name == "" {
			name = p.item
			if item := c.Plan.Items[p.item]; item != nil && item.Title.First() != "" {
				name += " " + item.Title.First()
			}
		}
		if name == "" {
			name = fmt.Sprintf("part %d", p.part+1)
		}
		p.name = name
		for n := 2; taken[p.name]; n++ {
			p.name = fmt.Sprintf("%s (%d)", name, n)
		}
		taken[p.name] = true
	}
}
