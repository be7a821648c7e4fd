package rules

import (
	"net/url"
	"slices"
	"strings"
	"unicode"

	"planfold/convert/plan"
	"planfold/convert/step"
)

// A text may lead to a file of the plan, or show it as a picture. That is no address
// that a device could follow, so the file becomes an attachment of the step,
// operation or item that the text belongs to, and is found, measured and confined as
// any other is.

// addresses are the attributes of HTML by which an element leads to a file, or shows it.
var addresses = map[string]string{"a": "href", "img": "src", "video": "src", "audio": "src", "source": "src", "embed": "src"}

// link is a file that a text leads to.
type link struct {
	file step.Text
	text string // its words, or empty
	lang string
}

// linksOf lists the files that a text leads to.
func linksOf(e *plan.Element, lang string) []link {
	var out []link
	for _, n := range e.Content {
		if n.Element == nil || n.Element.Cut || slices.Contains(silent, local(n.Element)) {
			continue
		}
		for _, a := range n.Element.Attributes {
			if file, ok := fileLed(n.Element, a); ok {
				out = append(out, link{step.Text{Value: file, Origin: step.Origin{Line: a.Line, Column: a.Column}}, oneLine(plainText(n.Element)), lang})
			}
		}
		out = append(out, linksOf(n.Element, lang)...)
	}
	return out
}

// fileLed is the file of the plan that an attribute leads to: by a relative address
// or a file's. What runs, loads from elsewhere or stays in the text is none.
func fileLed(e *plan.Element, a plan.Attribute) (string, bool) {
	if a.Name.Space != "" || addresses[local(e)] != strings.ToLower(a.Name.Local) {
		return "", false
	}
	address := strings.TrimSpace(a.Value)
	if strings.ContainsFunc(address, unicode.IsControl) {
		return "", false
	}
	// A single letter is no scheme but a drive.
	if len(address) > 2 && address[1] == ':' && unicode.IsLetter(rune(address[0])) {
		return address, true
	}
	u, err := url.Parse(strings.ReplaceAll(address, `\`, "/"))
	switch {
	case err != nil || u.Scheme != "" && u.Scheme != "file" || u.Scheme == "" && u.Host != "":
		return "", false
	case u.Opaque != "":
		path, err := url.PathUnescape(u.Opaque)
		return path, err == nil
	case u.Host != "":
		return "//" + u.Host + u.Path, true
	}
	return u.Path, u.Path != ""
}

// attachLinks makes attachments of the links that were found since an index, unless
// the record has those files already. A record that can have none leaves them to the
// one around it.
func (m *mapping) attachLinks(k *kind, rec any, e *plan.Element, from int) {
	f := k.field("attachments")
	if f == nil || len(m.links) == from {
		return
	}
	for _, l := range m.links[from:] {
		has := slices.ContainsFunc(f.entries(rec), func(e any) bool { return e.(*step.Attachment).File.Value == l.file.Value })
		if has {
			continue
		}
		a := &step.Attachment{File: l.file}
		if l.text != "" {
			a.Title = localized([]found{{text: l.text, lang: l.lang, origin: l.file.Origin}})
		}
		f.extend(rec, a, 1)
		m.told.add(attachmentKind, a, e)
	}
	m.links = m.links[:from]
}
