package action

import (
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
		if m.err != nil {
			return Done{}, m.err
		}
		return add(o, a.File.Value, func(c *step.Content) *[]step.Attachment { return &c.Attachments }, a, func(x step.Attachment) bool {
			return len(x.Effectivity) == 0 && x.File.Value == a.File.Value
		})
	}}
}
