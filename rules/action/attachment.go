package action

import (
	"slices"

	"planfold/convert/step"
	"planfold/rules/document"
)

var attachmentRow = &Row{
	Name: "attachment", For: []string{"operation", "step", "part"}, Takes: "{file: text, title?: texts}",
	Does:    "adds a document, unless it is there; the file lies where those of the plan lie",
	adds:    true,
	compile: attachment,
}

func attachment(n *document.Node, c *Compiler) Action {
	if !c.Faults.Keys(n, "attachment", "file", "title") {
		return Action{}
	}
	file, title := c.needed(n, "file", "attachment"), c.texts(n.Get("title"), "attachment.title")
	if file == nil {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		m := made{o: o, by: by}
		a := step.Attachment{File: m.text(file), Title: m.texts(title)}
		content := contentOf(o)
		if m.err != nil || slices.ContainsFunc(content.Attachments, func(x step.Attachment) bool { return x.File.Value == a.File.Value }) {
			return Done{}, m.err
		}
		content.Attachments = append(content.Attachments, a)
		return Done{Says: a.File.Value}, nil
	}}
}
