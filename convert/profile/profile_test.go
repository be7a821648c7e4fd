package profile

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestBuiltInProfiles(t *testing.T) {
	h, ok := Named("handheld")
	require.True(t, ok)
	require.Equal(t, Profile{"handheld", 150_000, 400_000, 2048, 50 << 20, true}, h)
	s, ok := Named("headset")
	require.True(t, ok)
	require.Equal(t, Profile{"headset", 60_000, 150_000, 1024, 20 << 20, true}, s)
	_, ok = Named("wall")
	require.False(t, ok)
	_, ok = Named("../profile")
	require.False(t, ok)
}

func TestParseNamesFaultAndPlace(t *testing.T) {
	const good = `"name": "x", "stepTriangles": 1000, "wholeTriangles": 2000, "pictureEdge": 512, "compression": false`
	for _, c := range []struct{ in, want string }{
		{`{` + good + `, "attachmentBytes": 100}`, ""},
		{"", "p.json:1:1: error PROFILE_MALFORMED: a profile is one JSON object"},
		{"[]", "p.json:1:2: error PROFILE_MALFORMED: a profile is one JSON object"},
		{`{` + good, "p.json:1:102: error PROFILE_MALFORMED: the file ends within the object"},
		{`{` + good + `, "attachmentBytes": 100} x`, "p.json:1:128: error PROFILE_MALFORMED: something follows the object"},
		{`{` + good + `}`, `p.json: error PROFILE_KEY_MISSING: member "attachmentBytes" is missing`},
		{"{" + good + ",\n  \"attachmentBytes\": 0}", `p.json:2:3: error PROFILE_VALUE_WRONG: "attachmentBytes" must be a whole number from 1 to 1099511627776`},
		{"{" + good + ",\n  \"attachmentBytes\": 2.5}", `p.json:2:3: error PROFILE_VALUE_WRONG: "attachmentBytes" must be a whole number from 1 to 1099511627776`},
		{"{" + good + ",\n  \"attachmentBytes\": 9, \"extra\": {}}", `p.json:2:25: error PROFILE_KEY_UNKNOWN: a profile has no member "extra"`},
		{"{" + good + ",\n  \"attachmentBytes\": 9, \"name\": \"y\"}", `p.json:2:25: error PROFILE_KEY_TWICE: member "name" is given twice`},
		{
			`{"name": "x", "stepTriangles": 1000, "wholeTriangles": 2000, "pictureEdge": 512, "attachmentBytes": 9, "compression": 1}`,
			`p.json:1:104: error PROFILE_VALUE_WRONG: "compression" must be true or false`,
		},
		{
			`{"name": 4, "stepTriangles": 1000, "wholeTriangles": 2000, "pictureEdge": 512, "attachmentBytes": 9, "compression": true}`,
			`p.json:1:2: error PROFILE_VALUE_WRONG: "name" must be a text of 1 to 80 bytes`,
		},
	} {
		p, list := Parse("p.json", []byte(c.in))
		if c.want == "" {
			require.Empty(t, list)
			require.Equal(t, Profile{"x", 1000, 2000, 512, 100, false}, p)
			continue
		}
		require.NotEmpty(t, list, "%s", c.in)
		require.Equal(t, c.want, list[0].String(), "%s", c.in)
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(`{"name": "x", "stepTriangles": 1000, "wholeTriangles": 2000, "pictureEdge": 512, "attachmentBytes": 9, "compression": true}`))
	f.Add([]byte(`{"name": "x", "name": [1, {"a": null}]}`))
	f.Add([]byte("{\"a\" \xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		p, list := Parse("p.json", b)
		if len(list) > 0 {
			return
		}
		again, err := json.Marshal(p)
		require.NoError(t, err)
		q, list := Parse("q.json", again)
		require.Empty(t, list)
		require.Equal(t, p, q)
	})
}
