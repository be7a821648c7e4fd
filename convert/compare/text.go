package compare

import (
	"cmp"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
)

// Text writes results for a reader: by plan, operation and step, in each the gravest
// class first. What is the same in several steps of an operation is said once.
type Text struct {
	w       io.Writer
	plans   int // compared
	differ  int
	totals  Totals
	effects effects // nil: plans are told one by one
}

// NewText begins. With byRule it says at the end what each rule did, with a few
// examples, in place of each change.
func NewText(w io.Writer, byRule bool) *Text { return &Text{w: w, effects: gather(byRule)} }

// Add writes how a plan differs; nothing if it does not.
func (t *Text) Add(r *Result) error {
	t.plans++
	if r.Same() {
		return nil
	}
	t.differ++
	t.totals.add(r.Changes)
	if t.effects != nil {
		t.effects.add(r)
		return nil
	}
	var b strings.Builder
	if r.Plan != "" {
		fmt.Fprintf(&b, "plan %s%s\n", r.Plan, sides(r.Old, r.New))
	}
	last := section{}
	for _, s := range sections(r.Changes) {
		s.write(&b, last)
		last = s.section
	}
	if b.Len() > 0 {
		b.WriteByte('\n')
	}
	_, err := io.WriteString(t.w, b.String())
	return err
}

// Close writes what it amounts to.
func (t *Text) Close() error {
	_, err := io.WriteString(t.w, t.effects.text()+t.summary())
	return err
}

func (t *Text) summary() string {
	n := t.totals
	all := n.Safety + n.Content + n.Geometry + n.Presentation
	in := ""
	if t.plans > 1 {
		in = fmt.Sprintf(" in %d of %d plans", t.differ, t.plans)
	}
	switch {
	case all == 0 && t.differ > 0:
		return fmt.Sprintf("not all could be compared%s\n", in)
	case all == 0:
		return fmt.Sprintf("no difference%s\n", in)
	}
	return fmt.Sprintf("%s%s: safety %d, content %d, geometry %d, presentation %d\n", counted(all, "difference"), in, n.Safety, n.Content, n.Geometry, n.Presentation)
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func sides(old, new Side) string {
	name := func(s Side) string { return strings.TrimSuffix(s.Revision+"@"+s.Edition, "@") }
	switch a, b := name(old), name(new); {
	case a == "" || b == "" || a == b:
		return " " + cmp.Or(a, b)
	default:
		return fmt.Sprintf(" %s -> %s", a, b)
	}
}

// section is where changes belong: the plan, an operation, a step. A step that is gone
// may have had the id that another has now.
type section struct {
	operation, step string
	gone            bool
}

// sectionText is a section with its changes; those that several steps share belong to
// their operation and say in which steps they are.
type sectionText struct {
	section
	changes []Change
	steps   [][]string // of each change of an operation: the steps that share it
}

func sections(changes []Change) []*sectionText {
	shared := map[string][]string{}
	for _, c := range changes {
		if c.Step != "" {
			k := sharedKey(c)
			shared[k] = slices.Compact(append(shared[k], c.Step)) // a step may have one thing twice
		}
	}
	var out []*sectionText
	at := map[section]*sectionText{}
	open := func(s section) *sectionText {
		if at[s] == nil {
			at[s] = &sectionText{section: s}
			out = append(out, at[s])
		}
		return at[s]
	}
	written := map[string]bool{}
	for _, c := range changes {
		k := sharedKey(c)
		if c.Step == "" || len(shared[k]) < 2 {
			s := open(section{c.Operation, c.Step, c.What == "step" && c.Kind == Removed})
			s.changes, s.steps = append(s.changes, c), append(s.steps, nil)
			continue
		}
		if !written[k] {
			written[k] = true
			s := open(section{operation: c.Operation})
			s.changes, s.steps = append(s.changes, c), append(s.steps, shared[k])
		}
	}
	order := map[string]int{}
	for _, s := range out {
		if _, ok := order[s.operation]; !ok {
			order[s.operation] = len(order)
		}
	}
	// An operation's own section comes before its steps, also if it was opened later.
	slices.SortStableFunc(out, func(a, b *sectionText) int {
		return cmp.Or(cmp.Compare(order[a.operation], order[b.operation]), cmp.Compare(min(len(a.step), 1), min(len(b.step), 1)))
	})
	return out
}

func sharedKey(c Change) string {
	return strings.Join([]string{c.Operation, string(c.Class), c.What, c.Kind, c.shown(c.Old), c.shown(c.New), c.TakenBy}, "\x00")
}

func (s *sectionText) write(b *strings.Builder, last section) {
	indent := "  "
	if s.operation != "" {
		if s.operation != last.operation {
			fmt.Fprintf(b, "  operation %s\n", s.operation)
		}
		indent += "  "
	}
	if s.step != "" {
		old := ""
		if s.gone {
			old = ", as it was called"
		}
		fmt.Fprintf(b, "    step %s%s\n", s.step, old)
		indent += "  "
	}
	order := make([]int, len(s.changes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Compare(slices.Index(classes, s.changes[i].Class), slices.Index(classes, s.changes[j].Class))
	})
	nodes := 0
	for _, i := range order {
		if figures.MatchString(s.changes[i].What) {
			if nodes++; nodes > mostFigures {
				continue
			}
		}
		fmt.Fprintf(b, "%s%s\n", indent, s.changes[i].line(s.steps[i]))
	}
	if nodes > mostFigures {
		fmt.Fprintf(b, "%s%-12s … and %d more such figures of nodes\n", indent, Geometry, nodes-mostFigures)
	}
}

// figures of a scene's nodes change together, by the dozen.
var figures = regexp.MustCompile(`^scene\.nodes\[.*\]\.(triangles|deviation)$`)

const mostFigures = 3

var signs = map[string]string{Added: "+", Removed: "-", Changed: "~", Moved: ">"}

// line is a change for a reader.
func (c Change) line(steps []string) string {
	return fmt.Sprintf("%-12s %s %s%s%s%s", c.Class, signs[c.Kind], c.What, c.says(), inSteps(steps), c.from())
}

func inSteps(steps []string) string {
	switch n := len(steps); {
	case n == 0:
		return ""
	case n <= 4:
		return " in steps " + strings.Join(steps, ", ")
	default:
		return fmt.Sprintf(" in %d steps, %s to %s", n, steps[0], steps[n-1])
	}
}

// says is what was and what is.
func (c Change) says() string {
	if c.What == "scene.geometry" {
		return fmt.Sprintf(": %d buffers out, %d in", lengthOf(c.Old), lengthOf(c.New))
	}
	old, new := c.shown(c.Old), c.shown(c.New)
	switch {
	case old == "" && new == "":
		return ""
	case c.What == "step" && c.TakenBy != "":
		return ": " + strings.Trim(old+" | "+new, " |")
	case c.Kind == Added:
		return ": " + new
	case c.Kind == Removed:
		return ": " + old
	case old == new:
		return ": white space alone"
	case strings.Contains(old, " ") && strings.Contains(new, " ") && c.Kind == Changed:
		return ": " + words(old, new)
	}
	return fmt.Sprintf(": %s -> %s", old, new)
}

// shown is a value without what its path says already.
func (c Change) shown(v any) string {
	o, ok := v.(object)
	if !ok {
		return flat(v)
	}
	var rest object
	for _, m := range o {
		if m.name != "code" && !strings.HasSuffix(c.What, "["+flat(m.value)+"]") {
			rest = append(rest, m)
		}
	}
	switch {
	case len(rest) == 1 && rest[0].name == "text" && c.What != "step":
		return flat(rest[0].value)
	case len(rest) == 1 && rest[0].name == "message":
		return ownStep.ReplaceAllString(flat(rest[0].value), "the step")
	}
	return flat(rest)
}

// ownStep is how a message names the step that it stands in.
var ownStep = regexp.MustCompile(`\bstep "[^"]*"`)

func lengthOf(v any) int {
	list, _ := v.([]any)
	return len(list)
}

// from is where the values come from: lines of the plan, and the rules that a
// reading selector is not.
func (c Change) from() string {
	at := func(o Origin) string {
		var parts []string
		if o.Line > 0 {
			parts = append(parts, fmt.Sprintf("%d:%d", o.Line, o.Column))
		}
		if named(o.Rule) {
			parts = append(parts, fmt.Sprintf("rule %q", o.Rule))
		}
		return strings.Join(parts, " ")
	}
	old, new := at(c.OldOrigin), at(c.NewOrigin)
	var parts []string
	if old != "" {
		parts = append(parts, "old "+old)
	}
	if new != "" {
		parts = append(parts, "new "+new)
	}
	if c.TakenBy != "" {
		parts = append(parts, fmt.Sprintf("taken out by rule %q", c.TakenBy))
	}
	if len(parts) == 0 {
		return ""
	}
	return "  (" + strings.Join(parts, ", ") + ")"
}

// text says what rules did, a rule at a time, with a few examples of each effect.
func (all effects) text() string {
	var b strings.Builder
	last := "\x00"
	for _, e := range all.list() {
		if name := e.heading(); name != last {
			last = name
			fmt.Fprintf(&b, "%s:\n", name)
		}
		fmt.Fprintf(&b, "  %-12s %s\n", e.Class, e.sentence())
		for _, c := range e.Examples {
			fmt.Fprintf(&b, "      %s: %s %s%s%s\n", strings.Join(slices.DeleteFunc([]string{c.Plan, cmp.Or(c.Step, c.Operation)}, func(s string) bool { return s == "" }), " "), signs[c.Kind], c.What, c.says(), c.from())
		}
	}
	if b.Len() > 0 {
		b.WriteByte('\n')
	}
	return b.String()
}

// sentence says how many steps, or plans, are affected and how.
func (e *effect) sentence() string {
	n, where, verb := e.Plans, counted(e.Plans, "plan"), e.Effect
	if e.Steps > 0 {
		n, where = e.Steps, fmt.Sprintf("%s in %s", counted(e.Steps, "step"), where)
	}
	if n == 1 {
		word, rest, _ := strings.Cut(verb, " ")
		verb = map[string]string{"have": "has", "are": "is"}[word] + " " + rest
		if word != "have" && word != "are" {
			verb = word + "s " + rest
		}
	}
	if e.Changes == n {
		return where + " " + verb
	}
	return fmt.Sprintf("%s %s (%s)", where, verb, counted(e.Changes, "difference"))
}

func (e *effect) heading() string {
	kind := func(r string) string {
		if named(r) {
			return "rule " + r
		}
		return r
	}
	switch {
	case e.Rule == "":
		return "no rule of its own"
	case e.Was != "":
		return kind(e.Rule) + ", in place of " + kind(e.Was)
	}
	return kind(e.Rule)
}
