package rules

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Each rule file under testdata/bad stands beside the report it gets.
func TestBadRules(t *testing.T) {
	files, err := filepath.Glob("testdata/bad/*.yaml")
	require.NoError(t, err)
	raised := map[string]bool{}
	for _, f := range files {
		name := strings.TrimSuffix(filepath.Base(f), ".yaml")
		t.Run(name, func(t *testing.T) {
			s, faults := Compile([]File{{Name: filepath.Base(f), Data: readFile(t, f), Beside: os.DirFS("testdata/bad")}})
			assert.Nil(t, s)
			code, _, _ := strings.Cut(name, "-")
			var report strings.Builder
			found := false
			for _, d := range faults {
				found = found || d.Code == code
				assert.NotZero(t, d.Position.Line, "%s", d)
				report.WriteString(d.String() + "\n")
			}
			assert.True(t, found, "%s is not raised", code)
			raised[code] = true
			golden(t, strings.TrimSuffix(f, ".yaml")+".report.txt", []byte(report.String()))
		})
	}
	allRaised(t, "RULE_", raised)
}
