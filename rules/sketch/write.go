package sketch

import (
	"bytes"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"planfold/schema"
)

// writer puts a guess down as a rule file.
type writer struct {
	survey *survey
	guess  guess
	out    bytes.Buffer
	used   map[*facet]bool
}

func (w *writer) file() []byte {
	w.used = map[*facet]bool{}
	w.line(0, "# A first reading part, proposed from the structure of one export alone. Read every")
	w.line(0, "# line against the export: a comment says why each path was taken, and the end lists")
	w.line(0, "# what was seen and not taken. Then delete the comments.")
	w.line(0, "planfold: 1")
	w.line(0, "name: sketch # name it after the planning system")
	w.line(0, "frame: {unit: mm, up: Z, geometry: {stl: mm, obj: mm}} # nothing in the export says so: check it")
	if len(w.survey.spaces) > 0 {
		w.line(0, "namespaces:")
		for i, uri := range w.survey.spaces {
			w.line(1, "%s: %s", prefix(i), quoted(uri))
		}
	}
	w.line(0, "")
	w.line(0, "read:")
	w.plan()
	w.items()
	w.operations()
	w.proposals()
	w.rest()
	return w.out.Bytes()
}

func (w *writer) line(depth int, format string, args ...any) {
	text := strings.Repeat("  ", depth) + fmt.Sprintf(format, args...)
	w.out.WriteString(strings.TrimRight(text, " ") + "\n")
}

// take writes a field with the reason for it.
func (w *writer) take(depth int, field string, record *path, f *facet, why string) {
	if f == nil {
		return
	}
	w.used[f] = true
	w.line(depth, "%s: %s # %s", field, quoted(w.relative(record, f)), w.reason(f, why))
}

func (w *writer) reason(f *facet, why string) string {
	return strings.TrimPrefix(fmt.Sprintf("%s; %s, such as %s", why, many(f.count, "value"), f.shown()), "; ")
}

func (w *writer) plan() {
	root := w.survey.root
	values := valuesIn(root, []*path{w.guess.operation})
	w.line(1, "plan:")
	w.line(2, "match: /* # the root, %s", w.named(root.name))
	own := ownOf(values)
	id := pick(own, func(v value) bool {
		return !v.many && v.facet.short == v.facet.count && idWords.ends(v.facet.called())
	})
	if id != nil {
		w.take(2, "id", root, id, "called so")
	} else {
		w.line(2, "id: {file: '^([^.]+)'} # nothing near the root is called an id, so the name of the file, up to its first dot")
	}
	w.take(2, "revision", root, pick(own, w.suits(revisionWords)), "called so; if it is that of the document and not of the format")
	w.take(2, "title", root, pick(own, w.suits(titleWords)), "called so")
	w.take(2, "product", root, pick(own, func(v value) bool { return w.suits(productWords)(v) && w.namesItem(v.facet) }), "called so, and the id of an item")
}

// ownOf are values of the record itself: its attributes, and texts right in it.
func ownOf(values []value) []value {
	return slices.DeleteFunc(slices.Clone(values), func(v value) bool { return v.depth > 1 || v.depth == 1 && v.facet.attr.Local != "" })
}

// namesItem reports that the values are ids of items.
func (w *writer) namesItem(f *facet) bool {
	r, refers := w.guess.refers[f]
	return refers && r.to == w.guess.itemID
}

// suits are values that are called so, that no field has yet.
func (w *writer) suits(r role) func(value) bool {
	return func(v value) bool {
		return !w.used[v.facet] && v.facet.attr.Space != xmlSpace && r.suggests(v.facet.called())
	}
}

func (w *writer) items() {
	g := w.guess
	if g.item == nil {
		return
	}
	w.line(0, "")
	w.line(1, "items:")
	w.line(2, "match: %s # %s, whose %s are named from the operations", quoted(w.absolute(g.item)), many(g.item.count, "element"), w.relative(g.item, g.itemID))
	w.take(2, "id", g.item, g.itemID, "each once, and others refer to it")
	values := valuesIn(g.item, nil)
	w.take(2, "revision", g.item, pick(values, w.suits(revisionWords)), "called so")
	w.take(2, "class", g.item, pick(values, w.suits(classWords)), "called so")
	w.title(g.item, values)
	w.take(2, "notes", g.item, pick(values, w.suits(noteWords)), "called so")
	w.files(2, g.item, true)
}

// title takes what is called one, or else the first short text.
func (w *writer) title(record *path, values []value) {
	if f := pick(ownOf(values), w.suits(titleWords)); f != nil {
		w.take(2, "title", record, f, "called so")
		return
	}
	f := pick(values, func(v value) bool { return w.suits(textWords)(v) && v.facet.attr.Local == "" })
	w.take(2, "title", record, f, "nothing is called a title, and this is a text")
}

func (w *writer) operations() {
	g := w.guess
	o := g.operation
	w.line(0, "")
	w.line(1, "operations:")
	w.line(2, "match: %s # %s%s", quoted(w.absolute(o)), many(o.count, "element"), w.whyOperation())
	values := valuesIn(o, []*path{g.step})
	w.identity(2, o, values)
	if o != g.step {
		w.title(o, values)
	} else {
		w.take(2, "title", o, pick(ownOf(values), w.suits(titleWords)), "called so")
	}
	w.take(2, "builds", o, pick(values, func(v value) bool { return w.suits(buildWords)(v) && w.namesItem(v.facet) }), "called so, and the id of an item")
	w.take(2, "workCentre", o, pick(values, w.suits(workCentreWords)), "called so")
	w.predecessors(2, o)
	if o != g.step {
		w.take(2, "notes", o, pick(values, w.suits(noteWords)), "called so")
		w.parts(2, o)
		w.files(2, o, false)
	}
	w.step()
}

func (w *writer) whyOperation() string {
	o := w.guess.operation
	switch {
	case o == w.guess.step:
		return ", repeated and called so; nothing in them looks like steps, so each is one"
	case o.recursive:
		return ", around the steps, and inside each other"
	}
	return ", around the steps"
}

func (w *writer) identity(depth int, record *path, values []value) {
	if id := identifier(record); id != nil {
		w.take(depth, "id", record, id, "each once")
	} else if f := pick(values, func(v value) bool { return !v.many && v.depth <= 1 && idWords.ends(v.facet.called()) }); f != nil {
		w.line(depth, "# id: %s # called so, but not in each of the %d, or not unique, or no single word; such as %s", quoted(w.relative(record, f)), record.count, f.shown())
	}
	w.take(depth, "number", record, pick(values, func(v value) bool { return !v.many && v.depth <= 1 && w.suits(numberWords)(v) }), "called so")
}

// predecessors takes references between records of one path where the name says that
// they are these. The order of work is not guessed.
func (w *writer) predecessors(depth int, record *path) {
	id := identifier(record)
	for _, p := range record.all() {
		for _, f := range p.facets {
			if id == nil || w.guess.refers[f].to != id || f.owner().in(w.guess.step) && record != w.guess.step {
				continue
			}
			path := w.relative(record, f)
			if precedeWords.suggests(f.called()) || precedeWords.suggests(f.of.name.Local) {
				w.take(depth, "predecessors", record, f, "refers to the same kind of record, and is called so")
				return
			}
			w.line(depth, "# predecessors: %s # refers to the same kind of record: if it is what comes before", quoted(path))
		}
	}
}

func (w *writer) step() {
	g := w.guess
	w.line(2, "steps:")
	depth := 3
	if g.step == g.operation {
		w.line(depth, "each: . # the operation itself")
	} else {
		w.line(depth, "each: %s # %s, %s", quoted(w.below(g.operation, g.step)), many(g.step.count, "element"), whyStep(g.step))
	}
	values := valuesIn(g.step, nil)
	if g.step != g.operation {
		w.identity(depth, g.step, values)
		w.take(depth, "title", g.step, pick(ownOf(values), w.suits(titleWords)), "called so")
	}
	if text := w.instruction(values); text != nil {
		w.take(depth, "text", g.step, text, "the text that is called so, or has most words")
	} else {
		w.line(depth, "# text: nothing in them is called a text, or has several words")
	}
	if g.step != g.operation {
		w.predecessors(depth, g.step)
	}
	w.parts(depth, g.step)
	w.files(depth, g.step, false)
}

func whyStep(p *path) string {
	if stepWords.suggests(p.name.Local) || stepListWords.ends(p.parent.name.Local) {
		return "called so"
	}
	return "repeated, with text in them"
}

func (w *writer) instruction(values []value) *facet {
	text := func(v value) bool {
		return v.facet.attr.Local == "" && !w.used[v.facet] && !aside(v.facet.of) && !v.facet.file() && !v.facet.number()
	}
	if f := pick(values, func(v value) bool { return text(v) && textWords.suggests(v.facet.called()) }); f != nil {
		return f
	}
	var most *facet
	for _, v := range values {
		if text(v) && v.facet.wordy() >= 3 && (most == nil || v.facet.wordy() > most.wordy()) {
			most = v.facet
		}
	}
	return most
}

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

// geometryFormats are the extensions of geometry; others are of documents.
var geometryFormats = regexp.MustCompile(`(?i)^(stl|obj|glb|gltf|stp|step)$`)

// files takes what looks like names of files: of an item geometry and documents, of
// the work documents.
func (w *writer) files(depth int, record *path, item bool) {
	var geometry, documents []string
	for _, p := range record.all() {
		if record == w.guess.operation && record != w.guess.step && p.in(w.guess.step) {
			continue
		}
		for _, f := range p.facets {
			if !f.file() {
				continue
			}
			w.used[f] = true
			shape, document := extensions(f)
			if len(shape) > 0 && item {
				geometry = append(geometry, w.fileOf(record, f, shape, len(document) > 0))
			}
			if len(document) > 0 || len(shape) > 0 && !item {
				documents = append(documents, w.fileOf(record, f, document, len(shape) > 0))
			}
		}
	}
	for _, list := range []struct {
		field   string
		entries []string
	}{{"geometry", geometry}, {"attachments", documents}} {
		if len(list.entries) > 0 {
			w.line(depth, "%s:", list.field)
			w.line(depth+1, "%s", strings.Join(list.entries, "\n"+strings.Repeat("  ", depth+1)))
		}
	}
}

func (w *writer) fileOf(record *path, f *facet, ends []string, some bool) string {
	each, file := w.below(record, f.of), "."
	if f.attr.Local != "" {
		file = w.attribute(f)
	}
	where := ""
	if some && len(ends) > 0 {
		var any []string
		for _, e := range ends {
			any = append(any, fmt.Sprintf("substring(%s, string-length(%s) - %d) = '.%s'", file, file, len(e), e))
		}
		where = ", where: " + quoted(strings.Join(any, " or "))
	}
	return fmt.Sprintf("- {each: %s%s, file: %s} # %s", quoted(each), where, quoted(file), w.reason(f, "named like files"))
}

func extensions(f *facet) (geometry, documents []string) {
	for _, e := range slices.Sorted(maps.Keys(f.files)) {
		if geometryFormats.MatchString(e) {
			geometry = append(geometry, e)
		} else {
			documents = append(documents, e)
		}
	}
	return geometry, documents
}

// quoted is a text as YAML has it.
func quoted(s string) string {
	if plainYAML.MatchString(s) && !slices.Contains([]string{"true", "false", "null", "yes", "no", "on", "off", "y", "n"}, strings.ToLower(s)) {
		return s
	}
	b, err := schema.Encode(s)
	if err != nil {
		panic("sketch: internal error: " + err.Error())
	}
	return strings.TrimSpace(string(b))
}

var plainYAML = regexp.MustCompile(`^(\.|[A-Za-z/][A-Za-z0-9_/.*:-]*[A-Za-z0-9_/*])$|^[A-Za-z]$`)

func many(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
