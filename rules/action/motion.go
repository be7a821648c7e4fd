package action

import (
	"fmt"

	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/step"
	"planfold/rules/document"
)

var motionRow = &Row{
	Name: "motion", For: []string{"part", "step"}, Takes: "{direction: [number, number, number], distance: number above 0, turns?: number}; for a step also {occurrence: occurrence path}",
	Does:    "how the part's occurrences, or one occurrence, travel home: direction of travel, distance in the frame's unit, turns about the direction",
	compile: motion,
}

func motion(n *document.Node, c *Compiler) Action {
	faults, kind := c.Faults, c.Kind
	keys := []string{"direction", "distance", "turns"}
	if kind == "step" {
		keys = append(keys, "occurrence")
	}
	if !faults.Keys(n, "motion", keys...) {
		return Action{}
	}
	turns, right := faults.Number(n.Get("turns"), "motion.turns")
	direction, straight := vector(faults.Need(n, "direction", "motion"), faults)
	at := faults.Need(n, "distance", "motion")
	distance, known := faults.Number(at, "motion.distance")
	if known && at != nil && distance <= 0 {
		faults.Add(diag.RuleValueInvalid, at, "motion.distance is more than 0, in the frame's unit, not %s; turn the direction round to move the other way", at.Text)
	}
	m := step.Motion{Direction: direction.Unit(), Distance: distance * c.Metres, Turns: turns}
	var occurrence *Text
	if kind == "step" {
		occurrence = c.needed(n, "occurrence", "motion")
	}
	if !right || !straight || m.Distance <= 0 || kind == "step" && occurrence == nil {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		m := m
		m.Origin = by
		var was step.Motion
		var err error
		if m.Occurrence, err = occurrence.of(o); err != nil {
			return Done{}, err
		}
		if kind == "step" {
			o.Step.Motions, was = without(o.Step.Motions, func(e step.Motion) bool { return e.Occurrence == m.Occurrence })
			o.Step.Motions = append(o.Step.Motions, m)
			return Done{says(m), says(was), was.Origin}, nil
		}
		if o.Part.Motion != nil {
			was = *o.Part.Motion
		}
		o.Part.Motion = &m
		return Done{says(m), says(was), was.Origin}, nil
	}}
}

func says(m step.Motion) string {
	if m.Distance == 0 {
		return ""
	}
	s := fmt.Sprintf("%g m along %g %g %g", m.Distance, m.Direction[0], m.Direction[1], m.Direction[2])
	if m.Turns != 0 {
		s += fmt.Sprintf(", %g turns", m.Turns)
	}
	if m.Occurrence != "" {
		s = m.Occurrence + ": " + s
	}
	return s
}

// vector reads three numbers that have a length.
func vector(n *document.Node, faults *document.Faults) (mesh.Vec, bool) {
	if n == nil {
		return mesh.Vec{}, false
	}
	if n.Kind != document.List || len(n.Values) != 3 {
		faults.Add(diag.RuleValueInvalid, n, "motion.direction is a list of three numbers, the way that the part travels home, such as [0, 0, -1]")
		return mesh.Vec{}, false
	}
	var v mesh.Vec
	for i, x := range n.Values {
		var ok bool
		if v[i], ok = faults.Number(x, fmt.Sprintf("motion.direction[%d]", i)); !ok {
			return mesh.Vec{}, false
		}
	}
	if v.Unit().Length() == 0 {
		faults.Add(diag.RuleValueInvalid, n, "motion.direction is three zeros, and leads nowhere; write the way that the part travels home, such as [0, 0, -1]")
		return mesh.Vec{}, false
	}
	return v, true
}
