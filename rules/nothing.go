package rules

import (
	"fmt"
	"slices"
	"strings"

	"planfold/convert/diag"
)

// finds reports whether a value ever gave something of the plans; a default does not
// count.
func (t tally) finds(x *value) bool {
	return t.paths[x.place].found > 0 || x.standIn == "" && t.read[x.place] > 0
}

// seeksInVain reports a path that was followed and never led to anything.
func (l led) seeksInVain() bool { return l.vain > 0 && l.found+l.unmatched == 0 }

// unread finds reading rules that found nothing, one finding a kind of record, but for
// what is vital.
func (v *Survey) unread() diag.List {
	out, told := v.vitalUnread()
	for _, top := range v.set.readings() {
		var missing []*binding
		for _, r := range top {
			missing = v.nothing(r, missing)
		}
		missing = slices.DeleteFunc(missing, func(b *binding) bool { return told[b.values[0].place] })
		out.Add(v.foundNothing(missing)...)
	}
	for _, j := range v.set.joins {
		if at, why := v.unjoined(j); why != "" && !told[at] && (j.whole || len(j.values) > 0) {
			out.Add(diag.RuleReadsNothing.At(at, "%s", why))
		}
	}
	return out
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

func (v *Survey) nothing(r *reading, missing []*binding) []*binding {
	if v.counts.read[r.place] == 0 {
		if r.join != nil && v.counts.paths[r.byAt].seeksInVain() {
			return append(missing, foundBy(r.rule+".by", r.byAt))
		}
		return append(missing, foundBy(r.rule, r.place))
	}
	for _, b := range r.bindings {
		for _, inner := range b.inside {
			missing = v.nothing(inner, missing)
		}
		missing = append(missing, v.nothingFor(b)...)
	}
	return missing
}

// nothingFor lists what of a binding led to nothing: what stands beside its values, or
// one of them, or the whole.
func (v *Survey) nothingFor(b *binding) (missing []*binding) {
	own, whole := 0, len(b.values) > 0 && !slices.ContainsFunc(b.values, v.counts.finds)
	for i, x := range b.values {
		l, beside := v.counts.paths[x.place], v.vain(b.rule, x)
		if len(beside) == 0 && !v.counts.finds(x) && l.vain+l.unmatched > 0 {
			beside = append(beside, foundBy(b.called(i), x.place))
			own++
		}
		missing = append(missing, beside...)
	}
	if whole && len(missing) == own {
		return []*binding{b}
	}
	return missing
}

// foundBy stands for what a place in the rules says and nothing answers to.
func foundBy(rule string, at diag.Position) *binding {
	return &binding{rule: rule, values: []*value{{place: at}}}
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
func (v *Survey) vain(rule string, x *value) []*binding {
	places := []struct {
		key string
		at  diag.Position
	}{{"where", x.whereAt}, {"lang", x.langAt}}
	for t := x; t != nil; t = t.through {
		places = append(places, struct {
			key string
			at  diag.Position
		}{"by", t.byAt})
	}
	var out []*binding
	for _, p := range places {
		if v.counts.paths[p.at].seeksInVain() {
			out = append(out, foundBy(rule+"."+p.key, p.at))
		}
	}
	return out
}

// foundNothing names what found nothing, each place of the rule files once.
func (v *Survey) foundNothing(missing []*binding) diag.List {
	const most = 12
	var names []string
	seen := map[diag.Position]bool{}
	for _, b := range missing {
		if at := b.values[0].place; !seen[at] {
			seen[at] = true
			names = append(names, fmt.Sprintf("%s (line %d)", strings.TrimPrefix(b.rule, "read."), at.Line))
		}
	}
	if len(names) == 0 {
		return nil
	}
	more := ""
	if len(names) > most {
		more = fmt.Sprintf(" and %d more", len(names)-most)
		names = names[:most]
	}
	return diag.List{diag.RuleReadsNothing.At(missing[0].values[0].place, "nothing was found in %s for %s%s", v.given(), strings.Join(names, ", "), more)}
}
