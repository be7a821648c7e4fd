// Package document reads the text of rule files into nodes that know their place.
//
// It knows YAML and nothing of what the keys mean. A node keeps the source it was
// read from, so that a fault inside a scalar (in the middle of an XPath, say) is
// shown at its own line and column of the file, however the scalar is quoted or
// folded. Faults are collected, never returned one at a time: a rule author sees
// all of them at once.
package document

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"planfold/convert/diag"
)

const (
	maxBytes = 4 << 20
	maxNodes = 200_000 // aliases are written out, so that they count each time
	maxDepth = 64
)

// Kind of a node.
type Kind int

const (
	Scalar Kind = iota
	List
	Mapping
)

func (k Kind) String() string { return [...]string{"one value", "a list", "a mapping"}[k] }

// Node is a value of a rule file with its place.
type Node struct {
	Kind         Kind
	Text         string  // of a scalar, unquoted
	Quoted       bool    // the scalar is text whatever it looks like
	Keys         []*Node // of a mapping, in order
	Values       []*Node // of a mapping, beside Keys, or of a list
	Line, Column int
	source       *source
}

type source struct {
	name  string
	lines []string
}

// Parse reads one rule file. It returns nil if the file is not well-formed.
func Parse(name string, data []byte, faults *Faults) *Node {
	src := &source{name: name}
	if len(data) > maxBytes {
		faults.list.Add(diag.RuleLimit.At(diag.Position{File: name}, "the file has %d bytes, more than %d", len(data), maxBytes))
		return nil
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	src.lines = strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	var root yaml.Node
	if err := yaml.Unmarshal([]byte(text), &root); err != nil {
		faults.list.Add(malformed(src, err))
		return nil
	}
	r := reader{source: src, faults: faults}
	if len(root.Content) == 0 {
		return &Node{Kind: Mapping, Line: 1, Column: 1, source: src}
	}
	n := r.read(root.Content[0], 0)
	if n != nil && n.Kind != Mapping {
		faults.Add(diag.RuleYAMLMalformed, n, "a rule file is a mapping, not %s", n.Kind)
		return nil
	}
	return n
}

// What YAML takes for its own where it stands unquoted: an attribute, and a bracket
// right behind a name, as paths and conditions have them.
var (
	quotation = regexp.MustCompile(`"[^"]*"|'[^']*'`)
	unquoted  = regexp.MustCompile(`@|[\pL\pN_.*)] ?[\[({]`)
)

func malformed(src *source, err error) diag.Diagnostic {
	p := diag.Position{File: src.name}
	message := strings.TrimPrefix(err.Error(), "yaml: ")
	var load *yaml.LoadError
	if errors.As(err, &load) {
		p.Line, p.Column = load.Mark.Line, load.Mark.Column
		message = load.Message
	}
	if p.Line > 0 && p.Line <= len(src.lines) && unquoted.MatchString(quotation.ReplaceAllString(src.lines[p.Line-1], "")) {
		message += "; quote the path or condition: [ ] { } , : and @ are YAML's own"
	}
	return diag.RuleYAMLMalformed.At(p, "%s", message)
}

type reader struct {
	source *source
	faults *Faults
	count  int
	full   bool
}

// read turns a YAML node into ours. It returns nil past the limits.
func (r *reader) read(y *yaml.Node, depth int) *Node {
	n := &Node{Line: y.Line, Column: y.Column, source: r.source}
	if r.count++; r.count > maxNodes || depth > maxDepth {
		if !r.full {
			r.faults.Add(diag.RuleLimit, n, "more than %d values, or more than %d inside each other", maxNodes, maxDepth)
		}
		r.full = true
		return nil
	}
	switch y.Kind {
	case yaml.AliasNode:
		return r.read(y.Alias, depth+1)
	case yaml.MappingNode:
		n.Kind = Mapping
		r.readMapping(n, y, depth)
	case yaml.SequenceNode:
		n.Kind = List
		for _, c := range y.Content {
			if v := r.read(c, depth+1); v != nil {
				n.Values = append(n.Values, v)
			}
		}
	default:
		n.Text = y.Value
		n.Quoted = y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) != 0
	}
	return n
}

func (r *reader) readMapping(n *Node, y *yaml.Node, depth int) {
	first := map[string]*Node{}
	for i := 0; i+1 < len(y.Content); i += 2 {
		k, v := r.read(y.Content[i], depth+1), r.read(y.Content[i+1], depth+1)
		switch {
		case k == nil || v == nil:
			continue
		case k.Kind != Scalar:
			r.faults.Add(diag.RuleYAMLMalformed, k, "a key is one value, not %s", k.Kind)
			continue
		case first[k.Text] != nil:
			r.faults.Add(diag.RuleKeyTwice, k, "%q stands here again, first in line %d", short(k.Text), first[k.Text].Line)
			continue
		}
		first[k.Text] = k
		n.Keys, n.Values = append(n.Keys, k), append(n.Values, v)
	}
}

// Get is the value of a key of a mapping, or nil.
func (n *Node) Get(key string) *Node {
	if i := n.Index(key); i >= 0 {
		return n.Values[i]
	}
	return nil
}

// Index is where a key of a mapping stands among its keys, or -1.
func (n *Node) Index(key string) int {
	if n == nil {
		return -1
	}
	return slices.IndexFunc(n.Keys, func(k *Node) bool { return k.Text == key })
}

// null reports a scalar with nothing in it.
func (n *Node) null() bool {
	return n.Kind == Scalar && !n.Quoted && (n.Text == "" || n.Text == "~" || n.Text == "null")
}

// Position of the node, or of a character within its text, counted from 0.
func (n *Node) Position(character int) diag.Position {
	p := diag.Position{File: n.source.name, Line: n.Line, Column: n.Column}
	if n.Kind != Scalar || character < 0 {
		return p
	}
	p.Line, p.Column = n.locate(character)
	return p
}

// Offset turns a line and column of the node's text, both from 1, into a count of
// characters from 0.
func (n *Node) Offset(line, column int) int {
	rest, skipped := n.Text, 0
	for ; line > 1; line-- {
		i := strings.IndexByte(rest, '\n')
		if i < 0 {
			break
		}
		skipped += utf8.RuneCountInString(rest[:i+1])
		rest = rest[i+1:]
	}
	return skipped + column - 1
}
