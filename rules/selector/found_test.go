package selector

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func one(t *testing.T, expr, name string) Found {
	t.Helper()
	p, err := Compile(expr, ns)
	require.NoError(t, err)
	found := p.Select(record(t, document, name))
	require.Len(t, found, 1, expr)
	return found[0]
}

// said is what a node says, where, and in what language.
func (f Found) said() []any { return []any{f.Value(), f.Line, f.Column, f.Lang()} }

// Lines and columns are those of the document as it stands in this package.
func TestFoundTellsWhereAndInWhatLanguage(t *testing.T) {
	f := one(t, "p:title[2]", "operation")
	require.NotNil(t, f.Element)
	assert.Equal(t, "title", f.Element.Name.Local)
	assert.Equal(t, []any{"Gehäuse montieren", 5, 4, "de"}, f.said())
	assert.Equal(t, []any{"Gehäuse montieren", 5, 25, "de"}, one(t, "p:title[2]/text()", "operation").said())
	assert.Equal(t, []any{"OP-10", 3, 14, "en"}, one(t, "@id", "operation").said())
	assert.Equal(t, []any{"all", 2, 14, "en"}, one(t, "../@kind", "operation").said())
	assert.Equal(t, []any{"2", 3, 3, "en"}, one(t, "count(p:step)", "operation").said())
	assert.Equal(t, []any{"10", 6, 106, "en"}, one(t, "p:part[2]/@quantity", "step").said())
}

func TestSelectFromAnElementInsideSeesNothingBeside(t *testing.T) {
	op := record(t, document, "operation")
	step := op.Content[5].Element
	require.Equal(t, "step", step.Name.Local)
	for expr, want := range map[string][]string{"@id": {"S-1"}, "../@id": {"OP-10"}, "p:part/@item": {"A", "B"}, "ancestor::*/@id": {"GR-200", "OP-10"}} {
		p, err := Compile(expr, ns)
		require.NoError(t, err)
		assert.Equal(t, want, values(p.Select(step)), expr)
	}
}

func TestBool(t *testing.T) {
	op := record(t, document, "operation")
	for expr, want := range map[string]bool{
		"p:step": true, "p:nothing": false, "@id": true, "@no": false, "''": false, "'false'": true, "0": false, "0 div 0": false, "-1": true,
		"not(@draft)": true, "@id = 'OP-10' and p:step": true, "string(p:nothing)": false, "(p:nothing | p:step)": true, "boolean(..)": true,
	} {
		p, err := Compile(expr, ns)
		require.NoError(t, err)
		assert.Equal(t, want, p.Bool(op), expr)
	}
}

// A compiled path has no state: run with -race.
func TestPathsAreShared(t *testing.T) {
	op := record(t, document, "operation")
	p, err := Compile("p:step[p:part/@quantity > 1]/p:part[last()]/@item | @id", ns)
	require.NoError(t, err)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for range 100 {
				assert.Equal(t, []string{"OP-10", "B"}, values(p.Select(op)))
			}
		})
	}
	all.Wait()
}

func FuzzCompile(f *testing.F) {
	for _, s := range []string{
		"@id", "p:a[1]/@b | .//c", "//op]", "a b c", "concat('ä', 1.5, -x)", "p:*[@a = 'b' or not(c)]", "ancestor::*[2]/@n", "((((1))))", "/p:plan//p:item[@x]",
		"self::node()[position() < last()]/..", "substring(., 2, 3) div 0", "a[b[c[d]]]", "'", "\"a", "1 mod 2 * 3", "lang('en')", "$x", "a::b", "sum(//@q)",
	} {
		f.Add(s)
	}
	e := record(f, document, "operation")
	f.Fuzz(func(t *testing.T, s string) {
		check := func(err error) {
			if err == nil {
				return
			}
			e, ok := err.(*Error)
			if !ok || e.Column < 1 || e.Column > len([]rune(s))+1 || e.Message == "" {
				t.Fatalf("%q: %#v", s, err)
			}
		}
		p, err := Compile(s, ns)
		if check(err); err == nil {
			truth, found := p.Bool(e), p.Select(e)
			if p.root.shape == aSet && truth != (len(found) > 0) {
				t.Fatalf("%q is %v with %d nodes", s, truth, len(found))
			}
			for i := 1; i < len(found); i++ {
				a, b := found[i-1], found[i]
				if a.Line > b.Line || a.Line == b.Line && a.Column >= b.Column {
					t.Fatalf("%q: %d:%d before %d:%d", s, a.Line, a.Column, b.Line, b.Column)
				}
			}
		}
		m, err := CompileMatch(s, ns)
		if check(err); err == nil {
			m.Matches(e)
		}
	})
}

func BenchmarkSelect(b *testing.B) {
	op := record(b, document, "operation")
	for _, expr := range []string{"@id", ".", "p:title", "p:step/p:part/@item", "../@kind", "p:step[@n = 2]/@id", "p:step[p:part/@item = 'B'][1]/@id", ".//p:part/@quantity", "concat(@id, '/', @number)"} {
		p, err := Compile(expr, ns)
		require.NoError(b, err)
		b.Run(expr, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				p.Select(op)
			}
		})
	}
}

func BenchmarkMatches(b *testing.B) {
	op := record(b, document, "operation")
	m, err := CompileMatch("/p:plan/p:items/p:item | //p:operation[not(@draft)] | /p:plan", ns)
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		m.Matches(op)
	}
}
