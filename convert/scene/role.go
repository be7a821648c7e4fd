package scene

import (
	"fmt"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/step"
)

// composer carries one scene from roles to the document.
type composer struct {
	Input
	parts   []step.Part
	saved   *step.View // of the step, or nil
	roles   []string   // by occurrence; "" is hidden
	part    []int      // by occurrence: the line that consumes it, or -1
	kept    []bool     // by occurrence: never hidden for the budget
	later   []bool     // by occurrence: consumed by a step that does not lead to this one
	aligned int        // occurrence that the overlay is aligned by, or -1
	inPlace []bool     // by part: it has an occurrence with a placement

	shapes  map[string][]drawn // by item, as they are asked for
	pieces  []*piece
	choices []*choice
	own     []int
	moves   map[int]*move // by occurrence
	origin  mesh.Vec
	camera  camera
	out     *Scene
}

func newComposer(in Input) *composer {
	n := len(in.Structure.Occurrences)
	c := &composer{
		Input: in, roles: make([]string, n), part: make([]int, n), kept: make([]bool, n), later: make([]bool, n), aligned: -1,
		shapes: map[string][]drawn{},
		out:    &Scene{Layout: Placed},
	}
	for i := range c.part {
		c.part[i] = -1
	}
	return c
}

// What a rule alone says has no place in the plan, and is told of the step.
func (c *composer) tell(code *diag.Code, at step.Origin, format string, args ...any) {
	if at.Line == 0 && at.Rule != "" {
		if by := fmt.Sprintf("rule %q", at.Rule); !strings.HasPrefix(fmt.Sprintf(format, args...), by) {
			format, args = format+" (%s)", append(args, by)
		}
		at = c.stepOrigin()
	}
	d := code.At(at.At(c.Plan.Position.File), format, args...)
	d.Plan, d.Step = c.Plan.ID.Value, c.Step.ID.Value
	c.out.Diagnostics.Add(d)
}

// cast gives the roles. Each later source overrides the ones before: what is already
// there, the parts of the step, the saved view, the rules.
func (c *composer) cast() {
	for _, path := range c.Present {
		if i, ok := c.Structure.Find(path); ok {
			c.give(i, Context, -1)
		}
	}
	c.inPlace = make([]bool, len(c.parts))
	for i := range c.parts {
		c.castPart(i)
	}
	c.castToCome()
	c.register()
	c.castView()
	c.castRegistration()
	for _, r := range c.Step.Roles {
		c.castRule(r)
	}
	c.hide()
	c.judgeRegistration()
}

// hide takes out what a rule never lets be drawn, whatever else says that it is shown.
func (c *composer) hide() {
	for i, o := range c.Structure.Occurrences {
		if o.Hide {
			c.give(i, Hidden, -1)
		}
	}
}

func (c *composer) role(i int) string {
	if c.roles[i] == "" {
		return Hidden
	}
	return c.roles[i]
}

// give sets the role of an occurrence and of all that stands in it; part -1 leaves
// the line that consumes it as it was.
func (c *composer) give(i int, role string, part int) {
	for k := i; k < c.Structure.Occurrences[i].End; k++ {
		c.roles[k] = role
		if part >= 0 && c.part[k] < 0 {
			c.part[k] = part
		}
	}
}

func (c *composer) castPart(part int) {
	p := &c.parts[part]
	role := Focus
	if p.Role.Given() {
		role = p.Role.Value
	}
	var unplaced []step.Text
	for _, path := range p.Occurrences {
		i, ok := c.find(path, "part %q", partName(p))
		if !ok {
			continue
		}
		if c.Structure.Occurrences[i].Placed {
			c.inPlace[part] = true
		} else {
			unplaced = append(unplaced, path)
		}
		c.give(i, role, part)
	}
	if c.inPlace[part] {
		for _, path := range unplaced {
			c.tell(diag.SceneOccurrenceUnplaced, path.Origin, "part %q: occurrence %q has no placement", partName(p), path.Value)
		}
	}
}

// castToCome takes out of sub-assemblies, which arrive whole, what is put into them later.
func (c *composer) castToCome() {
	consumed := map[string]bool{}
	for _, path := range c.Present {
		consumed[path] = true
	}
	for i := range c.parts {
		for _, path := range c.parts[i].Occurrences {
			consumed[path.Value] = true
		}
	}
	for _, path := range c.ToCome {
		i, ok := c.Structure.Find(path)
		if !ok || consumed[path] {
			continue
		}
		for k := i; k < c.Structure.Occurrences[i].End; k++ {
			if o := &c.Structure.Occurrences[k]; consumed[o.Path] {
				k = o.End - 1
			} else {
				c.roles[k], c.later[k] = "", true
			}
		}
	}
}

// find looks a path up and reports one that is not there, by what names it.
func (c *composer) find(path step.Text, format string, args ...any) (int, bool) {
	i, ok := c.Structure.Find(path.Value)
	if !ok {
		c.tell(diag.SceneOccurrenceUnknown, path.Origin, format+" names occurrence %q, which the structure does not have", append(args, path.Value)...)
	}
	return i, ok
}

func partName(p *step.Part) string {
	for _, t := range []step.Text{p.Item, p.Operation, p.Find} {
		if t.Given() {
			return t.Value
		}
	}
	return ""
}

// castView lets the saved view limit the context. What it displaces and names as
// visible is shown too. What it displaces without naming it stays hidden: a view
// is often drawn once for all steps of an operation, and a part of a later step
// must not look as if it were there.
func (c *composer) castView() {
	if c.saved == nil || len(c.saved.Visible) == 0 {
		return
	}
	visible := make([]bool, len(c.roles))
	for _, path := range c.saved.Visible {
		if i, ok := c.find(path, "view %q", c.saved.ID.Value); ok {
			for k := i; k < c.Structure.Occurrences[i].End; k++ {
				visible[k] = true
			}
		}
	}
	for i, role := range c.roles {
		if role == Context && !visible[i] {
			c.roles[i] = ""
		}
	}
	for _, d := range c.saved.Displaced {
		i, ok := c.Structure.Find(d.Occurrence.Value)
		if !ok || !visible[i] {
			continue
		}
		for k := i; k < c.Structure.Occurrences[i].End; k++ {
			if c.roles[k] == "" && c.part[k] < 0 {
				c.roles[k] = Context
			}
		}
	}
}

func (c *composer) castRule(r step.RoleChange) {
	if r.Occurrence != "" {
		if i, ok := c.find(step.Text{Value: r.Occurrence, Origin: r.Role.Origin}, "rule %q", r.Role.Origin.Rule); ok {
			c.give(i, r.Role.Value, -1)
		}
	}
	if r.Item == "" {
		return
	}
	known := c.Plan.Items[r.Item] != nil || slices.ContainsFunc(c.parts, func(p step.Part) bool { return p.Item.Value == r.Item })
	for i, o := range c.Structure.Occurrences {
		if o.Item == r.Item {
			c.give(i, r.Role.Value, -1)
			known = true
		}
	}
	if !known {
		c.tell(diag.SceneItemUnknown, r.Role.Origin, "rule %q gives a role to item %q, which the plan does not have", r.Role.Origin.Rule, r.Item)
	}
}

// trayRole is the role of a part that lies on the tray.
func (c *composer) trayRole(p *step.Part) string {
	role := Focus
	if p.Role.Given() {
		role = p.Role.Value
	}
	for _, r := range c.Step.Roles {
		if r.Item != "" && r.Item == p.Item.Value {
			role = r.Role.Value
		}
	}
	if hides(c.Plan, p.Item.Value) {
		return Hidden
	}
	return role
}

// view finds the step's saved view.
func (c *composer) view() {
	if !c.Step.View.Given() {
		return
	}
	c.saved = c.Plan.Views[c.Step.View.Value]
	if c.saved == nil {
		c.tell(diag.SceneViewUnknown, c.Step.View.Origin, "step %q names view %q, which the plan does not have", c.Step.ID.Value, c.Step.View.Value)
	}
}
