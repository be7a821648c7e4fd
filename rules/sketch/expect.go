package sketch

// expectations are what nearly every plan brings: where the sketch does not find it,
// check says so, and does not look fine.
func (w *writer) expectations() {
	w.line(0, "")
	w.line(0, "# What nearly every plan brings. Delete what yours does not.")
	w.line(0, "expectations:")
	expect := func(name, says string) { w.line(1, "- {name: %s, expect: '%s'}", name, says) }
	each := func(name, kind, says string) { w.line(1, "- {name: %s, for: %s, expect: '%s'}", name, kind, says) }
	each("each step has a text", "step", `step.text != ""`)
	expect("something is consumed", anywhere("parts"))
	each("each part has a quantity", "part", `part.quantity != ""`)
	expect("an item has geometry", "items.exists(i, i.geometry.size() > 0)")
	for _, k := range unguessed {
		if k.list != "" && w.proposed[k.list] {
			expect("what looks like "+k.list+" is read", anywhere(k.list))
		}
	}
}

// anywhere is a condition that some operation or step has something.
func anywhere(list string) string {
	return "steps.exists(s, s." + list + ".size() > 0) || operations.exists(o, o." + list + ".size() > 0)"
}
