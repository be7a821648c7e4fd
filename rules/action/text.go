package action

import (
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/document"
)

// Text is a text of an action: fixed, or made for each object by a template.
type Text struct {
	Fixed string
	Make  func(variables map[string]any) (string, error) // nil: fixed
}

// of is the text for an object. Without a Text it is empty.
func (t *Text) of(o Object) (string, error) {
	switch {
	case t == nil:
		return "", nil
	case t.Make == nil:
		return t.Fixed, nil
	}
	return t.Make(o.Variables)
}

// needed is the text of a key that must be there.
func (c *Compiler) needed(n *document.Node, key, where string) *Text {
	return c.Text(c.Faults.Need(n, key, where), where+"."+key)
}

// localized is a text in some languages.
type localized []inLanguage

type inLanguage struct {
	lang string
	text *Text
}

// texts takes one text, in the language of the rule file, or a mapping of languages
// to texts. A nil node has none.
func (c *Compiler) texts(n *document.Node, where string) localized {
	if n == nil {
		return nil
	}
	var out localized
	add := func(lang string, n *document.Node, where string) {
		if t := c.Text(n, where); t != nil {
			out = append(out, inLanguage{lang, t})
		}
	}
	if n.Kind != document.Mapping {
		add(c.Language, n, where)
		return out
	}
	for i, k := range n.Keys {
		if tag := c.Tag(k, k.Text); tag != "" {
			add(tag, n.Values[i], where+"."+k.Text)
		}
	}
	if len(n.Keys) == 0 {
		c.Faults.Add(diag.RuleValueInvalid, n, "%s is a text, or one for each language, not nothing", where)
	}
	return out
}

// of is the texts for an object.
func (l localized) of(o Object, by step.Origin) (step.Texts, error) {
	var out step.Texts
	for _, e := range l {
		v, err := e.text.of(o)
		if err != nil {
			return nil, err
		}
		out = append(out, step.Localized{Lang: e.lang, Text: step.Text{Value: v, Origin: by}})
	}
	return out, nil
}

// made makes several texts, until one fails.
type made struct {
	o   Object
	by  step.Origin
	err error
}

func (m *made) text(t *Text) step.Text {
	if m.err != nil || t == nil {
		return step.Text{}
	}
	v, err := t.of(m.o)
	m.err = err
	return step.Text{Value: v, Origin: m.by}
}

func (m *made) texts(l localized) step.Texts {
	if m.err != nil {
		return nil
	}
	out, err := l.of(m.o, m.by)
	m.err = err
	return out
}
