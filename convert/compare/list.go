package compare

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
)

// list compares two lists by the identity of their entries.
func (w *walker) list(k *typ, a, b reflect.Value, p place) {
	if f := k.elem.form; f == text || f == plain {
		w.values(k, a, b, p)
		return
	}
	m := w.match(k.elem, a, b)
	if k.elem.is == reflect.TypeFor[bundle.Part]() {
		w.parts = map[int]int{}
		for i, j := range m.to {
			if j >= 0 {
				w.parts[i] = j
			}
		}
	}
	w.matched(k.elem, a, b, p, m)
	if order := m.inOrder(); !order && !k.elem.identity.unordered && len(k.elem.identity.keys) > 0 {
		w.reordered(p, m)
	}
}

// matched tells what was taken out, then goes through what there is now.
func (w *walker) matched(elem *typ, a, b reflect.Value, p place, m *matching) {
	entry := func(label string) place {
		e := p
		if label != "" {
			e.path += "[" + label + "]"
		}
		return e
	}
	for i, j := range m.to {
		if j < 0 {
			v := a.Index(i)
			w.tell(graver(entry(m.old[i]), v), Removed, elem.describe(v), nil, cameFrom(elem, v), origin{})
		}
	}
	for j, i := range m.from {
		if i < 0 {
			v := b.Index(j)
			w.tell(graver(entry(m.new[j]), v), Added, nil, elem.describe(v), origin{}, cameFrom(elem, v))
			continue
		}
		w.walk(elem, a.Index(i), b.Index(j), entry(m.new[j]))
	}
}

// cameFrom is the origin of an entry; of what was not carried over, the rule that its
// message names.
func cameFrom(elem *typ, v reflect.Value) origin {
	if gap, ok := v.Interface().(bundle.NotCarried); ok {
		return origin{Rule: ruleIn(gap.Message)}
	}
	return elem.firstOrigin(v)
}

// graver gives what was not carried over the class that its code asks for.
func graver(p place, v reflect.Value) place {
	if gap, ok := v.Interface().(bundle.NotCarried); ok && holds(gap.Code) {
		p.field.class = Safety
	}
	return p
}

func holds(code string) bool {
	all := diag.Codes()
	i, ok := slices.BinarySearchFunc(all, code, func(c *diag.Code, name string) int { return strings.Compare(c.Name, name) })
	return ok && all[i].Holds
}

// matching says which entry of a list became which of another, and how each is called.
type matching struct {
	to, from []int // -1: none
	old, new []string
}

func (m *matching) pair(i, j int) { m.to[i], m.from[j] = j, i }

// inOrder reports whether the entries that are on both sides kept their order.
func (m *matching) inOrder() bool {
	last := -1
	for _, i := range m.from {
		if i >= 0 && i < last {
			return false
		}
		last = max(last, i)
	}
	return true
}

func none(n int) []int { return slices.Repeat([]int{-1}, n) }

func (w *walker) match(elem *typ, a, b reflect.Value) *matching {
	m := &matching{to: none(a.Len()), from: none(b.Len()), old: labels(elem, a), new: labels(elem, b)}
	for i := range m.to {
		for j := range m.from {
			if m.from[j] < 0 && elem.same(a.Index(i), b.Index(j)) {
				m.pair(i, j)
				break
			}
		}
	}
	for _, key := range elem.identity.keys {
		free := map[string][]int{}
		for j := range m.from {
			if s := keyOf(elem, b.Index(j), key, nil); m.from[j] < 0 && s != "" {
				free[s] = append(free[s], j)
			}
		}
		for i := range m.to {
			if m.to[i] >= 0 {
				continue
			}
			if s := keyOf(elem, a.Index(i), key, w.renamed); len(free[s]) > 0 {
				m.pair(i, free[s][0])
				free[s] = free[s][1:]
			}
		}
	}
	if !elem.identity.exact {
		m.pairAlike(elem, a, b)
	}
	return m
}

// mostAlike bounds the pairs that are tried for likeness: beyond it, as when a whole
// product's occurrences got other names, entries came and went.
const mostAlike = 1 << 18

// pairAlike takes entries for versions of one by their words, unless both have an id.
func (m *matching) pairAlike(elem *typ, a, b reflect.Value) {
	type entry struct {
		at    int
		words map[string]int
		id    bool
	}
	byID := len(elem.identity.keys) > 0 && slices.Equal(elem.identity.keys[0], []string{"id"})
	unpaired := func(list reflect.Value, pairs []int) []entry {
		var out []entry
		for i, p := range pairs {
			if v := list.Index(i); p < 0 {
				out = append(out, entry{i, bag(flat(elem.describe(v))), byID && keyOf(elem, v, []string{"id"}, nil) != ""})
			}
		}
		return out
	}
	left, free := unpaired(a, m.to), unpaired(b, m.from)
	if len(left)*len(free) > mostAlike {
		return
	}
	for _, x := range left {
		best, at := alike, -1
		for _, y := range free {
			if m.from[y.at] >= 0 || x.id && y.id {
				continue
			}
			if l := likeness(x.words, y.words); l > best || l == best && at < 0 {
				best, at = l, y.at
			}
		}
		if at >= 0 {
			m.pair(x.at, at)
		}
	}
}

// keyOf is what identifies an entry by the named members; "" if none is given.
func keyOf(elem *typ, v reflect.Value, names []string, r renamed) string {
	if elem.form == pointer {
		return keyOf(elem.elem, v.Elem(), names, r)
	}
	var b strings.Builder
	found := elem.is == reflect.TypeFor[step.Localized]() // a text may say no language, and that is one too
	for _, name := range names {
		m := elem.member(name)
		s := flat(m.typ.describe(m.of(v)))
		s = r.of(m.field.refers, s)
		found = found || s != ""
		b.WriteString(s)
		b.WriteByte(0)
	}
	if !found {
		return ""
	}
	return b.String()
}

const labelLength = 40

// labels name the entries of a list in a path; equal ones are numbered, unless they
// only come and go.
func labels(elem *typ, list reflect.Value) []string {
	out := make([]string, list.Len())
	seen := map[string]int{}
	for i := range out {
		out[i] = label(elem, list.Index(i))
		if seen[out[i]]++; seen[out[i]] > 1 && !elem.identity.exact {
			out[i] = fmt.Sprintf("%s (%d)", out[i], seen[out[i]])
		}
	}
	return out
}

func label(elem *typ, v reflect.Value) string {
	names := elem.identity.label
	if elem.form == pointer {
		elem, v = elem.elem, v.Elem()
	}
	if elem.is == reflect.TypeFor[step.Texts]() {
		return shorten(v.Interface().(step.Texts).First(), labelLength)
	}
	var parts []string
	for _, name := range names {
		m := elem.member(name)
		v := m.of(v)
		s := flat(m.typ.describe(v))
		if m.typ.is == reflect.TypeFor[step.Texts]() {
			s = v.Interface().(step.Texts).First()
		}
		switch {
		case s == "":
		case name == "findNumber":
			parts = append(parts, "find "+s)
		default:
			parts = append(parts, s)
		}
		if name == "id" && s != "" {
			break
		}
	}
	if len(parts) == 0 && elem.is == reflect.TypeFor[bundle.Part]() {
		parts = append(parts, v.Interface().(bundle.Part).Purpose.First())
	}
	return shorten(strings.Join(parts, " "), labelLength)
}

// reordered tells that what both lists have stands in another order.
func (w *walker) reordered(p place, m *matching) {
	var old, new []any
	for _, j := range m.to {
		if j >= 0 {
			old = append(old, m.new[j])
		}
	}
	for j, i := range m.from {
		if i >= 0 {
			new = append(new, m.new[j])
		}
	}
	p.field.class = Presentation
	w.tell(p, Moved, old, new, origin{}, origin{})
}

// values compares lists of single values.
func (w *walker) values(k *typ, a, b reflect.Value, p place) {
	value := func(v reflect.Value) string {
		if k.elem.form == text {
			return v.Field(0).String()
		}
		return v.String()
	}
	left := map[string]int{}
	for j := range b.Len() {
		left[value(b.Index(j))]++
	}
	var kept []string
	common := map[string]int{}
	for i := range a.Len() {
		s := w.of(p.field.refers, value(a.Index(i)))
		if left[s] > 0 {
			left[s]--
			common[s]++
			kept = append(kept, s)
			continue
		}
		w.tell(p, Removed, value(a.Index(i)), nil, w.originIn(k.elem, a.Index(i), p.old), origin{})
	}
	var now []string
	for j := range b.Len() {
		s := value(b.Index(j))
		if common[s] > 0 {
			common[s]--
			now = append(now, s)
			continue
		}
		w.tell(p, Added, nil, s, origin{}, w.originIn(k.elem, b.Index(j), p.new))
	}
	if !slices.Equal(kept, now) {
		p.field.class = Presentation
		w.tell(p, Moved, kept, now, origin{}, origin{})
	}
}

func (w *walker) originIn(k *typ, v reflect.Value, otherwise origin) origin {
	if k.form == text {
		return k.firstOrigin(v)
	}
	return otherwise
}
