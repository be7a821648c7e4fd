package action

import (
	"slices"

	"planfold/convert/step"
	"planfold/rules/document"
)

var evidenceRow = &Row{
	Name: "evidence", For: []string{"operation", "step"}, Takes: "{kind: photo or value, title?: text}",
	Does:    "adds a photograph or value that must be recorded",
	adds:    true,
	compile: evidence,
}

func evidence(n *document.Node, kind string, _ float64, faults *document.Faults) Action {
	if !faults.Keys(n, "evidence", "kind", "title") {
		return Action{}
	}
	what := faults.OneOf(faults.Need(n, "kind", "evidence"), "evidence.kind", "photo", "value")
	title := faults.Text(n.Get("title"), "evidence.title")
	if what == "" {
		return Action{}
	}
	return Action{Says: what + " " + title, Apply: func(o Object, by step.Origin) (string, step.Origin) {
		e := step.Evidence{Kind: step.Text{Value: what, Origin: by}}
		if title != "" {
			e.Title = step.Texts{{Text: step.Text{Value: title, Origin: by}}}
		}
		c := contentOf(o, kind)
		if !slices.ContainsFunc(c.Evidence, func(x step.Evidence) bool { return x.Kind.Value == what && x.Title.First() == title }) {
			c.Evidence = append(c.Evidence, e)
		}
		return "", step.Origin{}
	}}
}
