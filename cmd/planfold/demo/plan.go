package demo

import (
	"math"
	"strconv"
	"strings"

	"planfold/convert/mesh"
)

// planXML is a variant's plan in planfold's neutral dialect.
func (v variant) planXML() []byte {
	m := &markup{}
	m.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	m.begin("plan", "xmlns", "urn:planfold:plan:1", "id", v.id, "revision", v.revision, "status", "released",
		"approver", "manufacturing engineering", "product", v.id)
	m.both("title", v.title())
	m.begin("items")
	items := v.items()
	for _, i := range items {
		m.item(i)
	}
	m.end()
	structure := v.structure()
	m.begin("structures")
	for _, a := range structure {
		m.begin("structure", "of", a.of)
		for _, o := range a.occurrences {
			m.begin("occurrence", "id", o.id, "item", o.item)
			m.text("placement", rows(o.place))
			m.end()
		}
		m.end()
	}
	m.end()
	operations := v.operations()
	m.begin("views")
	for _, o := range operations {
		m.views(v.id, o, structure)
	}
	m.end()
	m.begin("operations")
	numbered := byID(items)
	for _, o := range operations {
		m.operation(o, numbered)
	}
	m.end()
	m.end()
	return m.Bytes()
}

func byID(items []item) map[string]item {
	out := map[string]item{}
	for _, i := range items {
		out[i.id] = i
	}
	return out
}

// number is x in mm to the nanometre, in its shortest form.
func number(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e6)/1e6+0, 'f', -1, 64)
}

// rows is a placement row by row.
func rows(p mesh.Mat) string {
	var b strings.Builder
	for r := range 4 {
		for c := range 4 {
			if c > 0 {
				b.WriteByte(' ')
			} else if r > 0 {
				b.WriteString("  ")
			}
			b.WriteString(number(p[4*c+r]))
		}
	}
	return b.String()
}

func triple(v mesh.Vec) string { return number(v[0]) + " " + number(v[1]) + " " + number(v[2]) }

func (m *markup) item(i item) {
	m.begin("item", "id", i.id, "revision", i.revision, "class", i.class, "unit", i.unit, "material", i.material)
	m.both("title", i.title)
	if i.geometry != "" {
		m.empty("geometry", "file", "geometry/"+i.geometry)
	}
	m.documents("document", i.documents)
	for _, n := range i.notes {
		m.both("note", n)
	}
	m.end()
}

func (m *markup) documents(name string, all []document) {
	for _, d := range all {
		m.begin(name, "file", d.file)
		m.both("title", d.title)
		m.end()
	}
}

func (m *markup) views(product string, o operation, structure []assembly) {
	builds := o.builds
	if builds == "" {
		builds = product
	}
	for _, s := range o.steps {
		if s.view != nil {
			m.view("V-"+s.id[2:], *s.view, placements(structure, builds))
		}
	}
	for _, n := range o.nested {
		m.views(product, n, structure)
	}
}

func placements(structure []assembly, of string) map[string]mesh.Mat {
	out := map[string]mesh.Mat{}
	for _, a := range structure {
		if a.of != of {
			continue
		}
		for _, o := range a.occurrences {
			out[o.id] = o.place
		}
	}
	return out
}

func (m *markup) view(id string, v view, at map[string]mesh.Mat) {
	m.begin("view", "id", id)
	m.empty("camera", "position", triple(v.position()), "target", triple(v.at), "up", "0 0 1", "fieldOfView", number(fieldOfView))
	for _, o := range v.show {
		m.empty("show", "occurrence", o)
	}
	for _, move := range v.moves {
		for _, o := range move.occurrences {
			home, ok := at[o]
			if !ok {
				panic("demo: internal error: view " + id + " moves " + o + ", which is not there")
			}
			m.begin("displace", "occurrence", o)
			m.text("placement", rows(mesh.Translation(move.by).Mul(home)))
			m.end()
		}
	}
	m.end()
}

func (m *markup) operation(o operation, items map[string]item) {
	m.begin("operation", "id", o.id, "number", o.number, "builds", o.builds, "quantity", o.quantity,
		"workCentre", o.workCentre, "qualification", o.qualification, "plannedDuration", o.duration)
	m.both("title", o.title)
	for _, p := range o.after {
		m.empty("predecessor", "ref", p)
	}
	for _, e := range o.equipment {
		m.text("equipment", e)
	}
	for _, n := range o.notes {
		m.both("note", n)
	}
	for _, s := range o.steps {
		m.step(s, items)
	}
	for _, n := range o.nested {
		m.operation(n, items)
	}
	m.end()
}

func (m *markup) step(s step, items map[string]item) {
	saved := ""
	if s.view != nil {
		saved = "V-" + s.id[2:]
	}
	m.begin("step", "id", s.id, "number", s.number, "view", saved)
	m.both("title", s.title)
	m.rich("text", s.text.en, "xml:lang", "en")
	m.rich("text", s.text.de, "xml:lang", "de")
	for _, p := range s.after {
		m.empty("predecessor", "ref", p)
	}
	for _, h := range s.hazards {
		m.hazard(h)
	}
	for _, p := range s.parts {
		m.part(p, items[p.item])
	}
	for _, t := range s.tools {
		m.begin("tool", "id", t.id)
		m.both("title", t.title)
		m.end()
	}
	for i, o := range s.tighten {
		m.empty("tighten", "order", strconv.Itoa(i+1), "occurrence", o)
	}
	for _, c := range s.characteristics {
		m.begin("characteristic", "id", c.id, "nominal", c.nominal, "lower", c.lower, "upper", c.upper, "unit", c.unit, "point", c.point)
		m.both("title", c.title)
		m.end()
	}
	for _, r := range s.signOffs {
		m.empty("signOff", "role", r)
	}
	for _, e := range s.evidence {
		m.begin("evidence", "kind", e.kind)
		m.both("title", e.title)
		m.end()
	}
	m.documents("attachment", s.attachments)
	m.end()
}

func (m *markup) hazard(h hazard) {
	m.begin("hazard", "id", h.id)
	m.both("signalWord", h.signal)
	m.both("description", h.hazard)
	m.both("consequence", h.consequence)
	m.both("avoidance", h.avoids)
	m.end()
}

func (m *markup) part(p part, i item) {
	if i.id == "" {
		panic("demo: internal error: no item " + p.item)
	}
	quantity, unit := p.quantity, p.unit
	if quantity == "" {
		quantity, unit = strconv.Itoa(len(p.occurrences)), i.unit
	}
	m.begin("part", "item", p.item, "quantity", quantity, "unit", unit, "find", i.find, "capture", p.capture, "shelfLife", p.shelfLife)
	m.both("purpose", p.purpose)
	for _, o := range p.occurrences {
		m.empty("occurrence", "ref", o)
	}
	for _, d := range p.designators {
		m.text("designator", d)
	}
	if p.substitute != "" {
		m.empty("substitute", "item", p.substitute)
	}
	m.end()
}
