package rules

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asked is the effectivity asked for, by code.
var asked = map[string]string{"MAP_NOT_EFFECTIVE": "SN5", "MAP_EFFECTIVITY_UNASKED": "SN5"}

// Each plan under testdata/mapping stands beside the report it gets: the
// diagnostics, then the model. Plans without rules of their own are in the neutral
// dialect.
func TestMappingFaults(t *testing.T) {
	files, err := filepath.Glob("testdata/mapping/*.xml")
	require.NoError(t, err)
	raised := map[string]bool{}
	for _, f := range files {
		stem := strings.TrimSuffix(f, ".xml")
		t.Run(filepath.Base(stem), func(t *testing.T) {
			rules := []string{neutralRules, reducerRules}
			if _, err := os.Stat(stem + ".yaml"); err == nil {
				rules = []string{stem + ".yaml"}
			}
			code, _, _ := strings.Cut(filepath.Base(stem), "-")
			m := compiled(t, rules...).For(asked[code]).of(t, "plan.xml", readFile(t, f), nil)
			golden(t, stem+".report.txt", []byte(report(t, m)))
			found := false
			for _, d := range m.Faults {
				found = found || d.Code == code
			}
			assert.True(t, found, "%s is not raised", code)
			raised[code] = true
		})
	}
	allRaised(t, "MAP_", raised)
}

func report(t *testing.T, m mapped) string {
	var b strings.Builder
	for _, d := range m.Faults {
		fmt.Fprintf(&b, "%s [plan %q step %q holds %t]\n", d, d.Plan, d.Step, d.Holds)
	}
	for _, o := range m.Operations {
		for _, s := range o.Steps {
			for _, d := range s.Diagnostics {
				fmt.Fprintf(&b, "step %s: %s\n", s.ID.Value, d.Code)
				assert.Equal(t, s.ID.Value, d.Step)
			}
		}
	}
	m.Faults = nil
	b.Write(shownModel(t, m, func(s string) string { return s }))
	return b.String()
}
