package rules

import (
	"planfold/convert/diag"
	"planfold/rules/document"
)

// layered reads the files and lays each over those before: a key of a later file
// replaces the same key, mappings are merged key by key, rules are added (or
// replaced, by name). It returns nil if there is no file, or one cannot be read.
func layered(files []File, faults *document.Faults) *document.Node {
	var root *document.Node
	complete := true
	for _, f := range files {
		n := document.Parse(f.Name, f.Data, faults)
		if n == nil {
			complete = false
			continue
		}
		versioned(n, faults)
		ruleNamesOnce(n, faults)
		root = merge(root, n)
	}
	if !complete {
		return nil
	}
	return root
}

func versioned(n *document.Node, faults *document.Faults) {
	switch v := n.Get("planfold"); {
	case v == nil:
		faults.Add(diag.RuleVersionUnknown, n, "the file does not begin with \"planfold: 1\"")
	case v.Kind != document.Scalar || v.Text != "1":
		faults.Add(diag.RuleVersionUnknown, v, "version %q of the rule language is not known; this planfold reads version 1", v.Text)
	}
}

func ruleNamesOnce(n *document.Node, faults *document.Faults) {
	namesOnce(n.Get("rules"), "a rule", faults)
	namesOnce(n.Get("expectations"), "an expectation", faults)
}

func namesOnce(rules *document.Node, what string, faults *document.Faults) {
	if rules == nil {
		return
	}
	first := map[string]*document.Node{}
	for _, r := range rules.Values {
		name := r.Get("name")
		if name == nil || name.Kind != document.Scalar {
			continue
		}
		if f := first[name.Text]; f != nil {
			faults.Add(diag.RuleNameTwice, name, "%s named %q stands in line %d", what, name.Text, f.Line)
			continue
		}
		first[name.Text] = name
	}
}

// merge lays b over a, if there is one. Both stay as they are.
func merge(a, b *document.Node) *document.Node {
	if a == nil || a.Kind != document.Mapping || b.Kind != document.Mapping {
		return b
	}
	out := *a
	out.Keys = append([]*document.Node(nil), a.Keys...)
	out.Values = append([]*document.Node(nil), a.Values...)
	for i, k := range b.Keys {
		at := out.Index(k.Text)
		switch {
		case at < 0:
			out.Keys, out.Values = append(out.Keys, k), append(out.Values, b.Values[i])
		case k.Text == "rules" || k.Text == "expectations":
			out.Values[at] = mergeRules(out.Values[at], b.Values[i])
		default:
			out.Values[at] = merge(out.Values[at], b.Values[i])
		}
	}
	return &out
}

// mergeRules puts the later file's rules behind, so that they win. A rule with the
// name of an earlier one stands in for it, at its own later place.
func mergeRules(a, b *document.Node) *document.Node {
	if a.Kind != document.List || b.Kind != document.List {
		return b
	}
	replaced := map[string]bool{}
	for _, r := range b.Values {
		if n := r.Get("name"); n != nil {
			replaced[n.Text] = true
		}
	}
	out := *b
	out.Values = nil
	for _, r := range a.Values {
		if n := r.Get("name"); n == nil || !replaced[n.Text] {
			out.Values = append(out.Values, r)
		}
	}
	out.Values = append(out.Values, b.Values...)
	return &out
}
