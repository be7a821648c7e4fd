package convert

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/schema"
)

func TestReportIsWrittenAsTheWholeWouldBe(t *testing.T) {
	list := diag.List{{Code: "A_B", Message: "<a & b>\n"}, {Code: "C_D", Severity: diag.Error, Message: "\"diagnostics\": []", Plan: "P"}}
	for _, plans := range [][]PlanReport{
		{},
		{{File: "a.xml", Outcome: "converted"}},
		{{File: "a.xml", Outcome: "held", Diagnostics: list}, {File: "b<&>.xml", Outcome: "refused", Steps: 2}, {File: "c.xml", Outcome: "stopped", Diagnostics: list[:1]}},
	} {
		r := &Report{Format: "planfold/run/1", Tool: bundle.Tool{Name: "planfold", Version: "1"}, Started: "2026-01-01T00:00:00Z", Workers: 1, Plans: plans}
		whole, err := schema.Encode(r)
		require.NoError(t, err)
		var got bytes.Buffer
		require.NoError(t, r.write(&got))
		assert.Equal(t, string(whole), got.String())
	}
	bad := &Report{Plans: []PlanReport{{File: "a.xml", Outcome: "held", Diagnostics: diag.List{{Code: "no code", Message: "m"}}}}}
	assert.Panics(t, func() { _ = bad.write(new(bytes.Buffer)) })
}
