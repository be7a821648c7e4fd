package sketch

import (
	"bytes"
	"fmt"
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
	// join is the name of each list that is joined; proposed, what is only proposed.
	join     map[*path]string
	proposed map[string]bool
}

func (w *writer) file() []byte {
	w.used, w.proposed = map[*facet]bool{}, map[string]bool{}
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
	w.joins()
	w.line(0, "")
	w.line(0, "read:")
	w.plan()
	w.items()
	w.operations()
	w.proposals()
	w.rest()
	w.expectations()
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
	w.line(depth, "%s: %s # %s", field, w.value(record, f), w.reason(f, why))
}

// value is where a facet is found in a record, and how to tell its languages.
func (w *writer) value(record *path, f *facet) string {
	if lang := language(f.of); f.attr.Local == "" && lang != nil && lang.attr.Space != xmlSpace {
		w.used[lang] = true
		return fmt.Sprintf("{path: %s, lang: %s}", quoted(w.relative(record, f)), quoted(w.attribute(lang)))
	}
	return quoted(w.relative(record, f))
}

func (w *writer) reason(f *facet, why string) string {
	return strings.TrimPrefix(fmt.Sprintf("%s; %s, such as %s", why, many(f.count, "value"), f.shown()), "; ")
}

func (w *writer) plan() {
	root := w.survey.root
	own := w.heading(root)
	w.line(1, "plan:")
	w.line(2, "match: /* # the root, %s", w.named(root.name))
	id := pick(own, func(v value) bool {
		return v.alone() && idWords.ends(v.facet.called()) && v.facet.owner() == root
	})
	if id == nil {
		id = pick(own, func(v value) bool {
			return v.alone() && documentWords.suggests(v.facet.called()) && v.facet.attr.Local != ""
		})
	}
	if id != nil {
		w.take(2, "id", root, id, "called so")
	} else {
		w.line(2, "id: {file: '^([^.]+)'} # nothing near the root is called an id, so the name of the file, up to its first dot")
	}
	revision := pick(own, w.suits(revisionWords))
	if revision == nil {
		revision = pick(own, func(v value) bool { return v.alone() && w.suits(issueWords)(v) })
	}
	w.take(2, "revision", root, revision, "called so; if it is that of the document and not of the format")
	w.take(2, "status", root, pick(own, func(v value) bool { return v.alone() && w.suits(statusWords)(v) }), "called so")
	w.take(2, "title", root, pick(own, w.suits(titleWords)), "called so")
	w.take(2, "product", root, pick(own, func(v value) bool {
		return (w.suits(productWords)(v) || w.suits(buildWords)(v)) && w.namesItem(v.facet)
	}), "called so, and the id of an item")
}

// alone is one word, once in the record.
func (v value) alone() bool { return !v.many && v.facet.short == v.facet.count }

// heading are values of the root, and of an element in it that is called its head.
func (w *writer) heading(root *path) []value {
	values := valuesIn(root, []*path{w.guess.operation})
	own := ownOf(values)
	for _, v := range values {
		head := v.facet.of
		if head.parent != root && head.parent != nil {
			head = head.parent
		}
		if head.parent == root && head.most == 1 && headWords.suggests(head.name.Local) && !slices.Contains(own, v) {
			own = append(own, v)
		}
	}
	return own
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
	w.order(2, o)
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
		w.order(depth, g.step)
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

var plainName = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9]+$`)

var plainYAML = regexp.MustCompile(`^(\.|[A-Za-z/][A-Za-z0-9_/.*:-]*[A-Za-z0-9_/*])$|^[A-Za-z]$`)

func many(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
