package rules

import (
	"fmt"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/rules/selector"
)

// finds reports whether a value ever gave something of the plans; a default does not
// count.
func (t tally) finds(x *value) bool {
	return t.paths[x.place].found > 0 || x.standIn == "" && t.read[x.place] > 0
}

// seeksInVain reports a path that was followed and never led to anything.
func (l led) seeksInVain() bool { return l.vain > 0 && l.found+l.unmatched == 0 }

// lost is a path of the rules that nothing answers to.
type lost struct {
	rule  string
	at    diag.Position
	path  string
	vital bool  // what it looks for must not be missed
	whole *kind // of the records that it looks for; nil: it is for a part of one
}

// unread finds reading rules that found nothing, one finding a kind of record, but for
// what is vital: where there is most likely a slip, it is a warning.
func (v *Survey) unread() diag.List {
	out, told := v.vitalUnread()
	for _, top := range v.set.readings() {
		var missing, rest []lost
		for _, r := range top {
			missing = v.nothing(r, missing)
		}
		for _, l := range missing {
			meant, likely := v.meant(l.path)
			switch {
			case told[l.at]:
			case l.vital && (likely || v.misses(l)):
				told[l.at] = true
				mean := ""
				if likely {
					mean = fmt.Sprintf("; did you mean %q?", meant)
				}
				out.Add(diag.RuleReadsNoVital.At(l.at, "nothing was found in %s for %s%s", v.given(), strings.TrimPrefix(l.rule, "read."), mean))
			default:
				rest = append(rest, l)
			}
		}
		out.Add(v.foundNothing(rest)...)
	}
	for _, j := range v.set.joins {
		if at, why := v.unjoined(j); why != "" && !told[at] && (j.whole || len(j.values) > 0) {
			out.Add(diag.RuleReadsNothing.At(at, "%s", why))
		}
	}
	return out
}

// misses reports a path to records of which no rule finds any. In a dialect that many sites
// use that is normal.
func (v *Survey) misses(l lost) bool {
	found := l.whole == nil || v.set.shared[l.at.File]
	v.set.eachReading(func(r *reading) { found = found || r.kind == l.whole && v.counts.read[r.place] > 0 })
	return !found
}

// unjoined says why a join has no records, or "", and where the rules say so.
func (v *Survey) unjoined(j *join) (at diag.Position, why string) {
	switch {
	case v.counts.read[j.matchAt] == 0:
		return j.matchAt, fmt.Sprintf("the join %q finds no record in %s", j.name, v.given())
	case v.counts.read[j.keyAt] == 0:
		return j.keyAt, fmt.Sprintf("no record of the join %q has its key in %s", j.name, v.given())
	}
	return at, ""
}

func (v *Survey) nothing(r *reading, missing []lost) []lost {
	vital := mustReadOrStep(r.kind)
	switch {
	case v.counts.read[r.place] > 0:
	case r.join != nil && v.counts.paths[r.byAt].seeksInVain():
		return append(missing, lost{rule: r.rule + ".by", at: r.byAt, path: r.by.String(), vital: vital})
	case r.each != nil:
		return append(missing, lost{r.rule, r.place, r.each.String(), vital, r.kind})
	default:
		return append(missing, lost{r.rule, r.place, r.match.String(), vital, r.kind})
	}
	for _, b := range r.bindings {
		for _, inner := range b.inside {
			missing = v.nothing(inner, missing)
		}
		missing = append(missing, v.nothingFor(b, isVital(r.kind, b.field.name))...)
	}
	return missing
}

// nothingFor lists what of a binding led to nothing: what stands beside its values, or
// one of them, or the whole.
func (v *Survey) nothingFor(b *binding, vital bool) (missing []lost) {
	own, whole := 0, len(b.values) > 0 && !slices.ContainsFunc(b.values, v.counts.finds)
	for i, x := range b.values {
		l, beside := v.counts.paths[x.place], v.vain(b.rule, x)
		if v.counts.finds(x) {
			beside = append(beside, v.unspoken(b.rule, x, vital)...)
		}
		if len(beside) == 0 && !v.counts.finds(x) && l.vain+l.unmatched > 0 {
			beside = append(beside, lost{rule: b.called(i), at: x.place, path: x.looksFor(), vital: vital})
			own++
		}
		missing = append(missing, beside...)
	}
	if whole && len(missing) == own {
		return []lost{{rule: b.rule, at: b.values[0].place, path: b.values[0].looksFor(), vital: vital}}
	}
	return missing
}

// looksFor is the path of a value, if it has one.
func (v *value) looksFor() string {
	if v.path == nil {
		return ""
	}
	return v.path.String()
}

// called is the name of one of a binding's values.
func (b *binding) called(i int) string {
	if len(b.values) == 1 {
		return b.rule
	}
	return fmt.Sprintf("%s, %d of %d", b.rule, i+1, len(b.values))
}

// vain lists the paths beside that of a value which were followed and never found
// anything, or were never true.
func (v *Survey) vain(rule string, x *value) (out []lost) {
	add := func(key string, at diag.Position, p *selector.Path) {
		if v.counts.paths[at].seeksInVain() {
			out = append(out, lost{rule: rule + "." + key, at: at, path: p.String()})
		}
	}
	if x.where != nil {
		add("where", x.whereAt, x.where)
	}
	if x.lang != nil {
		add("lang", x.langAt, x.lang)
	}
	for t := x; t != nil; t = t.through {
		if t.by != nil {
			add("by", t.byAt, t.by)
		}
	}
	return out
}

// unspoken lists the languages of a value in which nothing was found, though it was in
// others.
func (v *Survey) unspoken(rule string, x *value, vital bool) (out []lost) {
	for _, s := range x.spoken {
		if v.counts.paths[s.at].seeksInVain() {
			out = append(out, lost{rule: rule + ".languages." + s.tag, at: s.at, path: s.path.String(), vital: vital})
		}
	}
	return out
}

// foundNothing names what found nothing, each place of the rule files once.
func (v *Survey) foundNothing(missing []lost) diag.List {
	const most = 12
	var names []string
	seen := map[diag.Position]bool{}
	for _, l := range missing {
		if seen[l.at] {
			continue
		}
		seen[l.at] = true
		name := fmt.Sprintf("%s (line %d)", strings.TrimPrefix(l.rule, "read."), l.at.Line)
		if meant, likely := v.meant(l.path); likely {
			name += fmt.Sprintf(" (did you mean %q?)", meant)
		}
		names = append(names, name)
	}
	if len(names) == 0 {
		return nil
	}
	more := ""
	if len(names) > most {
		more = fmt.Sprintf(" and %d more", len(names)-most)
		names = names[:most]
	}
	return diag.List{diag.RuleReadsNothing.At(missing[0].at, "nothing was found in %s for %s%s", v.given(), strings.Join(names, ", "), more)}
}
