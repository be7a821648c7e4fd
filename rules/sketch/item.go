package sketch

import "slices"

// part is where a line consumed is found: the elements that hold it, in a record,
// and the facet that names the item. With by, the line stands elsewhere: the elements
// refer to it by that.
type part struct {
	record, holder *path
	item           *facet
	by             *facet
	refers         bool // to the items of the export
}

// findItem takes what the lines of the work refer to, right there or by a list of
// lines elsewhere, and is none of it. Files are no items.
func (g *guess) findItem() {
	most := 0
	for _, p := range g.all {
		if n := g.itemScore(p); n > most {
			g.item, g.itemID, most = p, p.id, n
		}
	}
}

func (g *guess) itemScore(p *path) int {
	if p.id == nil || p.in(g.operation) || g.operation.in(p) || g.fileOf(p) != nil || g.lines(p) != nil {
		return 0
	}
	score := 0
	for _, q := range g.all {
		for _, f := range q.facets {
			if g.refers[f].to != p.id {
				continue
			}
			n := 0
			if q.in(g.operation) {
				n = f.count
			} else if o := f.owner(); g.lines(o) == f && g.fromWork(o) {
				n = f.count
			}
			if counted(f.owner()) != nil {
				n *= 10
			}
			score += n
		}
	}
	if score > 0 && g.shaped(p) {
		score *= 2
	}
	if score > 0 && itemWords.suggests(p.name.Local) {
		score += 1_000_000
	}
	return score
}

// lines is the facet by which elements outside the work name something else, of which
// they say how many: they are lines of a list, and no items. It is nil for others.
func (g *guess) lines(p *path) *facet {
	if p.id == nil || p.in(g.operation) || counted(p) == nil {
		return nil
	}
	for _, v := range valuesIn(p, nil) {
		f := v.facet
		if r, refers := g.refers[f]; refers && !v.many && f.owner() == p && f != p.id && r.part >= 90 {
			if o := r.to.owner(); o != p && !o.in(g.operation) && g.fileOf(o) == nil {
				return f
			}
		}
	}
	return nil
}

// fromWork reports that the work refers to elements of the path.
func (g *guess) fromWork(p *path) bool {
	return slices.ContainsFunc(g.all, func(q *path) bool {
		return q.in(g.operation) && slices.ContainsFunc(q.facets, func(f *facet) bool { return g.refers[f].to == p.id })
	})
}

// fileOf is the facet that names the file, where elements outside the work are
// files and nothing else; nil for others.
func (g *guess) fileOf(p *path) *facet {
	if p.id == nil || p.in(g.operation) || itemWords.suggests(p.name.Local) {
		return nil
	}
	var found *facet
	for _, v := range valuesIn(p, nil) {
		switch {
		case v.facet.file() && v.depth <= 1 && !v.many:
			found = v.facet
		case v.facet != p.id && (v.many || v.facet.short < v.facet.count || titleWords.suggests(v.facet.called())):
			return nil
		}
	}
	if found != nil && !g.kept(p, found) {
		return nil
	}
	return found
}

// kept reports that a list of files is no list of items: there are documents in it,
// or others than the work refer to it.
func (g *guess) kept(p *path, file *facet) bool {
	_, documents := extensions(file.files)
	return len(documents) > 0 || slices.ContainsFunc(g.all, func(q *path) bool {
		return !q.in(p) && !q.in(g.operation) && slices.ContainsFunc(q.facets, func(f *facet) bool { return g.refers[f].to == p.id })
	})
}

// shaped reports that elements name files of geometry, or refer to such.
func (g *guess) shaped(p *path) bool {
	for _, q := range p.all() {
		for _, f := range q.facets {
			if f.file() {
				geometry, _ := extensions(f.files)
				return len(geometry) > 0
			}
			if geometry, _ := extensions(g.leads(f)); len(geometry) > 0 {
				return true
			}
		}
	}
	return false
}

// leads are the extensions of the files that a facet's values refer to.
func (g *guess) leads(f *facet) map[string]ending {
	r, refers := g.refers[f]
	if !refers || r.part < 90 {
		return nil
	}
	file := g.fileOf(r.to.owner())
	if file == nil {
		return nil
	}
	out := map[string]ending{}
	for _, h := range f.sample {
		if end, ok := r.to.owner().ends[h]; ok {
			out[end] = ending{out[end].count + 1, file.files[end].example}
		}
	}
	if len(out) == 0 {
		return file.files
	}
	return out
}

// findParts takes what refers to items from the work; where the export defines none,
// what is called an item and has a quantity.
func (g *guess) findParts() {
	for _, p := range g.operation.all() {
		for _, f := range p.facets {
			if o, is := g.part(f); is {
				g.add(o)
			}
		}
	}
}

func (g *guess) part(f *facet) (part, bool) {
	o := part{holder: f.owner(), item: f, record: g.operation}
	if o.holder.in(g.step) {
		o.record = g.step
	}
	if r, refers := g.refers[f]; refers && g.itemID != nil {
		o.refers = r.to == g.itemID
		if item := g.lines(r.to.owner()); item != nil && g.refers[item].to == g.itemID {
			o.item, o.by, o.refers = item, f, true
		}
	}
	named := g.item == nil && itemWords.suggests(f.called()) && idWords.suggests(f.called()) && quantity(o.holder) != nil
	if !o.refers && !named || aside(o.holder) || o.holder == g.operation || o.holder == g.step && !itemWords.suggests(f.called()) {
		return part{}, false
	}
	return o, true
}

// add keeps of the parts of a record those with quantities, if there are any.
func (g *guess) add(o part) {
	if slices.ContainsFunc(g.parts, func(p part) bool { return p.record == o.record }) && !o.counted() {
		return
	}
	g.parts = slices.DeleteFunc(g.parts, func(p part) bool { return p.record == o.record && !p.counted() })
	if !slices.ContainsFunc(g.parts, func(p part) bool { return p.holder == o.holder }) {
		g.parts = append(g.parts, o)
	}
}

// counted reports that the part has a quantity, or its line something called so.
func (p part) counted() bool {
	return quantity(p.holder) != nil || p.by != nil && counted(p.item.owner()) != nil
}

func quantity(holder *path) *facet {
	return pick(valuesIn(holder, nil), func(v value) bool {
		return !v.many && v.facet.number() && quantityWords.suggests(v.facet.called())
	})
}

// counted is the facet that is called a quantity, number or not.
func counted(holder *path) *facet {
	return pick(valuesIn(holder, nil), func(v value) bool { return !v.many && quantityWords.suggests(v.facet.called()) })
}
