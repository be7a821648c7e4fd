package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const site = `
planfold: 1
name: our site
read:
  operations:
    steps: {title: "@called"}
rules:
  - {name: second, for: step, set: {budget: 20}}
  - {name: third, for: step, set: {registration: jig}}
`

func TestLaterFilesAreLaidOverEarlierOnes(t *testing.T) {
	base := small + "rules:\n  - {name: first, for: step, set: {budget: 1}}\n  - {name: second, for: step, set: {budget: 2, skip: x}}\n"
	s, faults := Compile([]File{{Name: "base.yaml", Data: []byte(base)}, {Name: "site.yaml", Data: []byte(site)}})
	require.Empty(t, faults)
	assert.Equal(t, "our site", s.name)
	m := s.of(t, "plan.xml", []byte(`<plan id="X"><operation id="A"><step id="S" called="Tighten"><title>No</title></step></operation></plan>`), nil)
	got := m.Operations[0].Steps[0]
	assert.Equal(t, "S", got.ID.Value, "a key that the later file does not have stays")
	assert.Equal(t, "Tighten", got.Title.First())
	assert.Equal(t, 20, got.Budget.Value)
	assert.False(t, got.Skip.Given(), "a rule of the same name is replaced whole")
	assert.Equal(t, "jig", got.Registration.Occurrence.Value)
}

func TestFaultsNameTheFileTheyAreIn(t *testing.T) {
	_, faults := Compile([]File{
		{Name: "base.yaml", Data: []byte(small + "nmae: x\n")},
		{Name: "site.yaml", Data: []byte("planfold: 1\nread: {operations: {steps: {titel: x}}}\n")},
	})
	require.Len(t, faults, 2)
	assert.Equal(t, "base.yaml:12:1", faults[0].Position.String())
	assert.Equal(t, "site.yaml:2:29", faults[1].Position.String())
}

func TestDigestFollowsContentAndOrder(t *testing.T) {
	a, b := File{Name: "a", Data: []byte(small)}, File{Name: "b", Data: []byte(site)}
	digests := map[string]bool{}
	for _, files := range [][]File{{a}, {a, b}, {a, b, b}} {
		s, faults := Compile(files)
		require.Empty(t, faults)
		assert.Regexp(t, "^[0-9a-f]{64}$", s.Digest())
		digests[s.Digest()] = true
	}
	assert.Len(t, digests, 3)
	renamed, _ := Compile([]File{{Name: "other", Data: a.Data}})
	assert.True(t, digests[renamed.Digest()], "the file's name does not count")
}
