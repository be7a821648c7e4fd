package action

import (
	"planfold/convert/step"
	"planfold/rules/document"
)

var evidenceRow = &Row{
	Name: "evidence", For: []string{"operation", "step", "part"}, Takes: "{kind: photo or value, title?: texts}",
	Does:    "adds a photograph or value that must be recorded",
	adds:    true,
	compile: evidence,
}

func evidence(n *document.Node, c *Compiler) Action {
	if !c.Faults.Keys(n, "evidence", "kind", "title") {
		return Action{}
	}
	what := c.Faults.OneOf(c.Faults.Need(n, "kind", "evidence"), "evidence.kind", "photo", "value")
	title := c.texts(n.Get("title"), "evidence.title")
	if what == "" {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		m := made{o: o, by: by}
		e := step.Evidence{Kind: step.Text{Value: what, Origin: by}, Title: m.texts(title)}
		if m.err != nil {
			return Done{}, m.err
		}
		return add(o, what+" "+e.Title.First(), func(c *step.Content) *[]step.Evidence { return &c.Evidence }, e, func(x step.Evidence) bool {
			return len(x.Effectivity) == 0 && x.Kind.Value == what && x.Title.First() == e.Title.First()
		})
	}}
}
