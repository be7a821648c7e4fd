package main

import (
	"fmt"

	"planfold/convert/step"
)

// inferredMotion tells of motions that neither a rule nor a view gives, so that none is
// taken for no motion.
const inferredMotion = `convert takes the shortest straight way that is free of what is already there. step.json says so in
scene.motions: from "inferred", and along which axis; where no way is free, SCENE_MOTION_BLOCKED.`

// motionElsewhere is what is known without a step.
const motionElsewhere = `What the step's saved view displaces comes in from there, whatever rules say. Where it displaces
nothing, what no rule moves is inferred:
` + inferredMotion

// drawnMotion says how the step's saved view moves its parts. Overrules tells that it
// displaces something.
func drawnMotion(p *step.Plan, view step.Text, file string) (text string, overrules bool) {
	at := func(o step.Origin) string {
		if o.Line == 0 {
			return fmt.Sprintf(" (rule %q)", o.Rule)
		}
		return fmt.Sprintf(" (%s:%d:%d)", file, o.Line, o.Column)
	}
	v := p.Views[view.Value]
	switch {
	case !view.Given():
		return "The step has no saved view. What no rule moves is inferred:\n" + inferredMotion, false
	case v == nil:
		return fmt.Sprintf("The plan does not have the step's saved view, %q%s. What no rule moves is inferred:\n%s", view.Value, at(view.Origin), inferredMotion), false
	case len(v.Displaced) == 0:
		return fmt.Sprintf("The step's saved view, %q%s, displaces nothing. What no rule moves is inferred:\n%s", view.Value, at(v.ID.Origin), inferredMotion), false
	}
	var displaced []string
	for _, d := range v.Displaced {
		displaced = append(displaced, d.Occurrence.Value+at(d.Occurrence.Origin))
	}
	return fmt.Sprintf(`The step's saved view, %q%s, displaces %s
What it displaces comes in from there, whatever rules say. What neither it nor a rule moves
stands still; where the step shows nothing that the view displaces, it is inferred.`, view.Value, at(v.ID.Origin), some(displaced, "occurrence")), true
}
