package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/cmd/planfold/demo"
	"planfold/convert"
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules"
	"planfold/rules/document"
)

// A slip of the pen in the demo's rules is caught by check, with the demo's plan and
// expectations, at its line: of 100 single edits at random places at least 95. What
// it does not see must change nothing of what comes out; -v lists it.
func TestCheckCatchesSlips(t *testing.T) {
	files := map[string][]byte{}
	require.NoError(t, demo.Write(1, func(name string, data []byte) error {
		files[name] = bytes.Clone(data)
		return nil
	}))
	m := newSlips(t, string(files["rules.yaml"]))
	before := m.checked(t, m.text, files)
	require.NotEmpty(t, before.outcome)

	caught, byKind := 0, map[string][2]int{}
	for _, s := range m.choose(100, func(text string) bool { return m.checked(t, text, files).outcome == before.outcome }) {
		after := m.checked(t, s.text, files)
		n := byKind[s.kind]
		n[1]++
		if s.named(after, before) {
			caught++
			n[0]++
		} else {
			t.Logf("not seen: %s in line %d, %s: the demo's plan has nothing that it would change", s.kind, s.line, s.what)
			assert.Equal(t, before.outcome, after.outcome, "%s in line %d, %s", s.kind, s.line, s.what)
		}
		byKind[s.kind] = n
	}
	t.Log(caught, "of 100 caught;", byKind)
	assert.GreaterOrEqual(t, caught, 95)
}

// slip is one edit of a rule file.
type slip struct {
	kind, what string
	line       int
	rule       string // that was dropped or moved
	span       [2]int // lines of the assigning rule that it lies in, if it does
	text       string
}

// slips makes edits of a rule file.
type slips struct {
	*rand.Rand
	text  string
	lines []string
	kinds map[string][]func() (slip, bool)
	order []string
	rules []*document.Node
}

// seedOfSlips makes the same edits each time.
const seedOfSlips = 20

func newSlips(t *testing.T, text string) *slips {
	m := &slips{Rand: rand.New(rand.NewPCG(seedOfSlips, 1)), text: text, lines: strings.Split(text, "\n"), kinds: map[string][]func() (slip, bool){}}
	var faults document.Faults
	root := document.Parse("rules.yaml", []byte(text), &faults)
	require.Empty(t, faults.List())
	m.rules = root.Get("rules").Values
	seen := map[[2]int]bool{} // an alias shows its anchor again
	m.visit(root, nil, seen)
	for i, r := range m.rules {
		m.offer("dropped rule", func() (slip, bool) { return m.drop(r), true })
		for _, o := range m.rules[i+1:] {
			if r.Get("for").Text == o.Get("for").Text && slices.ContainsFunc(r.Get("set").Keys, func(k *document.Node) bool { return o.Get("set").Get(k.Text) != nil }) {
				m.offer("swapped order", func() (slip, bool) { return m.swap(r, o), true })
			}
		}
	}
	return m
}

func (m *slips) offer(kind string, make func() (slip, bool)) {
	if !slices.Contains(m.order, kind) {
		m.order = append(m.order, kind)
	}
	m.kinds[kind] = append(m.kinds[kind], make)
}

// visit offers the edits of a node and of all in it. keys lead to it.
func (m *slips) visit(n *document.Node, keys []string, seen map[[2]int]bool) {
	at := [2]int{n.Line, n.Column}
	if n.Kind == document.Scalar && seen[at] {
		return
	}
	seen[at] = true
	switch n.Kind {
	case document.Mapping:
		for i, k := range n.Keys {
			if !seen[[2]int{k.Line, k.Column}] {
				seen[[2]int{k.Line, k.Column}] = true
				m.offer("typo in a key", func() (slip, bool) { return m.typo("typo in a key", k, letters) })
				m.visit(n.Values[i], append(slices.Clone(keys), k.Text), seen)
			}
		}
	case document.List:
		for _, v := range n.Values {
			m.visit(v, keys, seen)
		}
	default:
		m.scalar(n, keys)
	}
}

var (
	letters   = regexp.MustCompile(`[A-Za-z]{2,}`)
	operators = regexp.MustCompile(`==|!=|&&|\|\||>|[A-Za-z]{2,}|[0-9]+`)
)

func (m *slips) scalar(n *document.Node, keys []string) {
	last := keys[len(keys)-1]
	switch {
	case last == "when":
		m.offer("typo in a condition", func() (slip, bool) { return m.typo("typo in a condition", n, operators) })
	case slices.Contains([]string{"join", "for", "registration", "occurrence"}, last) && (keys[0] == "rules" || last == "join"):
		m.offer("typo in a reference", func() (slip, bool) { return m.typo("typo in a reference", n, letters) })
	case (keys[0] == "read" || keys[0] == "joins") && last != "value" && last != "default":
		m.offer("typo in a path", func() (slip, bool) { return m.typo("typo in a path", n, letters) })
	}
	if last != "name" {
		m.offer("wrong type", func() (slip, bool) { return m.retype(n) })
	}
}

// typo misspells a word of a node: it swaps, drops or doubles letters, or takes one
// operator for another.
func (m *slips) typo(kind string, n *document.Node, words *regexp.Regexp) (slip, bool) {
	line := m.lines[n.Line-1]
	start := strings.Index(line[n.Column-1:], n.Text)
	if start < 0 {
		return slip{}, false
	}
	start += n.Column - 1
	all := words.FindAllStringIndex(n.Text, -1)
	if len(all) == 0 {
		return slip{}, false
	}
	at := all[m.IntN(len(all))]
	word := n.Text[at[0]:at[1]]
	wrong := m.misspelt(word)
	if wrong == word {
		return slip{}, false
	}
	changed := line[:start+at[0]] + wrong + line[start+at[1]:]
	return m.edited(kind, n.Line, word+" became "+wrong, changed), true
}

func (m *slips) misspelt(word string) string {
	others := map[string]string{"==": "!=", "!=": "==", "&&": "||", "||": "&&", ">": "<"}
	if o := others[word]; o != "" {
		return o
	}
	if word[0] <= '9' {
		return "1" + word
	}
	i := m.IntN(len(word) - 1)
	switch m.IntN(3) {
	case 0:
		return word[:i] + word[i+1:]
	case 1:
		return word[:i] + word[i:i+1] + word[i:]
	}
	return word[:i] + word[i+1:i+2] + word[i:i+1] + word[i+2:]
}

// retype puts a value of another kind where one stands.
func (m *slips) retype(n *document.Node) (slip, bool) {
	line := m.lines[n.Line-1]
	written := n.Text
	for _, q := range []string{`"`, "'"} {
		if strings.HasPrefix(line[n.Column-1:], q) {
			written = q + n.Text + q
		}
	}
	if !strings.HasPrefix(line[n.Column-1:], written) {
		return slip{}, false
	}
	wrong := []string{"{x: " + written + "}", `""`, "[[" + written + "]]"}[m.IntN(3)]
	return m.edited("wrong type", n.Line, written+" became "+wrong, line[:n.Column-1]+wrong+line[n.Column-1+len(written):]), true
}

func (m *slips) edited(kind string, line int, what, changed string) slip {
	lines := slices.Clone(m.lines)
	lines[line-1] = changed
	s := slip{kind: kind, what: what, line: line, text: strings.Join(lines, "\n")}
	for _, r := range m.rules {
		if from, to := m.extent(r); from <= line && line < to {
			s.span = [2]int{from, to}
		}
	}
	return s
}

// extent is the lines of a rule: from its first to behind its last.
func (m *slips) extent(r *document.Node) (from, to int) {
	from, to = r.Line, r.Line+1
	for to <= len(m.lines) && strings.HasPrefix(m.lines[to-1], "    ") {
		to++
	}
	return from, to
}

func (m *slips) drop(r *document.Node) slip {
	from, to := m.extent(r)
	name := r.Get("name").Text
	return slip{kind: "dropped rule", what: name, line: from, rule: name, text: strings.Join(slices.Delete(slices.Clone(m.lines), from-1, to-1), "\n")}
}

func (m *slips) swap(a, b *document.Node) slip {
	a1, a2 := m.extent(a)
	b1, b2 := m.extent(b)
	var lines []string
	for _, part := range [][2]int{{1, a1}, {b1, b2}, {a2, b1}, {a1, a2}, {b2, len(m.lines) + 1}} {
		lines = append(lines, m.lines[part[0]-1:part[1]-1]...)
	}
	return slip{kind: "swapped order", what: a.Get("name").Text + " and " + b.Get("name").Text, line: a1, rule: a.Get("name").Text, text: strings.Join(lines, "\n")}
}

// choose makes n edits, the kinds in turn, none twice. A swap that changes nothing
// is no slip.
func (m *slips) choose(n int, same func(text string) bool) []slip {
	var out []slip
	taken := map[string]bool{m.text: true}
	for len(out) < n {
		kind := m.order[m.IntN(len(m.order))]
		makers := m.kinds[kind]
		i := m.IntN(len(makers))
		s, made := makers[i]()
		if kind == "dropped rule" || kind == "swapped order" {
			m.kinds[kind] = slices.Delete(makers, i, i+1)
			if len(m.kinds[kind]) == 0 {
				m.order = slices.DeleteFunc(m.order, func(k string) bool { return k == kind })
			}
		}
		if !made || taken[s.text] || kind == "swapped order" && same(s.text) {
			continue
		}
		taken[s.text] = true
		out = append(out, s)
	}
	return out
}

// slipReport is what check says of rules.
type slipReport struct {
	lines   map[int]map[string]bool // of the rule file that a finding names, with its codes
	said    string                  // all messages
	outcome string                  // what becomes of the plan
}

// come writes what becomes of an operation, with what rules assigned.
func come(w *bytes.Buffer, p *step.Plan, o *step.Operation) error {
	e := json.NewEncoder(w)
	if err := e.Encode([]any{p.Hold, o, o.Steps}); err != nil {
		return err
	}
	for _, s := range o.Steps {
		if err := e.Encode([]any{s.Registration.String(), s.Roles, s.Motions, s.Skip.Value}); err != nil {
			return err
		}
		for _, part := range s.Parts {
			if err := e.Encode([]any{part.Motion, part.Budget, part.Role, itemLook(p, part)}); err != nil {
				return err
			}
		}
	}
	return nil
}

func itemLook(p *step.Plan, part step.Part) []any {
	i := p.Items[part.Item.Value]
	if i == nil {
		return nil
	}
	return []any{i, i.Budget, i.Material3D, i.Geometry}
}

var namedLine = regexp.MustCompile(`\(line ([0-9]+)\)`)

func (m *slips) checked(t *testing.T, text string, files map[string][]byte) slipReport {
	r := slipReport{lines: map[int]map[string]bool{}}
	set, list := rules.Compile([]rules.File{{Name: "rules.yaml", Data: []byte(text)}, {Name: "expectations.yaml", Data: files["expectations.yaml"]}})
	if set != nil {
		list = append(list, set.Lint()...)
		survey := set.Survey()
		under := survey.Plan()
		var outcome bytes.Buffer
		source := convert.Source{Base: "plan.xml", Open: func() (io.ReadCloser, error) {
			return io.NopCloser(bytes.NewReader(files["plan.xml"])), nil
		}}
		p, found, err := convert.Map(under, source, func(p *step.Plan, o *step.Operation) error {
			under.Operation(p, o)
			return come(&outcome, p, o)
		})
		require.NoError(t, err)
		list = append(list, found...)
		list = append(list, under.End(p)...)
		list = append(list, survey.Findings()...)
		r.outcome = outcome.String()
	}
	for _, d := range list {
		r.said += d.Message + "\n"
		places := append([]diag.Related{{Position: d.Position, Message: d.Message}}, d.Related...)
		for _, p := range places {
			if p.Position.File == "rules.yaml" {
				r.name(p.Position.Line, d.Code)
			}
			for _, l := range namedLine.FindAllStringSubmatch(p.Message, -1) {
				line, err := strconv.Atoi(l[1])
				require.NoError(t, err)
				r.name(line, d.Code)
			}
		}
	}
	return r
}

func (r slipReport) name(line int, code string) {
	if r.lines[line] == nil {
		r.lines[line] = map[string]bool{}
	}
	r.lines[line][code] = true
}

// news reports a finding about a line that was not there before.
func (r slipReport) news(line int, before slipReport) bool {
	for code := range r.lines[line] {
		if !before.lines[line][code] {
			return true
		}
	}
	return false
}

// named reports that check names the line of the slip, and did not before; of an
// assigning rule also that it names the rule; of one that is gone or moved, that a
// message names it.
func (s slip) named(after, before slipReport) bool {
	if s.rule != "" {
		return strings.Contains(after.said, s.rule) && !strings.Contains(before.said, s.rule)
	}
	return after.news(s.line, before) || s.span[0] > 0 && after.news(s.span[0], before)
}
