package compare

import (
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/step"
)

// renamed maps ids of the old side to those of the new, by kind.
type renamed map[string]map[string]string

func (r renamed) add(kind, old, new string) {
	if r[kind] == nil {
		r[kind] = map[string]string{}
	}
	r[kind][old] = new
}

// of is an old id as the new side has it.
func (r renamed) of(kind, id string) string {
	if kind == inMessage {
		return r.inQuotes(id)
	}
	if to, ok := r[kind][id]; ok {
		return to
	}
	return id
}

var quoted = regexp.MustCompile(`"[^"]*"`)

// inQuotes is a message as the new side has it: with the new ids in its quotes.
func (r renamed) inQuotes(message string) string {
	return quoted.ReplaceAllStringFunc(message, func(q string) string {
		id := q[1 : len(q)-1]
		for _, kind := range []string{toStep, toOperation, toItem} {
			if to := r.of(kind, id); to != id {
				return `"` + to + `"`
			}
		}
		return q
	})
}

// walker collects the changes between two documents.
type walker struct {
	renamed
	base    Change // plan, operation and step of what it finds
	out     []Change
	parts   map[int]int // index of a part on the old side to that on the new
	buffers bool        // the scene's geometry differs
}

// place is where the walk stands.
type place struct {
	path     string
	field    field  // its class resolved
	old, new origin // of the structure around, for members without their own
}

type origin = step.Origin

func (p place) to(m *member, path string) place {
	f := m.field
	if f.class == holder {
		f.class = p.field.class
	}
	return place{path, f, p.old, p.new}
}

func (w *walker) tell(p place, kind string, old, new any, from, to origin) {
	c := w.base
	c.Class, c.What, c.Kind, c.Old, c.New = p.field.class, p.path, kind, old, new
	if old != nil {
		c.OldOrigin = Origin(from)
	}
	if new != nil {
		c.NewOrigin = Origin(to)
	}
	w.out = append(w.out, c)
}

// changed tells a value that differs, by what there is of it on each side.
func (w *walker) changed(p place, old, new any, from, to origin) {
	switch {
	case old == nil:
		w.tell(p, Added, nil, new, from, to)
	case new == nil:
		w.tell(p, Removed, old, nil, from, to)
	default:
		w.tell(p, Changed, old, new, from, to)
	}
}

func (w *walker) walk(k *typ, a, b reflect.Value, p place) {
	if k.same(a, b) {
		return
	}
	switch k.form {
	case text, count:
		if k.form == text && w.of(p.field.refers, a.Field(0).String()) == b.Field(0).String() {
			return
		}
		w.changed(p, k.describe(a), k.describe(b), a.Field(1).Interface().(origin), b.Field(1).Interface().(origin))
	case structure:
		w.structure(k, a, b, p)
	case formList:
		w.list(k, a, b, p)
	case pointer:
		w.pointer(k, a, b, p)
	case mapping:
		w.mapping(k, a, b, p)
	default:
		w.plain(a, b, p)
	}
}

// plain compares single values; a number or a truth is never absent.
func (w *walker) plain(a, b reflect.Value, p place) {
	switch {
	case a.Kind() != reflect.String:
		w.changed(p, a.Interface(), b.Interface(), p.old, p.new)
	case w.of(p.field.refers, a.String()) != b.String():
		w.changed(p, given(a.String()), given(b.String()), p.old, p.new)
	}
}

func (w *walker) structure(k *typ, a, b reflect.Value, p place) {
	localized := k.is == reflect.TypeFor[step.Localized]()
	if localized || k.origin != nil {
		p.old, p.new = k.firstOrigin(a), k.firstOrigin(b)
	}
	before := len(w.out)
	for i := range k.members {
		m := &k.members[i]
		switch {
		case m.field.class == follows:
			continue
		case localized && m.name == "text":
			w.walk(m.typ, m.of(a), m.of(b), p) // a path ends in the language
			continue
		case localized && m.name == "rich" && len(w.out) > before:
			continue // the markup follows the text
		}
		w.walk(m.typ, m.of(a), m.of(b), p.to(m, join(p.path, m.name)))
	}
	if k.is == reflect.TypeFor[bundle.Scene]() && len(w.out) == before && !w.buffers {
		m := k.member("sha256") // nothing else that step.json says of the scene differs
		w.walk(m.typ, m.of(a), m.of(b), place{path: join(p.path, "sha256"), field: p.field})
	}
}

func (w *walker) pointer(k *typ, a, b reflect.Value, p place) {
	if k.is == reflect.TypeFor[*int]() {
		w.partIndex(a, b, p)
		return
	}
	if a.IsNil() || b.IsNil() {
		w.changed(p, k.describe(a), k.describe(b), k.firstOrigin(a), k.firstOrigin(b))
		return
	}
	w.walk(k.elem, a.Elem(), b.Elem(), p)
}

// partIndex compares which part a node shows, not at which index it stands.
func (w *walker) partIndex(a, b reflect.Value, p place) {
	at := func(v reflect.Value) (int, any) {
		if v.IsNil() {
			return -1, nil
		}
		return int(v.Elem().Int()), int(v.Elem().Int())
	}
	i, old := at(a)
	j, new := at(b)
	to, known := w.parts[i]
	if i < 0 && j < 0 || i >= 0 && j >= 0 && (known && to == j || !known && i == j) {
		return
	}
	w.changed(p, old, new, p.old, p.new)
}

func (w *walker) mapping(k *typ, a, b reflect.Value, p place) {
	names := map[string]bool{}
	for _, v := range []reflect.Value{a, b} {
		for _, key := range v.MapKeys() {
			names[key.String()] = true
		}
	}
	zero := reflect.Zero(k.is.Elem())
	orZero := func(v reflect.Value) reflect.Value {
		if v.IsValid() {
			return v
		}
		return zero
	}
	// Sorted, since a map has no order.
	for _, name := range slices.Sorted(maps.Keys(names)) {
		key := reflect.ValueOf(name)
		entry := p
		entry.path = p.path + "[" + name + "]"
		w.walk(k.elem, orZero(a.MapIndex(key)), orZero(b.MapIndex(key)), entry)
	}
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// shorten cuts a label to a length that a line bears.
func shorten(s string, most int) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > most {
		return strings.TrimSpace(string(r[:most-1])) + "…"
	}
	return s
}
