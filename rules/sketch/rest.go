package sketch

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// maxRest bounds the list of what was not taken.
const maxRest = 200

// kind is one of them.
type kind struct {
	list  string
	words role
	says  string
}

// like reports that a path is called so, or stands in one that is.
func (k kind) like(p *path) bool {
	for ; p != nil && p.parent != nil; p = p.parent {
		if k.words.suggests(p.name.Local) || k.list == "hazards" && warns(p) {
			return true
		}
	}
	return false
}

// unguessed are the kinds of what is proposed by names, and the list that each is
// read into.
var unguessed = []kind{
	{"hazards", hazardWords, "hazard statements, with signalWord, hazard, consequence, avoidance"},
	{"characteristics", measureWords, "what is measured, with nominal, lower, upper, unit"},
	{"signOffs", confirmWords, "sign-offs, with role"},
	placed,
}

var (
	placed  = kind{"", placementWords, "placements or saved views"}
	numbers = regexp.MustCompile(`^[-+.0-9eE ]+$`)
)

// proposals are what is never guessed: what can hurt, limits, sign-offs, placements,
// languages. They are comments, to be taken over by someone who has looked.
func (w *writer) proposals() {
	var lines []string
	for _, k := range unguessed {
		for _, p := range w.survey.root.all() {
			if p.parent != nil && k.like(p) && !k.like(p.parent) {
				w.proposed[k.list] = true
				lines = append(lines, cmp.Or(k.list, "occurrences or views")+": "+w.absolute(p)+" ("+many(p.count, "element")+") may be "+k.says)
			}
		}
	}
	for _, p := range w.survey.root.all() {
		for _, f := range p.facets {
			if f.warns > 0 {
				w.proposed["hazards"] = true
				lines = append(lines, fmt.Sprintf("hazards: %d of the texts %s begin with a signal word", f.warns, w.place(f)))
			}
			if n := len(strings.Fields(f.example)); (n == 12 || n == 16) && numbers.MatchString(f.example) && !placed.like(p) {
				lines = append(lines, "occurrences or views: "+w.place(f)+" looks like placements, such as "+f.shown())
			}
			if f.lang == f.count && f.count > 0 && f.attr.Space != xmlSpace && f.attr.Local != "" && !w.used[f] {
				lines = append(lines, "language: "+w.place(f)+" looks like language tags, such as "+f.shown())
			}
		}
	}
	if len(lines) == 0 {
		return
	}
	w.line(0, "")
	w.line(0, "# Not guessed, since it matters for safety or cannot be seen from the structure:")
	for _, l := range lines[:min(len(lines), maxRest)] {
		w.line(0, "# - %s", l)
	}
}

// rest lists what no field takes.
func (w *writer) rest() {
	n := 0
	for _, p := range w.survey.root.all() {
		for _, f := range p.facets {
			if w.used[f] || f.count == 0 || f.attr.Space == xmlSpace {
				continue
			}
			if n++; n == 1 {
				w.line(0, "")
				w.line(0, "# Seen and not taken (path, how many, the first):")
			}
			if n <= maxRest {
				w.line(0, "# - %s: %d, %s%s", w.place(f), f.count, f.shown(), w.refersTo(f))
			}
		}
	}
	if n > maxRest {
		w.line(0, "# - and %d more", n-maxRest)
	}
	if w.survey.full {
		w.line(0, "# The export has more than %d paths of elements; those that came later were not looked at.", maxPaths)
	}
	if slices.ContainsFunc(w.survey.root.all(), func(p *path) bool { return slices.ContainsFunc(p.facets, func(f *facet) bool { return f.missed }) }) {
		w.line(0, "# The export is large: whether values are unique or refer to each other was judged by the first %d.", maxValues)
	}
}

func (w *writer) refersTo(f *facet) string {
	r, refers := w.guess.refers[f]
	if !refers {
		return ""
	}
	return "; equals " + w.place(r.to)
}
