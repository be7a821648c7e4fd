package sketch

import (
	"fmt"
)

func (w *writer) parts(depth int, record *path) {
	var here []part
	for _, p := range w.guess.parts {
		if p.record == record {
			here = append(here, p)
		}
	}
	if len(here) == 0 {
		return
	}
	w.line(depth, "parts:")
	for _, p := range here {
		w.part(depth+1, p)
	}
}

func (w *writer) part(depth int, p part) {
	why := "has a quantity, and is called an item; the export defines none of them"
	if p.refers {
		why = fmt.Sprintf("%d in 100 are ids of items", w.guess.refers[p.item].part)
	}
	w.used[p.item] = true
	if p.by != nil {
		w.joined(depth, p, why)
		return
	}
	if p.holder == p.record {
		w.line(depth, "- each: %s # %s", quoted(w.relative(p.record, p.item)), w.reason(p.item, why))
		w.line(depth, "  item: .")
		return
	}
	w.line(depth, "- each: %s # %s", quoted(w.below(p.record, p.holder)), many(p.holder.count, "element"))
	w.line(depth, "  item: %s # %s", quoted(w.relative(p.holder, p.item)), w.reason(p.item, why))
	values := valuesIn(p.holder, nil)
	inner := func(field string, f *facet) {
		if f != nil {
			w.used[f] = true
			w.line(depth, "  %s: %s # %s", field, quoted(w.relative(p.holder, f)), w.reason(f, "called so"))
		}
	}
	if f := quantity(p.holder); f != nil {
		inner("quantity", f)
	} else {
		w.noQuantity(depth, p)
	}
	inner("unit", pick(values, func(v value) bool { return !v.many && w.suits(unitWords)(v) }))
	if f := pick(values, func(v value) bool { return !v.many && kindWords.ends(v.facet.called()) && v.facet.attr.Space == "" }); f != nil {
		w.line(depth, "  # %s tells them apart, such as %s: perhaps only some are consumed", w.relative(p.holder, f), f.shown())
	}
	inner("findNumber", pick(values, func(v value) bool { return !v.many && w.suits(findWords)(v) }))
}

// joined writes a part whose line stands elsewhere.
func (w *writer) joined(depth int, p part, why string) {
	each, by, line := w.below(p.record, p.holder), w.relative(p.holder, p.by), p.item.owner()
	if p.holder == p.record {
		each, by = w.relative(p.record, p.by), "."
	}
	w.used[p.by] = true
	w.line(depth, "- each: %s # %s", quoted(each), many(p.holder.count, "element"))
	w.line(depth, "  join: %s", w.join[line])
	w.line(depth, "  by: %s # %d in 100 are keys of %s; %s", quoted(by), w.guess.refers[p.by].part, w.absolute(line), w.reason(p.by, ""))
	w.line(depth, "  item: %s # %s", quoted(w.relative(line, p.item)), w.reason(p.item, why))
	lines := valuesIn(line, nil)
	if f := quantity(p.holder); f != nil && p.holder != p.record {
		w.used[f] = true
		w.line(depth, "  quantity: {path: %s, here: true} # %s", quoted(w.relative(p.holder, f)), w.reason(f, "called so, at what refers to the line"))
	} else if f := quantity(line); f != nil {
		w.used[f] = true
		w.line(depth, "  quantity: %s # %s", quoted(w.relative(line, f)), w.reason(f, "called so"))
	} else {
		w.noQuantity(depth, part{record: w.survey.root, holder: line})
	}
	if f := pick(lines, func(v value) bool { return !v.many && w.suits(unitWords)(v) }); f != nil {
		w.used[f] = true
		w.line(depth, "  unit: %s # %s", quoted(w.relative(line, f)), w.reason(f, "called so"))
	}
}

// noQuantity says that a part has none, and where there may be one.
func (w *writer) noQuantity(depth int, p part) {
	called := func(v value) bool { return quantityWords.suggests(v.facet.called()) }
	if f := pick(valuesIn(p.holder, nil), called); f != nil {
		w.line(depth, "  # quantity: %s # called so, but not always a number: %s", quoted(w.relative(p.holder, f)), w.reason(f, ""))
		return
	}
	if around := p.holder.parent; around != p.record {
		if f := pick(valuesIn(around, nil), called); f != nil {
			w.line(depth, "  # quantity: {path: %s, up: 1} # called so, around the part: if it is that of the part; %s", quoted(w.relative(around, f)), w.reason(f, ""))
			return
		}
	}
	w.line(depth, "  # quantity: nothing in them is called one; without it none is shown")
}
