package sarif

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/testdata/open"
)

var everyKind = diag.List{
	diag.RuleKeyUnknown.At(diag.Position{File: "rules/ours.yaml", Line: 4, Column: 1}, "%q is not known", "colour").
		Seeing(diag.Related{Position: diag.Position{File: "plan.xml", Line: 7, Column: 2}, Message: "step \"S-1\" stands here"}, diag.Related{Message: "nowhere"}),
	diag.GltfIndex.At(diag.Position{File: "a b.glb", Offset: 0, Binary: true}, "index"),
	diag.MapFileRepeated.At(diag.Position{File: "/plans/ü.xml", Line: 3, Column: 9}, "twice"),
	diag.MapPlanMissing.At(diag.Position{File: "c:1.xml"}, "no plan"),
	diag.RunPanic.At(diag.Position{}, "internal"),
	diag.GltfIndex.At(diag.Position{File: "b.glb", Offset: 12, Binary: true}, "index"),
}

// The schema is that of the OASIS standard (github.com/oasis-tcs/sarif-spec,
// sarif-2.1/schema/sarif-schema-2.1.0.json).
func TestLogIsValid(t *testing.T) {
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	s, err := c.Compile(open.Path(t, "sarif-schema/sarif-schema-2.1.0.json"))
	require.NoError(t, err)
	for _, list := range []diag.List{everyKind, nil} {
		out, err := Encode("planfold", "0.1.0", list)
		require.NoError(t, err)
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(string(out)))
		require.NoError(t, err)
		assert.NoError(t, s.Validate(doc))
	}
}

func TestResultsPointIntoTheTableOfRules(t *testing.T) {
	out, err := Encode("planfold", "0.1.0", everyKind)
	require.NoError(t, err)
	var doc log
	require.NoError(t, json.Unmarshal(out, &doc))
	r := doc.Runs[0]
	assert.Equal(t, "unicodeCodePoints", r.ColumnKind)
	require.Len(t, r.Tool.Driver.Rules, 5, "each code once")
	require.Len(t, r.Results, len(everyKind))
	var uris []string
	for i, res := range r.Results {
		assert.Equal(t, everyKind[i].Code, res.RuleID)
		assert.Equal(t, res.RuleID, r.Tool.Driver.Rules[res.RuleIndex].ID)
		assert.Equal(t, res.Level, r.Tool.Driver.Rules[res.RuleIndex].Default.Level)
		if len(res.Locations) > 0 {
			uris = append(uris, res.Locations[0].Physical.Artifact.URI)
		}
	}
	assert.Equal(t, []string{"rules/ours.yaml", "a%20b.glb", "file:///plans/%C3%BC.xml", "./c:1.xml", "b.glb"}, uris)
	assert.Equal(t, int64(0), *r.Results[1].Locations[0].Physical.Region.Offset, "an offset of 0 is a place")
	assert.Equal(t, "note", r.Results[2].Level)
	assert.Nil(t, r.Results[3].Locations[0].Physical.Region, "the whole file")
	require.Len(t, r.Results[0].Related, 2)
	assert.Equal(t, 7, r.Results[0].Related[0].Physical.Region.Line)
}

func TestEmptyListGivesARunThatFoundNothing(t *testing.T) {
	out, err := Encode("planfold", "0.1.0", nil)
	require.NoError(t, err)
	assert.Contains(t, string(out), `"results": []`)
	assert.NotContains(t, string(out), os.TempDir())
}
