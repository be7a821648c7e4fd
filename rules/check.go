package rules

import (
	"path"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// Checks of a record when its fields are set. They use nothing but the record.

func hazardSaid(m *mapping, rec any, at step.Origin) bool {
	h := rec.(*step.Hazard)
	h.Origin = at
	said := len(h.SignalWord)+len(h.Hazard)+len(h.Consequence)+len(h.Avoidance) > 0
	if !said {
		m.fault(diag.MapHazardEmpty, at, "the hazard statement %q has no text", h.ID.Value)
	}
	return said
}

func tighteningOrdered(m *mapping, rec any, at step.Origin) bool {
	t := rec.(*step.Tightening)
	ordered := allDigits(t.Order.Value)
	if !ordered {
		m.fault(diag.MapOrderInvalid, at, "the tightening of %q has the order %q, which is not a whole number", t.Occurrence.Value, t.Order.Value)
	}
	return ordered
}

func partFrom(m *mapping, rec any, at step.Origin) bool {
	p := rec.(*step.Part)
	p.Origin = at
	p.UnitSymbol = m.coded(&p.Unit)
	return true
}

func characteristicUnit(m *mapping, rec any, _ step.Origin) bool {
	c := rec.(*step.Characteristic)
	c.UnitSymbol = m.coded(&c.Unit)
	return true
}

func displacedWhole(_ *mapping, rec any, _ step.Origin) bool {
	d := rec.(*displaced)
	d.Placement = *d.placement
	return true
}

// cameraWhole makes the camera of a view that has one.
func cameraWhole(m *mapping, rec any, at step.Origin) bool {
	v := rec.(*view)
	for _, d := range v.displaced {
		v.Displaced = append(v.Displaced, d.Displaced)
	}
	switch {
	case v.position == nil && v.target == nil:
		return true
	case v.position == nil || v.target == nil || *v.position == *v.target:
		m.fault(diag.MapViewInvalid, at, "the camera of view %q does not say where it stands and what it looks at", v.ID.Value)
		return true
	}
	c := &step.Camera{Position: *v.position, Target: *v.target, FieldOfView: v.fieldOfView, Origin: at}
	c.Up[m.frame.up-'X'] = 1
	if v.up != nil {
		c.Up = *v.up
	}
	if finite(c.Position) && finite(c.Target) && finite(c.Up) && c.FieldOfView == c.FieldOfView {
		v.Camera = c
	}
	return true
}

func finite(v [3]float64) bool { return v[0]-v[0]+v[1]-v[1]+v[2]-v[2] == 0 }

// remarkRepeated remarks on a file that a step names twice: it is shown once.
func (m *mapping) remarkRepeated(s *step.Step) {
	first := map[string]step.Origin{}
	for _, a := range s.Attachments {
		name := path.Clean(strings.ReplaceAll(a.File.Value, `\`, "/"))
		if at, twice := first[name]; twice {
			m.fault(diag.MapFileRepeated, a.File.Origin, "%q stands in line %d already", a.File.Value, at.Line)
		} else {
			first[name] = a.File.Origin
		}
	}
}
