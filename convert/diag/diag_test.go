package diag

import (
	"encoding/json"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCodesAreUniqueAndExplained(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range Codes() {
		assert.False(t, seen[c.Name], "%s stands twice", c.Name)
		seen[c.Name] = true
		assert.Regexp(t, regexp.MustCompile(`^[A-Z]+(_[A-Z0-9]+)+$`), c.Name)
		for _, text := range []string{c.Meaning, c.Done, c.Mend} {
			assert.NotEmpty(t, text, c.Name)
			assert.NotRegexp(t, regexp.MustCompile(`\.$`), text, "%s: explain adds the full stop", c.Name)
		}
		assert.True(t, !c.Holds || c.Severity >= Warning, "%s holds an edition, so it must be seen", c.Name)
	}
	require.Greater(t, len(seen), 50)
}

func TestDiagnosticReadsBackAsWritten(t *testing.T) {
	d := OrderCycle.At(Position{File: "plan.xml", Line: 3, Column: 5}, "step %q", "S-1")
	b, err := json.Marshal(d)
	require.NoError(t, err)
	var back Diagnostic
	require.NoError(t, json.Unmarshal(b, &back))
	assert.Equal(t, d, back)
	assert.Equal(t, `plan.xml:3:5: error ORDER_CYCLE: step "S-1"`, back.String())
	assert.Error(t, json.Unmarshal([]byte(`{"severity": "fatal"}`), &back))
}

func TestPositionNamesWhatItHas(t *testing.T) {
	assert.Equal(t, "a.stl@84", Position{File: "a.stl", Offset: 84, Binary: true}.String())
	assert.Equal(t, "a.stl", Position{File: "a.stl"}.String())
	assert.Equal(t, "a.obj:7:1", Position{File: "a.obj", Line: 7, Column: 1}.String())
}
