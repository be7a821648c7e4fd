package rules

import (
	"errors"
	"strings"

	"planfold/convert/diag"
	"planfold/rules/document"
	"planfold/rules/selector"
)

// compiler turns the nodes of a rule file into a Set. It goes on after a fault, so
// that all are found in one go.
type compiler struct {
	faults     *document.Faults
	set        *Set
	namespaces map[string]string
	conditions conditions
	through    bool // the record that is compiled is read through a join
	files      []File
	tables     [][]byte         // the text of each, for the digest
	paths      []*selector.Path // all so far, in the order of the rules
	lists      listed
	defined    map[string][]*document.Node // names of parameters, lists and tables
	written    map[string]string           // parameters as the rule file writes them
}

func (c *compiler) compile(root *document.Node) {
	c.faults.Keys(root, "a rule file", fileKeys.names()...)
	c.set.name = c.faults.Text(root.Get("name"), "name")
	c.set.decimalComma = c.faults.Bool(root.Get("decimalComma"), "decimalComma")
	c.set.revisionOrder = c.faults.OneOf(root.Get("revisionOrder"), "revisionOrder", "issued", "text")
	if l := root.Get("language"); l != nil {
		c.set.language = c.tag(l, c.faults.Text(l, "language"))
	}
	c.units(root.Get("units"))
	c.frame(root.Get("frame"))
	c.readNamespaces(root.Get("namespaces"))
	c.readJoins(root.Get("joins"))
	if n := root.Get("noHazards"); n != nil {
		c.set.noHazards = c.match(n, "noHazards")
	}
	if read := c.faults.Need(root, "read", "a rule file"); read != nil {
		c.read(read)
	}
	c.constants(root)
	c.assigning(root.Get("rules"))
	c.expectations(root.Get("expectations"))
	c.set.linkExpectations()
	c.notUsed()
	c.set.constants = c.constantsUsed()
}

var lengths = map[string]float64{"m": 1, "dm": 0.1, "cm": 0.01, "mm": 0.001, "um": 0.000001, "in": 0.0254, "ft": 0.3048}

var lengthNames = strings.Split(lengthUnits, " or ")

func (c *compiler) frame(n *document.Node) {
	f := &c.set.frame
	*f = frame{metres: 0.001, up: 'Z', geometry: map[string]float64{}}
	if n == nil || !c.faults.Keys(n, "frame", frameKeys.names()...) {
		return
	}
	if u := c.faults.OneOf(n.Get("unit"), "frame.unit", lengthNames...); u != "" {
		f.metres = lengths[u]
	}
	if up := c.faults.OneOf(n.Get("up"), "frame.up", "X", "Y", "Z"); up != "" {
		f.up = up[0]
	}
	f.columnMajor = c.faults.OneOf(n.Get("matrix"), "frame.matrix", "row", "column") == "column"
	g := n.Get("geometry")
	if g == nil || !c.faults.Keys(g, "frame.geometry", geometryKeys.names()...) {
		return
	}
	for i, k := range g.Keys {
		if u := c.faults.OneOf(g.Values[i], "frame.geometry."+k.Text, lengthNames...); u != "" {
			f.geometry[k.Text] = lengths[u]
		}
	}
}

func (c *compiler) readNamespaces(n *document.Node) {
	c.namespaces, c.set.prefixes = map[string]string{}, map[string]string{}
	if n == nil || !c.faults.Is(document.Mapping, n, "namespaces") {
		return
	}
	for i, k := range n.Keys {
		uri := c.faults.Text(n.Values[i], "namespaces."+k.Text)
		c.namespaces[k.Text], c.set.prefixes[uri] = uri, k.Text
	}
}

// join finds records of anywhere in the plan by a key.
type join struct {
	name   string
	match  *selector.Match
	key    *selector.Path
	whole  bool     // records are read through it, so that they are kept as elements
	values []*value // that are taken from its records; the place is the value's slot
	place  diag.Position

	matchAt, keyAt diag.Position
}

func (c *compiler) readJoins(n *document.Node) {
	if n == nil || !c.faults.Is(document.Mapping, n, "joins") {
		return
	}
	for i, k := range n.Keys {
		where, v := "joins."+k.Text, n.Values[i]
		j := &join{name: k.Text, place: k.Position(-1)}
		// A faulty join stays known, so that what uses it is not reported as well.
		c.set.joins = append(c.set.joins, j)
		if !c.faults.Keys(v, where, joinKeys.names()...) {
			continue
		}
		match, key := c.faults.Need(v, "match", where), c.faults.Need(v, "key", where)
		j.match, j.key = c.match(match, where+".match"), c.path(key, where+".key")
		if match != nil && key != nil {
			j.matchAt, j.keyAt = match.Position(-1), key.Position(-1)
		}
	}
}

func (c *compiler) join(n *document.Node, where string) *join {
	name := c.faults.Text(n, where)
	if name == "" {
		return nil
	}
	var names []string
	for _, j := range c.set.joins {
		if j.name == name {
			return j
		}
		names = append(names, j.name)
	}
	c.faults.Add(diag.RuleJoinUnknown, n, "there is no join %q%s", name, document.Instead(name, "joins:", names))
	return nil
}

func (c *compiler) match(n *document.Node, where string) *selector.Match {
	text := c.faults.Text(n, where)
	if text == "" {
		return nil
	}
	m, err := selector.CompileMatch(text, c.namespaces)
	c.refused(diag.RuleMatchInvalid, n, err)
	return m
}

func (c *compiler) path(n *document.Node, where string) *selector.Path {
	text := c.faults.Text(n, where)
	if text == "" {
		return nil
	}
	p, err := selector.Compile(text, c.namespaces)
	c.refused(diag.RulePathInvalid, n, err)
	c.paths = append(c.paths, p)
	return p
}

func (c *compiler) refused(code *diag.Code, n *document.Node, err error) {
	if err == nil {
		return
	}
	var at *selector.Error
	if !errors.As(err, &at) {
		c.faults.Add(code, n, "%v", err)
		return
	}
	c.faults.AddAt(code, n, max(at.Column, 1)-1, "%s", at.Message)
}
