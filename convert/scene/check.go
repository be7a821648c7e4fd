package scene

import "planfold/convert/diag"

// Check says what is wrong with what a step and its rules name, whatever the geometry
// is like. Build says the same, and more.
func Check(in Input) diag.List {
	parts := in.Step.AllParts(in.Operation)
	if len(parts)+len(in.Step.Roles) == 0 && !in.Step.Registration.By().Given() && !in.Step.View.Given() {
		return nil
	}
	c := newComposer(in)
	c.parts = parts
	c.view()
	c.cast()
	for i := range parts {
		p := &parts[i]
		// What an operation builds may be read later.
		if !p.Operation.Given() && !c.inPlace[i] && c.trayRole(p) != Hidden && c.trayItem(p) == "" {
			c.tellNameless(i)
		}
	}
	return c.out.Diagnostics
}

func (c *composer) tellNameless(part int) {
	c.tell(diag.ScenePartWithoutItem, c.parts[part].Origin, "part %d of step %q names neither an item nor an occurrence", part+1, c.Step.ID.Value)
}
