package rules

import (
	"io"

	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/rules/selector"
)

// touched finds which elements and attributes of a plan the reading rules look at.
// It follows every path of the rules, whether or not one before it gave the value,
// in passes of its own: mapping is none the slower for it. Of each element it keeps
// a number and a bit, of each attribute a bit.
type touched struct {
	set    *Set
	m      *mapping // finds records and what is around them
	number []uint32 // by sequence: of the element; its attributes follow
	next   uint32
	bits   []uint64
	open   int                  // sequence of the plan's element, where most of its content is not read
	led    map[*join][]*reading // what is read in the records of a join
}

// touched counts, by path, what the reading rules look at in a plan.
func (s *Set) touched(open func() (io.ReadCloser, error), name string) (*paths, error) {
	t := &touched{set: s, m: s.mapping(name), open: -1, led: map[*join][]*reading{}}
	s.eachReading(func(r *reading) {
		if r.join != nil {
			t.led[r.join] = append(t.led[r.join], r)
		}
	})
	c := &counting{touched: t}
	passes := []struct {
		pick func(*plan.Element) plan.Take
		take func(*plan.Element) error
	}{{t.pickJoined, t.joined}, {t.pick, t.record}, {c.pick, nil}}
	if len(s.joins) == 0 {
		passes = passes[1:]
	}
	for _, p := range passes {
		f, err := open()
		if err != nil {
			return nil, err
		}
		var faults diag.List
		faults, err = plan.Pick(f, name, p.pick, p.take)
		f.Close()
		if err != nil || faults.HasError() {
			return nil, err // a plan that is refused has no coverage
		}
	}
	return c.paths(name), nil
}

// opened numbers an element, when a pass meets it first.
func (t *touched) opened(e *plan.Element) {
	if e.Sequence == len(t.number) {
		t.number = append(t.number, t.next)
		t.next += uint32(1 + len(e.Attributes))
	}
}

// see marks an element and those around it, and an attribute.
func (t *touched) see(e *plan.Element, attribute int) {
	if attribute >= 0 {
		t.mark(t.number[e.Sequence] + 1 + uint32(attribute))
	}
	for ; e != nil && t.mark(t.number[e.Sequence]); e = e.Parent {
	}
}

// mark reports whether it is new.
func (t *touched) mark(n uint32) bool {
	for int(n/64) >= len(t.bits) {
		t.bits = append(t.bits, 0)
	}
	bit := uint64(1) << (n % 64)
	is := t.bits[n/64]&bit == 0
	t.bits[n/64] |= bit
	return is
}

func (t *touched) has(n uint32) bool {
	return int(n/64) < len(t.bits) && t.bits[n/64]&(1<<(n%64)) != 0
}

func (t *touched) pickJoined(e *plan.Element) plan.Take {
	t.opened(e)
	if t.set.isJoined(e) {
		return plan.Whole
	}
	return plan.Inside
}

func (t *touched) joined(e *plan.Element) error {
	t.m.root = e
	for _, j := range t.set.joins {
		if !j.match.Watch(e, t.see) {
			continue
		}
		t.see(e, -1)
		j.key.Watch(e, t.see)
		for _, v := range j.values {
			t.follow(v, e)
		}
		for _, r := range t.led[j] {
			if t.holds(r.where, e) {
				t.reading(r, e)
			}
		}
	}
	return nil
}

// pick cuts the same records out of each other as mapping does.
func (t *touched) pick(e *plan.Element) plan.Take {
	t.opened(e)
	return t.set.passes.pick(e, t.set.recordAs(e), &t.open)
}

func (t *touched) record(e *plan.Element) error {
	t.m.root = e
	if t.m.refuses(e) {
		return plan.ErrNoRecord
	}
	for _, readings := range t.set.readings() {
		if r := t.m.fitting(readings, e); r != nil {
			r.match.Watch(e, t.see)
			t.holds(r.where, e)
			t.reading(r, e)
		}
	}
	return nil
}

// reading follows what is read at an element, but for what stands at the element
// that refers to it.
func (t *touched) reading(r *reading, e *plan.Element) {
	t.see(e, -1)
	for _, b := range r.bindings {
		for _, v := range b.values {
			if !v.here {
				t.value(v, e)
			}
		}
		for _, inner := range b.inside {
			for _, f := range inner.each.Watch(e, t.see) {
				c := f.Element
				if c == nil {
					c = leaf(f.Value(), f.Line, f.Column, e)
				}
				switch {
				case c.Cut:
				case inner.join != nil:
					t.refers(inner, c)
				case t.holds(inner.where, c):
					t.reading(inner, c)
				}
			}
		}
	}
}

// refers follows what is read at the element that refers to a record. The record's own
// fields are followed where the join meets it.
func (t *touched) refers(r *reading, e *plan.Element) {
	r.by.Watch(e, t.see)
	var here func(r *reading)
	here = func(r *reading) {
		for _, b := range r.bindings {
			for _, v := range b.values {
				if v.here {
					t.value(v, e)
				}
			}
			for _, inner := range b.inside {
				if inner.join == nil {
					here(inner)
				}
			}
		}
	}
	here(r)
}

// holds is the truth of a where, which may be absent.
func (t *touched) holds(where *selector.Path, e *plan.Element) bool {
	if where == nil {
		return true
	}
	where.Watch(e, t.see)
	return where.Bool(e)
}

func (t *touched) value(v *value, e *plan.Element) {
	from := t.m.above(e, v.up)
	if from == nil || !t.holds(v.where, from) {
		return
	}
	if v.plus != nil {
		t.value(v.plus, from)
	}
	if v.join == nil {
		t.follow(v, from)
		return
	}
	for v.through != nil {
		v = v.through
	}
	v.by.Watch(from, t.see)
}

// follow follows the paths of a value to what it takes.
func (t *touched) follow(v *value, from *plan.Element) {
	all := []*selector.Path{v.path}
	for _, s := range v.spoken {
		all = append(all, s.path)
	}
	for _, p := range all {
		if p == nil {
			continue
		}
		for _, f := range p.Watch(from, t.see) {
			if f.Element == nil {
				continue
			}
			t.whole(f.Element, v.markup)
			if v.lang != nil {
				v.lang.Watch(f.Element, t.see)
			}
		}
	}
}

// whole marks an element whose text is taken, and those in it; their attributes
// count only where markup is kept.
func (t *touched) whole(e *plan.Element, markup bool) {
	for _, n := range e.Content {
		if n.Element == nil || n.Element.Cut {
			continue
		}
		t.see(n.Element, -1)
		for i := range n.Element.Attributes {
			if markup {
				t.see(n.Element, i)
			}
		}
		t.whole(n.Element, markup)
	}
}
