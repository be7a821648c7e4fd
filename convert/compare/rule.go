package compare

import (
	"cmp"
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"

	"planfold/convert/bundle"
	"planfold/convert/step"
)

// effects is what changes of rules do to a catalogue: by the rules that set the old and
// the new value, and by what became of it. Changes are counted, a few are kept.
type effects map[string]*effect

// effect is what one rule does by being there, or did and does no more.
type effect struct {
	Rule     string   `json:"rule,omitempty"` // that sets the new value, that took it away, or whose value is gone; none: it follows from others
	Was      string   `json:"was,omitempty"`  // that set the old value, if it is another
	Class    Class    `json:"class"`
	Effect   string   `json:"effect"` // "lose a sign-off"
	Changes  int      `json:"changes"`
	Plans    int      `json:"plans"`
	Steps    int      `json:"steps"`
	Examples []Change `json:"examples"`
	plan     *Result  // that was counted last
	step     [2]string
}

const mostExamples = 3

func gather(byRule bool) effects {
	if byRule {
		return effects{}
	}
	return nil
}

// add counts the changes of one plan.
func (all effects) add(result *Result) {
	for _, c := range result.Changes {
		rule, was := c.rules()
		says := effectOf(c)
		key := strings.Join([]string{rule, was, string(c.Class), says}, "\x00")
		e := all[key]
		if e == nil {
			e = &effect{Rule: rule, Was: was, Class: c.Class, Effect: says}
			all[key] = e
		}
		e.Changes++
		if e.plan != result {
			e.plan, e.step = result, [2]string{}
			e.Plans++
		}
		if at := [2]string{c.Operation, c.Step}; c.Step != "" && e.step != at { // changes come by step
			e.step = at
			e.Steps++
		}
		if len(e.Examples) < mostExamples {
			e.Examples = append(e.Examples, c)
		}
	}
}

// list gives what was gathered: by rule, the gravest class first, then the most
// changes.
func (all effects) list() []*effect {
	out := slices.Collect(maps.Values(all))
	// Sorted in every respect, since a map has no order.
	slices.SortFunc(out, func(a, b *effect) int {
		return cmp.Or(cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Was, b.Was), cmp.Compare(slices.Index(classes, a.Class), slices.Index(classes, b.Class)),
			cmp.Compare(b.Changes, a.Changes), cmp.Compare(a.Effect, b.Effect))
	})
	return out
}

// named reports whether a rule has a name of its own; a reading selector has none, nor
// has the order of the plan, which gives a step its id where nothing else does.
func named(rule string) bool {
	return rule != "" && !strings.HasPrefix(rule, "read.") && rule != "order of the plan"
}

// rules are those that a change is put down to. A named rule is put before a reading
// selector, which is there on both sides.
func (c Change) rules() (rule, was string) {
	switch old, new := c.OldOrigin.Rule, c.NewOrigin.Rule; {
	case c.TakenBy != "":
		return c.TakenBy, ""
	case old == new || old == "" || named(new) && !named(old):
		return new, ""
	case new == "" || named(old) && !named(new):
		return old, ""
	default:
		return new, old
	}
}

var inBrackets = regexp.MustCompile(`\[[^\]]*\]`)

// effectOf says what became of the steps that a change is in.
func effectOf(c Change) string {
	what := inBrackets.ReplaceAllString(c.What, "")
	entry := what
	if strings.HasSuffix(c.What, "]") {
		entry = cmp.Or(said(what), what)
	}
	switch {
	case what == "step" && c.Kind == Removed:
		return "are left out"
	case what == "step":
		return "come in"
	case c.Kind == Moved:
		return "have another order or place: " + what
	case c.Kind == Changed:
		return "have another " + what
	case c.Kind == Added:
		return "get " + entry
	}
	return "lose " + entry
}

// said is how one entry of a list is called; "" if the list's entries have no name.
func said(path string) string {
	return saidOf()[path[strings.LastIndexByte(path, '.')+1:]]
}

var saidOf = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	for _, t := range []reflect.Type{
		reflect.TypeFor[bundle.Step](), reflect.TypeFor[bundle.Part](), reflect.TypeFor[bundle.Scene](), reflect.TypeFor[step.Operation](),
		reflect.TypeFor[drawing](), reflect.TypeFor[step.Item](), reflect.TypeFor[step.View](),
	} {
		for _, m := range types()[t].members {
			if m.typ.form == formList {
				out[m.name] = m.typ.elem.identity.said
			}
		}
	}
	return out
})
