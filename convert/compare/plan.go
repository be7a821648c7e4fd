package compare

import (
	"reflect"
	"regexp"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
)

// comparison carries two sides of one plan from matching to the result.
type comparison struct {
	*matcher
	told map[string]bool // what is the same for many steps is told once
	gaps map[string]bool // what was not carried over in a step that is told
	ids  [2]map[string]int
	out  *Result
}

// compareEditions compares two sides of one plan.
func compareEditions(old, new *edition) *Result {
	c := &comparison{matcher: newMatcher(old, new), told: map[string]bool{}, gaps: map[string]bool{}, out: &Result{Plan: new.head.Plan.ID.Value, Old: old.side, New: new.side}}
	c.head()
	c.run()
	kept := c.inOrder()
	olds, news := operationsOf(old), operationsOf(new)
	gone := map[string][]int{} // steps that are not there any more, by the operation as it is called now
	for _, o := range olds.ids {
		for _, i := range olds.steps[o] {
			if c.to[i] < 0 {
				gone[c.operations[o]] = append(gone[c.operations[o]], i)
			}
		}
	}
	for _, o := range news.ids {
		for _, j := range news.steps[o] {
			if i := c.from[j]; i >= 0 {
				c.steps(i, j, kept[i])
			} else {
				c.added(j)
			}
		}
		c.removed(gone[o])
	}
	c.removed(gone[""])
	c.diagnostics()
	return c.out
}

func (c *comparison) walker(operation, id string) *walker {
	return &walker{renamed: c.renamed, base: Change{Plan: c.out.Plan, Operation: operation, Step: id}}
}

// once takes changes that many steps share.
func (c *comparison) once(changes []Change) {
	for _, ch := range changes {
		key := strings.Join([]string{ch.Operation, ch.What, ch.Kind, flat(ch.Old), flat(ch.New)}, "\x00")
		if !c.told[key] {
			c.told[key] = true
			c.out.Changes = append(c.out.Changes, ch)
		}
	}
}

func (c *comparison) head() {
	w := c.walker("", "")
	walkRoot(w, &c.old.head, &c.new.head)
	if a, b := c.old.head.Model, c.new.head.Model; a != nil && b != nil {
		walkRoot(w, a, b)
	}
	w.content("whole", Geometry, c.old.whole, c.new.whole)
	w.content("locator", Presentation, c.old.locator, c.new.locator)
	c.once(w.out)
}

// content tells of a file by its digest, where nothing else tells that it differs.
func (w *walker) content(name string, class Class, old, new string) {
	if old != new && !slices.ContainsFunc(w.out, func(ch Change) bool { return strings.HasPrefix(ch.What, name) }) {
		w.changed(place{path: name + ".sha256", field: field{class: class}}, given(old), given(new), origin{}, origin{})
	}
}

// walkRoot walks two structures from their root.
func walkRoot[T any](w *walker, old, new *T) {
	w.walk(types()[reflect.TypeFor[T]()], reflect.ValueOf(old).Elem(), reflect.ValueOf(new).Elem(), place{})
}

// steps compares two documents of one step.
func (c *comparison) steps(i, j int, inOrder bool) {
	from, to := c.old.steps[i], c.new.steps[j]
	if from.digest != "" && from.digest == to.digest {
		return
	}
	a, b := c.read(c.old, i), c.read(c.new, j)
	if a == nil || b == nil {
		return
	}
	c.shared(from, to, a.step, b.step)
	a.step.Predecessors = c.before(0, a.step.Predecessors)
	b.step.Predecessors = c.before(1, b.step.Predecessors)
	c.tellGaps(a.step)
	c.tellGaps(b.step)
	w := c.walker(to.operation, to.id)
	c.place(w, from, to, a.step, b.step, inOrder)
	w.document(a, b)
	c.takenBy(w, i, j)
	c.out.Changes = append(c.out.Changes, w.out...)
}

func (c *comparison) read(e *edition, i int) *document {
	doc, damaged := e.open(i)
	if damaged != nil {
		c.out.Diagnostics.Add(*damaged)
	}
	return doc
}

// before replaces those of a step's predecessors that came or went by the steps before
// them: that they came or went is told of them alone.
func (c *comparison) before(side int, ids []string) []string {
	var out []string
	seen := map[string]bool{}
	var follow func(ids []string)
	follow = func(ids []string) {
		for _, id := range ids {
			if seen[id] {
				continue
			}
			seen[id] = true
			if doc := c.unpaired(side, id); doc != nil {
				follow(doc.step.Predecessors)
			} else {
				out = append(out, id)
			}
		}
	}
	follow(ids)
	return out
}

// unpaired is the document of a step that is on one side only, or nil. A step that is
// left out is still named by those that wait for it.
func (c *comparison) unpaired(side int, id string) *document {
	for _, at := range []int{side, 1 - side} {
		k, ok := c.byID(at)[id]
		switch {
		case !ok:
			continue
		case [2][]int{c.to, c.from}[at][k] >= 0:
			return nil
		}
		doc, _ := [2]*edition{c.old, c.new}[at].open(k)
		return doc
	}
	return nil
}

// byID finds steps of a side by id.
func (c *comparison) byID(side int) map[string]int {
	if c.ids[side] == nil {
		c.ids[side] = map[string]int{}
		for i, s := range [2]*edition{c.old, c.new}[side].steps {
			c.ids[side][s.id] = i
		}
	}
	return c.ids[side]
}

// shared compares what the document says of its plan and its operation.
func (c *comparison) shared(from, to entry, a, b *bundle.Step) {
	w := c.walker("", "")
	walkRoot(w, &head{Plan: a.Plan, Revision: a.Revision}, &head{Plan: b.Plan, Revision: b.Revision})
	c.once(w.out)
	if c.operations[from.operation] != to.operation {
		return
	}
	w = c.walker(to.operation, "")
	if from.operation != to.operation {
		w.tell(place{path: "operation.id", field: field{class: Content}}, Moved, from.operation, to.operation, a.Operation.ID.Origin, b.Operation.ID.Origin)
	}
	k := types()[reflect.TypeFor[step.Operation]()]
	w.walk(k, reflect.ValueOf(a.Operation).Elem(), reflect.ValueOf(b.Operation).Elem(), place{path: "operation", field: field{class: Content}})
	c.once(w.out)
}

// place tells where a step went.
func (c *comparison) place(w *walker, from, to entry, a, b *bundle.Step, inOrder bool) {
	at := func(path string) place { return place{path: path, field: field{class: Safety}} }
	if c.operations[from.operation] != to.operation {
		w.tell(at("operation"), Moved, from.operation, to.operation, a.Operation.ID.Origin, b.Operation.ID.Origin)
	}
	if from.id != to.id && !(from.derived() && to.derived()) {
		w.tell(place{path: "id", field: field{class: Content}}, Moved, from.id, to.id, a.ID.Origin, b.ID.Origin)
	}
	if !inOrder {
		w.tell(at("sequence"), Moved, from.sequence, to.sequence, origin{}, origin{})
	}
}

// document compares what two documents say, in the order of step.json.
func (w *walker) document(a, b *document) {
	w.buffers = !slices.Equal(buffers(a.step), buffers(b.step)) && a.step.Scene != nil && b.step.Scene != nil
	k := types()[reflect.TypeFor[bundle.Step]()]
	from, to := reflect.ValueOf(a.step).Elem(), reflect.ValueOf(b.step).Elem()
	for i := range k.members {
		m := &k.members[i]
		switch m.name {
		case "plan", "revision", "operation", "id", "sequence": // told once, or by the step's place
			continue
		}
		if m.field.class != follows {
			w.walk(m.typ, m.of(from), m.of(to), place{}.to(m, m.name))
		}
		if m.name == "scene" && w.buffers {
			w.geometry(buffers(a.step), buffers(b.step))
		}
	}
	k = types()[reflect.TypeFor[drawing]()]
	w.walk(k, reflect.ValueOf(a.drawing), reflect.ValueOf(b.drawing), place{})
}

// buffers are the digests of the scene's geometry, sorted: their order means nothing.
// What is shared with other steps comes last, and is compared as what it is.
func buffers(s *bundle.Step) []string {
	var out []string
	for _, r := range s.Resources {
		if strings.HasPrefix(r.URI, "../../locator.gltf") || strings.HasPrefix(r.URI, "../../registration/") {
			break
		}
		if strings.HasSuffix(r.URI, ".bin") {
			out = append(out, r.SHA256)
		}
	}
	slices.Sort(out)
	return out
}

func (w *walker) geometry(a, b []string) {
	only := func(list, other []string) any {
		var out []any
		for _, d := range list {
			if !slices.Contains(other, d) {
				out = append(out, d)
			}
		}
		if out == nil {
			return nil
		}
		return out
	}
	w.changed(place{path: "scene.geometry", field: field{class: Geometry}}, only(a, b), only(b, a), origin{}, origin{})
}

// takenBy names the rule that took a part out, or that had taken it out before.
func (c *comparison) takenBy(w *walker, i, j int) {
	for n := range w.out {
		ch := &w.out[n]
		switch {
		case !strings.HasPrefix(ch.What, "parts[") || strings.Contains(ch.What, "]."):
		case ch.Kind == Removed && c.new.leftOut != nil:
			ch.TakenBy = ruleOf(c.new.leftOut(j), ch.OldOrigin)
		case ch.Kind == Added && c.old.leftOut != nil:
			ch.TakenBy = ruleOf(c.old.leftOut(i), ch.NewOrigin)
		}
	}
}

// ruleOf is the rule that left out the part that stands at a place of the plan.
func ruleOf(parts []step.Part, at Origin) string {
	for _, p := range parts {
		if at.Line > 0 && p.Origin.Line == at.Line && p.Origin.Column == at.Column {
			return p.Skip.Origin.Rule
		}
	}
	return ""
}

// stepPlace is where a step that came or went is told: how work is done and checked
// changes with it.
var stepPlace = place{path: "step", field: field{class: Safety}}

func (c *comparison) added(j int) {
	s := c.new.steps[j]
	if doc := c.read(c.new, j); doc != nil {
		c.tellGaps(doc.step)
		w := c.walker(s.operation, s.id)
		w.tell(stepPlace, Added, nil, gist(doc.step), origin{}, doc.step.ID.Origin)
		w.out[0].TakenBy, w.out[0].Old = skippedBy(c.old, s, func(o string) string { return c.operations[o] })
		c.out.Changes = append(c.out.Changes, w.out...)
	}
}

func (c *comparison) removed(steps []int) {
	for _, i := range steps {
		s := c.old.steps[i]
		if doc := c.read(c.old, i); doc != nil {
			c.tellGaps(doc.step)
			w := c.walker(c.renamed.of(toOperation, s.operation), s.id)
			w.tell(stepPlace, Removed, gist(doc.step), nil, doc.step.ID.Origin, origin{})
			at := entry{operation: w.base.Operation, id: s.id}
			w.out[0].TakenBy, w.out[0].New = skippedBy(c.new, at, func(o string) string { return o })
			c.out.Changes = append(c.out.Changes, w.out...)
		}
	}
}

// tellGaps notes what was not carried over in a step, which is not told for the plan
// once more.
func (c *comparison) tellGaps(s *bundle.Step) {
	for _, g := range s.NotCarried {
		c.gaps[g.Code+" "+g.Message] = true
	}
}

// skippedBy is the rule that left a step out on the side where it is not, and what it
// said.
func skippedBy(e *edition, s entry, operation func(string) string) (rule string, says any) {
	for _, k := range e.skipped {
		if k.Step == s.id && (operation(k.Operation) == s.operation || k.Operation == s.operation) {
			return k.Rule, "left out: " + k.Reason
		}
	}
	return "", nil
}

// gist is what a step that came or went is told by: what it says, and how much of
// what matters it holds.
func gist(s *bundle.Step) any {
	var out object
	k, v := types()[reflect.TypeFor[bundle.Step]()], reflect.ValueOf(s).Elem()
	for _, name := range append([]string{"predecessors"}, append(slices.Clone(saying), "notCarried")...) {
		m := k.member(name)
		d := m.typ.describe(m.of(v))
		if list, ok := d.([]any); ok && name != "predecessors" {
			d = len(list)
		}
		if d != nil {
			out = append(out, objectMember{name, d})
		}
	}
	return out
}

// diagnostics compares what was found wrong with the plan as a whole, as far as no
// step has told it.
func (c *comparison) diagnostics() {
	w := c.walker("", "")
	each := func(list, others diag.List, kind string) {
		common := map[string]int{} // findings that the other side has too
		for _, d := range others {
			common[d.Code+" "+d.Message]++
		}
		for _, d := range list {
			key := d.Code + " " + d.Message
			if common[key]--; common[key] < 0 && d.Severity > diag.Info && !c.gaps[key] {
				w.gap(d, kind)
			}
		}
	}
	each(c.old.list, c.new.list, Removed)
	each(c.new.list, c.old.list, Added)
	c.out.Changes = append(c.out.Changes, w.out...) // each is of a place of its own
}

var ruleNamed = regexp.MustCompile(`\brule "([^"]*)"`)

// ruleIn is the rule that a message names.
func ruleIn(message string) string {
	if m := ruleNamed.FindStringSubmatch(message); m != nil {
		return m[1]
	}
	return ""
}

func (w *walker) gap(d diag.Diagnostic, kind string) {
	v := object{{"code", d.Code}, {"message", d.Message}}
	at := origin{Line: d.Position.Line, Column: d.Position.Column, Rule: ruleIn(d.Message)}
	p := place{path: "diagnostics[" + d.Code + "]", field: field{class: Content}}
	if d.Holds {
		p.field.class = Safety
	}
	if kind == Removed {
		w.tell(p, kind, v, nil, at, origin{})
	} else {
		w.tell(p, kind, nil, v, origin{}, at)
	}
}
