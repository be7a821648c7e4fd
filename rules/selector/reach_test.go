package selector

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/plan"
)

func TestReach(t *testing.T) {
	for _, c := range []struct {
		path     string
		startTag bool
		reads    string // of the children a, b and c
	}{
		{"@x", true, ""},
		{"../@x", true, ""},
		{"ancestor::r/@x", true, ""},
		{"concat(@x, name())", true, ""},
		{"a", false, "a"},
		{"a/@x", false, "a"},
		{"a//b | b[@x='1'][2]", false, "ab"},
		{"count(a)", false, "a"},
		{"a[../b]", false, "abc"},
		{"a/following-sibling::b", false, "abc"},
		{".", false, "abc"},
		{"string()", false, "abc"},
		{"*[2]", false, "abc"},
		{".//b", false, "abc"},
		{"self::r/a", false, "a"},
		{"string-length(@x) > 1 and b", false, "b"},
		{"@x/..", false, "abc"},
		{"node()[1]", false, "abc"},
		{"text()", false, ""},
		{"a[string-length() > 1]", false, "a"},
	} {
		p, err := Compile(c.path, nil)
		require.NoError(t, err, c.path)
		assert.Equal(t, c.startTag, p.AtStartTag(), c.path)
		reads := ""
		for _, name := range []string{"a", "b", "c"} {
			child := &plan.Element{}
			child.Name.Local = name
			if p.Reads(child) {
				reads += name
			}
		}
		assert.Equal(t, c.reads, reads, c.path)
	}
}

// Random paths find the same in a record without the children that they do not
// read, and at its start tag when they say so.
func TestPathsFindTheSameInWhatTheyRead(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const text = `<o x='0'><r x='1' y='2'>m<a x='3'>n<b x='1'>p</b><a/></a>q<b y='2'><c/>s</b><c x='1'>t<a>u</a></c><a y='1'>v</a>w</r></o>`
	pieces := []string{"a", "b", "c", "@x", "@y", "*", ".", "..", "text()", "node()", "self::r", "ancestor::o", "parent::a", "following-sibling::b", "preceding-sibling::*", "descendant::a"}
	filters := []string{"[1]", "[@x]", "[last()]", "[.='v']", "[../@x]", "[b]", "[string-length()>0]", "[not(c)]", "[position()=2]"}
	frames := []string{"%", "%", "%", "count(%)", "string(%)", "concat(%, @x)", "boolean(%)", "sum(%)", "name(%)", "% | b", "% = a", "normalize-space()"}
	paths := 0
	for range 1_500 {
		var steps []string
		for range 1 + r.IntN(3) {
			s := pieces[r.IntN(len(pieces))]
			if s != "." && s != ".." && r.IntN(3) == 0 {
				s += filters[r.IntN(len(filters))]
			}
			steps = append(steps, s)
		}
		path := strings.ReplaceAll(frames[r.IntN(len(frames))], "%", strings.Join(steps, []string{"/", "//"}[r.IntN(5)/4]))
		p, err := Compile(path, nil)
		if err != nil {
			continue
		}
		paths++
		want := said(t, text, p, func(*plan.Element) plan.Take { return plan.Inside })
		assert.Equal(t, want, said(t, text, p, func(e *plan.Element) plan.Take {
			if e.Parent.Name.Local == "r" && !p.Reads(e) {
				return plan.Aside
			}
			return plan.Inside
		}), path)
		if p.AtStartTag() {
			assert.Equal(t, want, said(t, text, p, func(e *plan.Element) plan.Take { return plan.Aside }), path)
		}
	}
	assert.Greater(t, paths, 400)
}

// said is what a path finds in the record <r>, whose content is picked.
func said(t *testing.T, text string, p *Path, pick func(*plan.Element) plan.Take) (out [][]any) {
	t.Helper()
	faults, err := plan.Pick(strings.NewReader(text), "t.xml", func(e *plan.Element) plan.Take {
		switch {
		case e.Name.Local == "r":
			return plan.Whole
		case e.Parent == nil:
			return plan.Inside
		}
		return pick(e)
	}, func(e *plan.Element) error {
		for _, f := range p.Select(e) {
			out = append(out, f.said())
		}
		return nil
	})
	require.NoError(t, err)
	require.Empty(t, faults)
	return out
}
