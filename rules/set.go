package rules

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/plan"
	"planfold/convert/step"
)

// set gives a field its value, and reports whether the plan has one that is good
// enough.
func (m *mapping) set(rec any, k *kind, b *binding, e *plan.Element) bool {
	fs, v := m.take(b, e)
	if len(fs) == 0 {
		m.missed(k, b, e)
		return false
	}
	m.told.take(b, v, fs)
	m.noteRead(k, b.field, v, fs)
	f, good := b.field, true
	switch to := f.at(rec).(type) {
	case *step.Text:
		if good = m.setText(to, k, b, v, fs); !good {
			m.forgetNumbers(len(fs))
			fs = nil
		}
	case *step.Texts:
		*to = localized(fs)
	case *[]step.Text:
		for _, g := range fs {
			*to = append(*to, step.Text{Value: oneLine(g.text), Origin: g.origin})
		}
	case *[]step.Texts:
		*to = append(*to, grouped(fs)...)
	case **step.Placement:
		*to = m.placement(fs[0])
		good = *to != nil
	case **[3]float64:
		*to = m.vector(f, fs[0])
	case *float64:
		*to = m.number(fs[0])
	default:
		panic("rules: internal error: field " + f.name + " goes nowhere")
	}
	m.keepRest(rec, v, fs)
	for _, g := range fs {
		for _, l := range g.links {
			l.file.Origin.Rule, l.lang = b.rule, g.lang
			m.links = append(m.links, l)
		}
	}
	return good
}

// missed reports a number that stands there and that no pattern takes, and a
// reference that no join can follow: else they would go in silence.
func (m *mapping) missed(k *kind, b *binding, e *plan.Element) {
	f := b.field
	for _, v := range b.values {
		from := m.begins(v, e)
		if from == nil || v.where != nil && !v.where.Bool(from) {
			continue
		}
		var there *found
		if v.pattern != nil && f.typ == decimal && !f.aside {
			there = m.untaken(v, from)
		}
		switch {
		case there != nil:
			there.origin.Rule = b.rule
			hint := ""
			if commaInNumber.MatchString(there.text) && !m.decimalComma {
				hint = "; its numbers have a comma: set decimalComma, and let the patterns take it"
			}
			m.fault(f.invalid, there.origin, "the %s's %s stands in %q, of which no pattern of the rules takes it%s", k.said(), f.name, oneLine(there.text), hint)
			return
		// Where joins follow each other to a number, what each finds is a reference.
		case v.join != nil && (f.refers || v.through != nil && f.typ == decimal):
			if key, j := m.dangling(v, from); j != nil {
				key.origin.Rule = b.rule
				code := diag.MapRefMissing
				if f.typ == decimal {
					code = f.invalid
				}
				m.fault(code, key.origin, "the %s's %s is %q by the join %q, which finds no such record", k.said(), f.name, key.text, j.name)
				return
			}
		}
	}
}

// keepRest keeps what a pattern left of a text as a note.
func (m *mapping) keepRest(rec any, v *value, fs []found) {
	if v.rest == nil {
		return
	}
	to := v.rest.at(rec).(*[]step.Texts)
	for _, g := range fs {
		if rest := g.rest(); rest != "" {
			*to = append(*to, step.Texts{one(found{text: rest, lang: g.lang, origin: g.origin})})
		}
	}
}

// setText reports whether the value was good enough to set.
func (m *mapping) setText(to *step.Text, k *kind, b *binding, v *value, fs []found) bool {
	f := b.field
	if v.join == nil && f.typ == decimal && differ(fs) {
		m.fault(f.invalid, fs[1].origin, "the %s's %s is %q here and %q in line %d", k.name, f.name, fs[1].text, fs[0].text, fs[0].origin.Line)
		return false
	}
	// Two equal quantities may be one said twice, or twice as much.
	if v.join != nil && (differ(fs) || f.typ == decimal && len(fs) > 1) {
		m.fault(diag.MapJoinAmbiguous, fs[1].origin, "the %s's %s is %q here and %q in line %d, by the join %q",
			k.name, f.name, fs[1].text, fs[0].text, fs[0].origin.Line, v.join.name)
		return false
	}
	t := step.Text{Value: oneLine(fs[0].text), Origin: fs[0].origin}
	if f.typ == decimal {
		d, ok := m.decimal(fs[0])
		if fs[0].lacking {
			return false
		}
		if !ok {
			m.fault(f.invalid, t.Origin, "the %s's %s is %q, which is not a decimal number (%s, line %d%s)", k.name, f.name, t.Value, b.rule, v.place.Line, m.otherMark(fs[0]))
			return false
		}
		t.Value = d
	}
	if f.allowed != nil && !slices.Contains(f.allowed, t.Value) {
		m.fault(f.invalid, t.Origin, "the %s's %s is %q, which is not %s", k.name, f.name, t.Value, strings.Join(f.allowed, " or "))
		return false
	}
	if f.lasting && step.Duration(t.Value) == nil {
		m.fault(diag.MapDurationInvalid, t.Origin, "the %s's %s is %q, which is not a duration such as PT20M or P24M (%s, line %d)", k.said(), f.name, t.Value, b.rule, v.place.Line)
	}
	*to = t
	return true
}

// commaInNumber is a number that is most likely written with a comma.
var commaInNumber = regexp.MustCompile(`[0-9],[0-9]`)

// otherMark hints at decimalComma where that is all that is wrong with a number.
func (m *mapping) otherMark(f found) string {
	if _, other := decimalText(f.text, !m.decimalComma); !other {
		return ""
	}
	if m.decimalComma {
		return "; the rules have decimalComma: true"
	}
	return "; with decimalComma: true it is one"
}

func differ(fs []found) bool {
	return len(fs) > 1 && slices.ContainsFunc(fs[1:], func(f found) bool { return f.text != fs[0].text })
}

// numbers are the finite numbers of a text.
func numbers(f found) ([]float64, bool) {
	var out []float64
	for _, s := range strings.Fields(f.text) {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil || v-v != 0 {
			return nil, false
		}
		out = append(out, v)
	}
	return out, true
}

// placement reads a matrix in the dialect's order and turns it to metres.
func (m *mapping) placement(f found) *step.Placement {
	n, ok := numbers(f)
	switch {
	case !ok:
		m.fault(diag.MapPlacementInvalid, f.origin, "the placement has something that is no finite number")
		return nil
	case len(n) != 12 && len(n) != 16:
		m.fault(diag.MapPlacementInvalid, f.origin, "the placement has %d numbers, not 12 or 16", len(n))
		return nil
	}
	mat, affine := m.matrix(n)
	if !affine || mat.Determinant() == 0 {
		m.fault(diag.MapPlacementInvalid, f.origin, "the placement does more than move, turn and scale, or flattens what it places")
		return nil
	}
	return &step.Placement{Matrix: mat, Origin: f.origin}
}

// matrix brings 12 or 16 numbers into glTF's order. Row order is the usual way to
// write a matrix down: the translation stands last in each of three or four rows.
func (m *mapping) matrix(n []float64) (mesh.Mat, bool) {
	out := mesh.Identity()
	rows := len(n) / 4
	affine := true
	for i, v := range n {
		r, c := i/4, i%4
		if m.frame.columnMajor {
			r, c = i%rows, i/rows
		}
		switch {
		case r == 3:
			affine = affine && v == out[4*c+3]
		case c == 3:
			out[12+r] = v * m.frame.metres
		default:
			out[4*c+r] = v
		}
	}
	return out, affine
}

// vector marks what it cannot read, so that the camera is not reported again.
func (m *mapping) vector(f *field, g found) *[3]float64 {
	n, ok := numbers(g)
	if !ok || len(n) != 3 {
		m.fault(diag.MapViewInvalid, g.origin, "the view's %s is %q, which is not three finite numbers", f.name, g.text)
		return &[3]float64{math.NaN()}
	}
	v := [3]float64{n[0], n[1], n[2]}
	if f.typ == position {
		for i := range v {
			v[i] *= m.frame.metres
		}
	}
	return &v
}

func (m *mapping) number(g found) float64 {
	n, ok := numbers(g)
	if !ok || len(n) != 1 || n[0] <= 0 || n[0] >= 180 {
		m.fault(diag.MapViewInvalid, g.origin, "the field of view is %q, which is not an angle between 0 and 180 degrees", g.text)
		return math.NaN()
	}
	return n[0] * (math.Pi / 180)
}
