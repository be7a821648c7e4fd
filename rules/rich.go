package rules

import (
	"bytes"
	"slices"
	"strings"
	"sync"

	"github.com/microcosm-cc/bluemonday"
	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"planfold/convert/plan"
)

// Markup in a plan's texts is taken as HTML by the names of its elements, whatever
// their namespace. Texts that the plan has without markup stay plain.

// blocks begin and end a line of plain text.
var blocks = []string{"p", "div", "br", "hr", "ul", "ol", "li", "dl", "dt", "dd", "table", "thead", "tbody", "tr", "h1", "h2", "h3", "h4", "h5", "h6", "pre", "blockquote", "para"}

// silent elements hold no words for people.
var silent = []string{"script", "style", "head", "template", "noscript", "iframe", "object"}

func hasMarkup(e *plan.Element) bool {
	return slices.ContainsFunc(e.Content, func(n plan.Node) bool { return n.Element != nil && !n.Element.Cut })
}

// paragraphs trims a text and each of its lines: indentation of the export goes,
// breaks between lines stay, and never more than one empty line between two.
func paragraphs(s string) string {
	if !strings.ContainsAny(s, "\r\n\t") {
		return strings.TrimSpace(s)
	}
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\t", " ").Replace(s)
	var lines []string
	for _, l := range strings.Split(s, "\n") {
		l = strings.TrimSpace(l)
		if l == "" && (len(lines) == 0 || lines[len(lines)-1] == "") {
			continue
		}
		lines = append(lines, l)
	}
	return strings.TrimSpace(strings.Join(lines, "\n"))
}

// oneLine is a text with every run of white space as one space.
func oneLine(s string) string {
	if isOneLine(s) {
		return s
	}
	return strings.Join(strings.Fields(s), " ")
}

// isOneLine knows most texts that need no change; the others may or may not.
func isOneLine(s string) bool {
	before := byte(' ')
	for i := range len(s) {
		if b := s[i]; b < ' ' || b >= 0x80 || b == ' ' && before == ' ' {
			return false
		}
		before = s[i]
	}
	return before != ' '
}

// plainText is the words of an element with markup; blocks stand on their own lines, and
// between cells of a row a bar: their words must not run together.
func plainText(e *plan.Element) string {
	hasBlocks := containsBlock(e)
	var b strings.Builder
	var walk func(*plan.Element)
	walk = func(e *plan.Element) {
		cells := 0
		for _, n := range e.Content {
			switch {
			case n.Element == nil && hasBlocks:
				b.WriteString(flowing(n.Text))
			case n.Element == nil:
				b.WriteString(n.Text)
			case slices.Contains(silent, local(n.Element)):
			case slices.Contains(blocks, local(n.Element)):
				b.WriteString("\n")
				walk(n.Element)
				b.WriteString("\n")
			case slices.Contains([]string{"td", "th"}, local(n.Element)):
				if cells++; cells > 1 {
					b.WriteString(" | ")
				}
				walk(n.Element)
			default:
				walk(n.Element)
			}
		}
	}
	walk(e)
	if hasBlocks {
		return strings.Join(slices.DeleteFunc(strings.Split(paragraphs(b.String()), "\n"), func(l string) bool { return l == "" }), "\n")
	}
	return paragraphs(b.String())
}

// flowing is text as HTML shows it: line ends are spaces.
func flowing(s string) string {
	out := oneLine(s)
	if out == "" {
		if s == "" {
			return ""
		}
		return " "
	}
	if strings.TrimLeft(s, " \t\r\n") != s {
		out = " " + out
	}
	if strings.TrimRight(s, " \t\r\n") != s {
		out += " "
	}
	return out
}

func containsBlock(e *plan.Element) bool {
	return slices.ContainsFunc(e.Content, func(n plan.Node) bool {
		return n.Element != nil && (slices.Contains(blocks, local(n.Element)) || containsBlock(n.Element))
	})
}

func local(e *plan.Element) string { return strings.ToLower(e.Name.Local) }

// policy is what may stand in rich text: words, lists and tables, no addresses that
// run or load anything.
var policy = sync.OnceValue(func() *bluemonday.Policy {
	p := bluemonday.NewPolicy()
	p.AllowElements("p", "br", "b", "strong", "i", "em", "u", "s", "sub", "sup", "small", "code", "pre", "blockquote", "div",
		"h1", "h2", "h3", "h4", "h5", "h6", "hr", "ul", "ol", "li", "dl", "dt", "dd", "table", "caption", "thead", "tbody", "tr", "th", "td")
	p.AllowAttrs("colspan", "rowspan").Matching(bluemonday.Integer).OnElements("th", "td")
	p.AllowAttrs("href").OnElements("a")
	p.AllowURLSchemes("http", "https", "mailto")
	p.AllowRelativeURLs(false)
	p.RequireParseableURLs(true)
	p.RequireNoFollowOnLinks(true)
	return p
})

// richText is the element's content as sanitised HTML, or empty if no markup is
// left of it; and whether some markup was dropped.
func richText(e *plan.Element) (string, bool) {
	var b strings.Builder
	if hasMarkup(e) && inlineText(&b, e) {
		return strings.TrimSpace(b.String()), false
	}
	return sanitised(e)
}

func sanitised(e *plan.Element) (string, bool) {
	raw := render(markup(e))
	clean := policy().Sanitize(raw)
	body := &html.Node{Type: html.ElementNode, Data: "body", DataAtom: atom.Body}
	nodes, err := html.ParseFragment(strings.NewReader(clean), body)
	if err != nil {
		return "", true
	}
	marked := slices.ContainsFunc(nodes, func(n *html.Node) bool { return n.Type == html.ElementNode })
	out := strings.TrimSpace(render(nodes))
	dropped := true
	if whole, err := html.ParseFragment(strings.NewReader(raw), body); err == nil {
		dropped = out != strings.TrimSpace(render(whole)) // a table gets its body in both
	}
	if !marked {
		out = ""
	}
	return out, dropped
}

// markup turns the content of an element into nodes of HTML.
func markup(e *plan.Element) []*html.Node {
	var out []*html.Node
	for _, n := range e.Content {
		switch {
		case n.Element == nil:
			out = append(out, &html.Node{Type: html.TextNode, Data: n.Text})
		case n.Element.Cut || slices.Contains(silent, local(n.Element)):
			out = append(out, &html.Node{Type: html.CommentNode})
		default:
			out = append(out, htmlElement(n.Element))
			if void(local(n.Element)) {
				// HTML has no content there; the words are not to be lost.
				out = append(out, markup(n.Element)...)
			}
		}
	}
	return out
}

func htmlElement(e *plan.Element) *html.Node {
	name := local(e)
	h := &html.Node{Type: html.ElementNode, Data: name, DataAtom: atom.Lookup([]byte(name))}
	for _, a := range e.Attributes {
		if _, file := fileLed(e, a); a.Name.Space == "" && !file {
			h.Attr = append(h.Attr, html.Attribute{Key: strings.ToLower(a.Name.Local), Val: a.Value})
		}
	}
	if !void(name) {
		for _, c := range markup(e) {
			h.AppendChild(c)
		}
	}
	return h
}

func void(name string) bool {
	return slices.Contains([]string{"br", "hr", "img", "wbr", "col", "area", "base", "embed", "input", "link", "meta", "source", "track", "param"}, name)
}

func render(nodes []*html.Node) string {
	var b bytes.Buffer
	for _, n := range nodes {
		// A buffer takes everything; what cannot be rendered is a void element with
		// content, which markup never makes.
		_ = html.Render(&b, n)
	}
	return b.String()
}

// richOr is rich text, or plain text written as such.
func richOr(rich, plain string) string {
	if rich != "" {
		return rich
	}
	return html.EscapeString(plain)
}
