package main

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/cmd/planfold/demo"
	"planfold/convert"
	"planfold/convert/compare"
	"planfold/rules"
)

// catalogue is the demo's plans and rules, in memory.
func catalogue(t testing.TB, n int) (plans []convert.Source, ruleText string) {
	t.Helper()
	require.NoError(t, demo.Write(n, func(name string, data []byte) error {
		switch {
		case name == "rules.yaml":
			ruleText = string(data)
		case strings.HasPrefix(name, "plans/"):
			plans = append(plans, convert.Source{Name: name, Base: name, Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }})
		}
		return nil
	}))
	require.Len(t, plans, n)
	return plans, ruleText
}

func compiledRules(t testing.TB, text string) *rules.Set {
	t.Helper()
	set, list := rules.Compile([]rules.File{{Name: "rules.yaml", Data: []byte(text)}})
	require.Empty(t, list)
	return set
}

// BenchmarkTry is to be read against mapping once: twice that is the least that two
// mappings take, and comparing comes on top.
func BenchmarkTry(b *testing.B) {
	plans, text := catalogue(b, 8)
	changed := strings.Replace(text, "signOff: {role: inspector}", "signOff: {role: engineer}", 1)
	require.NotEqual(b, text, changed)
	old := compiledRules(b, text)
	b.Run("mapping", func(b *testing.B) {
		for b.Loop() {
			for _, p := range plans {
				convert.MapWhole(old, p)
			}
		}
	})
	for name, set := range map[string]*rules.Set{"same": compiledRules(b, text), "changed": compiledRules(b, changed)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				require.NoError(b, tryPlans(context.Background(), 1, old, set, plans, func(r *compare.Result) error { return nil }))
			}
		})
	}
}
