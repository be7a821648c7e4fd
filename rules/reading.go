package rules

import (
	"slices"

	"planfold/convert/diag"
	"planfold/rules/document"
	"planfold/rules/selector"
)

// reading is one entry of the reading rules: which elements are records of a kind,
// and where their fields are found.
type reading struct {
	kind     *kind
	match    *selector.Match // of a record that is streamed
	each     *selector.Path  // of a record inside another
	join     *join           // of a record that stands elsewhere: each leads to what refers to it
	by       *selector.Path
	byAt     diag.Position
	byOwnID  bool // the key is the id of the record around it
	where    *selector.Path
	bindings []*binding
	rule     string           // "read.items"
	place    diag.Position    // of match or each
	paths    []*selector.Path // all that it and what is inside follow
}

// binding says where one field of a record is found: the first value that gives
// something wins, or the records inside.
type binding struct {
	field  *field
	rule   string // "read.items.title"
	place  diag.Position
	values []*value
	inside []*reading
}

func (c *compiler) read(n *document.Node) {
	s := c.set
	places := []struct {
		name string
		kind *kind
		into *[]*reading
	}{
		{"plan", planKind, &s.plan},
		{"items", itemKind, &s.items},
		{"occurrences", occurrenceKind, &s.occurrences},
		{"views", viewKind, &s.views},
		{"operations", operationKind, &s.operations},
	}
	if !c.faults.Keys(n, "read", readKeys.names()...) {
		return
	}
	for _, p := range places {
		v := n.Get(p.name)
		if v == nil {
			continue
		}
		*p.into = c.readings(v, p.kind, "match", "read."+p.name)
	}
	for _, needed := range []string{"plan", "operations"} {
		c.faults.Need(n, needed, "read")
	}
}

// readings compiles a record's mapping, or a list of them. by is "match" or "each".
func (c *compiler) readings(n *document.Node, k *kind, by, rule string) []*reading {
	entries := []*document.Node{n}
	if n.Kind == document.List {
		entries = n.Values
	}
	var out []*reading
	for _, e := range entries {
		if r := c.reading(e, k, by, rule); r != nil {
			out = append(out, r)
		}
	}
	return out
}

func (c *compiler) reading(n *document.Node, k *kind, by, rule string) *reading {
	if !c.faults.Keys(n, rule, append(recordKeysBy(by), k.names()...)...) {
		return nil
	}
	from := len(c.paths)
	r := &reading{kind: k, rule: rule, place: n.Position(-1)}
	if by := n.Get(by); by != nil {
		r.place = by.Position(-1)
	}
	if by == "match" {
		r.match = c.match(c.faults.Need(n, by, rule), rule+".match")
	} else {
		r.each = c.path(c.faults.Need(n, by, rule), rule+".each")
		c.throughJoin(r, n, rule)
	}
	if w := n.Get("where"); w != nil {
		r.where = c.path(w, rule+".where")
	}
	for _, needed := range k.needed {
		c.faults.Need(n, needed, rule)
	}
	around := c.through
	defer func() { c.through = around }()
	for _, f := range k.fields {
		c.through = r.join != nil
		if v := n.Get(f.name); v != nil {
			r.bindings = append(r.bindings, c.bind(v, k, f, rule+"."+f.name))
		}
	}
	r.markOwnID()
	r.paths = slices.Clone(c.paths[from:])
	return r
}

func (c *compiler) bind(n *document.Node, k *kind, f *field, rule string) *binding {
	b := &binding{field: f, rule: rule, place: n.Position(-1)}
	if f.typ == records {
		b.inside = c.readings(n, f.of, "each", rule)
		return b
	}
	specs := []*document.Node{n}
	if n.Kind == document.List {
		specs = n.Values
	}
	if len(specs) == 0 {
		c.faults.Add(diag.RuleValueInvalid, n, "%s is an empty list", rule)
	}
	for _, s := range specs {
		from := len(c.paths)
		if v := c.value(s, k, f, rule); v != nil {
			v.paths = slices.Clone(c.paths[from:])
			b.values = append(b.values, v)
		}
	}
	return b
}

// binding is that of a field, or nil. A nil reading has none.
func (r *reading) binding(field string) *binding {
	if r == nil {
		return nil
	}
	i := slices.IndexFunc(r.bindings, func(b *binding) bool { return b.field.name == field })
	if i < 0 {
		return nil
	}
	return r.bindings[i]
}

// readings are those of all kinds of streamed records.
func (s *Set) readings() [][]*reading {
	return [][]*reading{s.operations, s.plan, s.items, s.occurrences, s.views}
}

// eachReading visits all readings, those inside others after them.
func (s *Set) eachReading(visit func(*reading)) {
	var walk func([]*reading)
	walk = func(list []*reading) {
		for _, r := range list {
			visit(r)
			for _, b := range r.bindings {
				walk(b.inside)
			}
		}
	}
	for _, list := range s.readings() {
		walk(list)
	}
}
