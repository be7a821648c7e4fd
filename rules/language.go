package rules

import (
	"cmp"
	"encoding/xml"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/plan"
	"planfold/convert/step"
	"planfold/rules/document"
	"planfold/rules/selector"
)

// Languages of texts. What says the language is, in this order: the key of
// "languages", the path "lang", xml:lang, the rule file's "language". Texts of
// unlike languages are never made one.
//
// Rests on: BCP 47 (RFC 5646, 2.1).

// spoken is where a text stands in one language.
type spoken struct {
	tag  string
	path *selector.Path
	at   diag.Position
}

// reads are the paths that a value follows to its text.
func (v *value) reads() []*selector.Path {
	if v.spoken == nil {
		return []*selector.Path{v.path}
	}
	var out []*selector.Path
	for _, s := range v.spoken {
		out = append(out, s.path)
	}
	return out
}

// languages compiles the keys of a value that say of which language its texts are.
func (c *compiler) languages(v *value, n *document.Node, f *field, rule string) {
	for _, key := range []string{"lang", "languages"} {
		if k := n.Get(key); k != nil && f.typ != texts && f.typ != notes {
			c.faults.Add(diag.RuleValueInvalid, k, "%s cannot have %q: it is a %s, which has no language", rule, key, f.typ)
		}
	}
	if l := n.Get("lang"); l != nil {
		v.lang, v.langAt = c.path(l, rule+".lang"), l.Position(-1)
	}
	l := n.Get("languages")
	if l == nil || !c.faults.Is(document.Mapping, l, rule+".languages") {
		return
	}
	for i, k := range l.Keys {
		v.spoken = append(v.spoken, spoken{c.tag(k, k.Text), c.path(l.Values[i], rule+".languages."+k.Text), l.Values[i].Position(-1)})
	}
}

// tag checks a language tag of the rule file.
func (c *compiler) tag(n *document.Node, text string) string {
	tag := language(text)
	if tag == "" && text != "" {
		c.faults.Add(diag.RuleValueInvalid, n, "%q is no language tag (BCP 47); write en, de, pt-BR", text)
	}
	return tag
}

// reached appends what the paths of a value find, in the document's order.
func (m *mapping) reached(out []found, v *value, e *plan.Element) []found {
	if v.spoken == nil {
		var few [4]selector.Found
		all, before := v.path.AppendTo(few[:0], e), len(out)
		for _, f := range all {
			out = m.inLanguages(out, f, v, e)
		}
		if v.single && oneLanguage(out[before:]) {
			m.remarkGlued(all)
		}
		return out
	}
	for _, s := range v.spoken {
		all := s.path.Select(e)
		m.followed(s.at, len(all) > 0)
		for _, f := range all {
			g := m.read(f, v)
			g.lang = s.tag
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b found) int {
		return cmp.Or(cmp.Compare(a.origin.Line, b.origin.Line), cmp.Compare(a.origin.Column, b.origin.Column))
	})
	return out
}

// inLanguages appends what a path found: as one text, or, where the element does nothing but
// hold the same in several languages, as one a language.
func (m *mapping) inLanguages(out []found, f selector.Found, v *value, e *plan.Element) []found {
	if v.markup && v.lang == nil && f.Element != nil && holdsLanguages(f.Element) {
		for _, n := range f.Element.Content {
			if n.Element != nil {
				out = m.inLanguages(out, selector.Of(n.Element), v, e)
			}
		}
		return out
	}
	g := m.read(f, v)
	if v.lang != nil {
		tag := strings.TrimSpace(v.lang.TextAt(f, e))
		if m.followed(v.langAt, tag != ""); tag != "" {
			g.lang = tag
		}
	}
	if v.markup && g.lang != "" && g.text != "" && language(g.lang) == "" {
		m.fault(diag.MapLanguageUnknown, g.origin, "%q is no language tag, such as en, de or pt-BR", g.lang)
	}
	return append(out, g)
}

// holdsLanguages tells an element with a child for each language from a text with a
// foreign word in it.
func holdsLanguages(e *plan.Element) bool {
	children := 0
	for _, n := range e.Content {
		switch {
		case n.Element == nil && strings.TrimSpace(n.Text) == "":
		case n.Element == nil || n.Element.Cut || !slices.ContainsFunc(n.Element.Attributes, saysLanguage):
			return false
		default:
			children++
		}
	}
	return children > 0
}

func oneLanguage(fs []found) bool {
	return len(fs) > 0 && !slices.ContainsFunc(fs, func(f found) bool { return !sameLanguage(f.lang, fs[0].lang) })
}

// remarkGlued reports texts of one language, or of none, that become one, where an
// attribute of their elements seems to say that they are in several.
func (m *mapping) remarkGlued(all []selector.Found) {
	var elements []*plan.Element
	for _, f := range all {
		if f.Element != nil {
			elements = append(elements, f.Element)
		}
	}
	if len(elements) == 1 {
		elements = holding(elements[0])
	}
	if len(elements) < 2 {
		return
	}
	for _, a := range elements[0].Attributes {
		if tags := differing(elements, a.Name); tags != nil && (isNamedLanguage(a.Name.Local) || !slices.ContainsFunc(tags, notShortTag)) {
			m.fault(diag.MapLanguageUnread, at(elements[1]), "this text and the one at %d:%d become one; their attribute %q seems to say that they are in several languages: %s", elements[0].Line, elements[0].Column, a.Name.Local, strings.Join(tags, ", "))
			return
		}
	}
}

// holding are the children of an element that has no text beside them.
func holding(e *plan.Element) []*plan.Element {
	var out []*plan.Element
	for _, n := range e.Content {
		switch {
		case n.Element != nil && !n.Element.Cut:
			out = append(out, n.Element)
		case strings.TrimSpace(n.Text) != "":
			return nil
		}
	}
	return out
}

// differing are the values of an attribute that each of the elements has, unless they are
// all the same.
func differing(elements []*plan.Element, name xml.Name) []string {
	var out []string
	for _, e := range elements {
		i := slices.IndexFunc(e.Attributes, func(a plan.Attribute) bool { return a.Name == name })
		if i < 0 {
			return nil
		}
		v := e.Attributes[i].Value
		if !slices.ContainsFunc(out, func(o string) bool { return sameLanguage(o, v) }) {
			out = append(out, v)
		}
	}
	if len(out) < 2 {
		return nil
	}
	return out
}

func isNamedLanguage(name string) bool {
	name = strings.ToLower(name)
	return name == "lang" || name == "language"
}

// notShortTag tells what is no tag as most exports write it (en, de-DE) from what may be one.
func notShortTag(s string) bool {
	tag := language(s)
	return len(tag) != 2 && (len(tag) != 5 || tag[2] != '-')
}

func saysLanguage(a plan.Attribute) bool {
	return a.Name.Local == "lang" && a.Name.Space == "http://www.w3.org/XML/1998/namespace"
}

// language is a BCP 47 tag, or empty where the plan's is none. Some exports write
// its parts with an underscore between.
func language(tag string) string {
	if len(tag) == 2 && isLetter(tag[0]) && isLetter(tag[1]) {
		return tag // most are such
	}
	tag = strings.ReplaceAll(tag, "_", "-")
	for i, part := range strings.Split(tag, "-") {
		letters := strings.Trim(strings.ToLower(part), "abcdefghijklmnopqrstuvwxyz") == ""
		alphanumeric := strings.Trim(strings.ToLower(part), "abcdefghijklmnopqrstuvwxyz0123456789") == ""
		if part == "" || len(part) > 8 || !alphanumeric || i == 0 && (!letters || len(part) < 2) {
			return ""
		}
	}
	return tag
}

func isLetter(b byte) bool { return 'a' <= b|0x20 && b|0x20 <= 'z' }

// sameLanguage compares tags, or what stands in their place: BCP 47 knows no case.
func sameLanguage(a, b string) bool {
	return a == b || strings.EqualFold(strings.ReplaceAll(a, "_", "-"), strings.ReplaceAll(b, "_", "-"))
}

// localized is one text a language. Several in one language follow each other.
func localized(fs []found) step.Texts {
	out := make(step.Texts, 0, len(fs))
	var langs []string
	for _, f := range fs {
		i := slices.IndexFunc(langs, func(l string) bool { return sameLanguage(l, f.lang) })
		if i < 0 {
			out, langs = append(out, one(f)), append(langs, f.lang)
			continue
		}
		l := &out[i]
		if l.Rich != "" || f.rich != "" {
			l.Rich = richOr(l.Rich, l.Text.Value) + "<br/>" + richOr(f.rich, f.text)
		}
		l.Text.Value += "\n" + f.text
	}
	return out
}

// grouped is a run of texts as one a group: a language that comes again begins the
// next.
func grouped(fs []found) []step.Texts {
	var out []step.Texts
	var langs []string // of the last
	for _, f := range fs {
		if len(out) == 0 || f.lang == "" || slices.ContainsFunc(langs, func(l string) bool { return l == "" || sameLanguage(l, f.lang) }) {
			out, langs = append(out, nil), nil
		}
		last := len(out) - 1
		out[last], langs = append(out[last], one(f)), append(langs, f.lang)
	}
	return out
}

func one(f found) step.Localized {
	return step.Localized{Lang: language(f.lang), Text: step.Text{Value: f.text, Origin: f.origin}, Rich: f.rich}
}
