package rules

import (
	"regexp"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/rules/document"
	"planfold/rules/selector"
)

// value says where a field's value comes from: a path within the record, the same
// within a joined record, a constant, or the plan file's name.
type value struct {
	path     *selector.Path
	where    *selector.Path // not true: this value gives nothing
	up       int            // elements above the record's own from which it is looked for
	pattern  *regexp.Regexp
	group    int
	rest     *field // takes what the pattern's group leaves
	constant string
	standIn  string // "default"
	file     *regexp.Regexp
	join     *join
	by       *selector.Path
	through  *value // instead of by: gives the keys by a join before
	first    bool   // of several records that a join finds, the first in the document counts
	slot     int    // of the value among those taken from the join's records
	markup   bool   // the field keeps markup
	here     bool   // looked for at what refers to the record, not in it
	html     bool   // the text is HTML written as text
	plus     *value
	place    diag.Position
	lang     *selector.Path
	spoken   []spoken         // instead of path: a path for each language
	paths    []*selector.Path // all of those above
	single   bool             // its texts of one language become one
	every    bool             // each match of the pattern counts

	whereAt, byAt, langAt diag.Position
}

func (c *compiler) value(n *document.Node, k *kind, f *field, rule string) *value {
	v := &value{markup: f.typ == texts || f.typ == notes, single: f.typ == texts, every: f.typ == list, place: n.Position(-1)}
	if n.Kind == document.Scalar {
		v.path = c.path(n, rule)
		return v
	}
	if !c.faults.Keys(n, rule, valueKeys.names()...) {
		return nil
	}
	c.source(v, n, rule)
	c.taken(v, n, k, rule)
	v.up = c.faults.Whole(n.Get("up"), rule+".up", 1)
	if h := n.Get("here"); h != nil {
		if v.here = c.faults.Bool(h, rule+".here"); !c.through {
			c.faults.Add(diag.RuleValueInvalid, h, "%s has \"here\" in a record without \"join\"", rule)
		}
	}
	v.html = c.faults.Bool(n.Get("html"), rule+".html")
	if w := n.Get("where"); w != nil {
		v.where, v.whereAt = c.path(w, rule+".where"), w.Position(-1)
	}
	if d := n.Get("default"); d != nil {
		v.standIn = c.faults.Text(d, rule+".default")
	}
	c.languages(v, n, f, rule)
	if p := n.Get("plus"); p != nil {
		if f.typ != decimal {
			c.faults.Add(diag.RuleValueInvalid, p, "%s cannot have \"plus\": it is no decimal", rule)
			return nil
		}
		from := len(c.paths)
		if v.plus = c.value(p, k, f, rule+".plus"); v.plus != nil {
			v.plus.paths = slices.Clone(c.paths[from:])
		}
	}
	c.suits(n, v, f, rule)
	return v
}

// source compiles the one key that says where the value is found.
func (c *compiler) source(v *value, n *document.Node, rule string) {
	found := 0
	for _, key := range valueSources {
		if n.Get(key) != nil {
			found++
		}
	}
	if found != 1 {
		c.faults.Add(diag.RuleKeyMissing, n, "%s needs one of \"path\", \"languages\", \"value\" and \"file\"", rule)
		return
	}
	if p := n.Get("path"); p != nil {
		v.path = c.path(p, rule+".path")
	}
	v.constant = c.faults.Text(n.Get("value"), rule+".value")
	if p := n.Get("file"); p != nil {
		v.file = c.pattern(p, rule+".file")
	}
	if n.Get("join") == nil {
		return
	}
	v.first = c.faults.Bool(n.Get("first"), rule+".first")
	c.joined(v, n, rule)
}

// joined compiles the joins that are followed one after another, each by a path in
// the record of the one before. The last gives the value, those before it the keys.
func (c *compiler) joined(v *value, n *document.Node, rule string) {
	joins, keys := each(n.Get("join")), each(c.faults.Need(n, "by", rule))
	if len(keys) > 0 && len(keys) != len(joins) {
		c.faults.Add(diag.RuleValueInvalid, n.Get("by"), "%s.by has %d paths for %d joins; each join is followed by its own", rule, len(keys), len(joins))
	}
	if len(keys) != len(joins) {
		return
	}
	var before *value
	for i := range joins {
		h := v
		if i+1 < len(joins) {
			h = &value{path: c.path(keys[i+1], rule+".by"), place: keys[i+1].Position(-1)}
			h.paths = []*selector.Path{h.path}
		}
		if h.through = before; before == nil {
			h.by, h.byAt = c.path(keys[0], rule+".by"), keys[0].Position(-1)
		}
		if h.join = c.join(joins[i], rule+".join"); h.join != nil {
			h.join.slotFor(h)
		}
		before = h
	}
}

// each is the entries of a list, or the one that stands there instead.
func each(n *document.Node) []*document.Node {
	switch {
	case n == nil:
		return nil
	case n.Kind == document.List:
		return n.Values
	}
	return []*document.Node{n}
}

// taken compiles what is taken of the text that was found.
func (c *compiler) taken(v *value, n *document.Node, k *kind, rule string) {
	if p := n.Get("pattern"); p != nil {
		v.pattern = c.pattern(p, rule+".pattern")
	}
	re := v.pattern
	if v.file != nil {
		re = v.file
	}
	if re != nil && re.NumSubexp() > 0 {
		v.group = 1
	}
	if g := n.Get("group"); g != nil {
		v.group = c.faults.Whole(g, rule+".group", 0)
		if re != nil && v.group > re.NumSubexp() {
			c.faults.Add(diag.RulePatternInvalid, g, "the pattern has %d groups, not %d", re.NumSubexp(), v.group)
		}
	}
	r := n.Get("rest")
	if r == nil {
		return
	}
	if v.rest = k.field("notes"); v.rest == nil {
		c.faults.Add(diag.RuleValueInvalid, r, "%s cannot have \"rest\": a %s has no notes", rule, k.name)
		return
	}
	if to := c.faults.Text(r, rule+".rest"); to != "notes" {
		c.faults.Add(diag.RuleValueInvalid, r, "%s.rest is notes, which are all that it can fill, not %q", rule, to)
	}
}

// useless without another key: one of those listed.
var useless = []struct {
	key     string
	without []string
}{
	{"pattern", []string{"path", "languages"}},
	{"lang", []string{"path"}},
	{"join", []string{"path", "languages"}},
	{"by", []string{"join"}},
	{"first", []string{"join"}},
	{"rest", []string{"pattern"}},
	{"group", []string{"pattern", "file"}},
	{"html", []string{"path", "languages"}},
	{"plus", []string{"path"}},
}

// suits refuses keys that would do nothing where they stand, and constants that the
// field cannot have.
func (c *compiler) suits(n *document.Node, v *value, f *field, rule string) {
	has := func(key string) bool { return n.Get(key) != nil }
	for _, u := range useless {
		if has(u.key) && !slices.ContainsFunc(u.without, has) {
			c.faults.Add(diag.RuleKeyMissing, n.Get(u.key), "%s has %q without \"%s\"", rule, u.key, strings.Join(u.without, "\" or \""))
		}
	}
	for _, key := range []string{"value", "default"} {
		text := v.constant
		if key == "default" {
			text = v.standIn
		}
		if text == "" {
			continue
		}
		if f.allowed != nil {
			c.faults.OneOf(n.Get(key), rule+"."+key, f.allowed...)
		}
		if _, ok := decimalText(text, false); f.typ == decimal && !ok {
			c.faults.Add(diag.RuleValueInvalid, n.Get(key), "%s.%s is a decimal number, not %q", rule, key, text)
		}
	}
}

func (c *compiler) pattern(n *document.Node, rule string) *regexp.Regexp {
	text := c.faults.Text(n, rule)
	if text == "" {
		return nil
	}
	re, err := regexp.Compile(text)
	if err != nil {
		message := strings.TrimPrefix(err.Error(), "error parsing regexp: ")
		at := 0
		// Go's parser names the piece at fault, not its place.
		if piece := quotedPiece(message); piece != "" {
			at = max(0, len([]rune(text[:max(0, strings.Index(text, piece))])))
		}
		c.faults.AddAt(diag.RulePatternInvalid, n, at, "%s", message)
	}
	return re
}

func quotedPiece(message string) string {
	i, j := strings.IndexByte(message, '`'), strings.LastIndexByte(message, '`')
	if i < 0 || j <= i {
		return ""
	}
	return message[i+1 : j]
}
