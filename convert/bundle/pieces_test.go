package bundle

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/schema"
)

func manifest(steps int) *Manifest {
	m := &Manifest{
		Format: "planfold/bundle/1", Plan: "GR", Revision: "A", Edition: "0123456789ab", Cause: "first edition",
		Title: step.Texts{{Text: step.Text{Value: "\n  \"steps\": []<&>"}}}, Rules: fmt.Sprintf("%064d", 0), Tool: Tool{"planfold", "1"},
		Profile: ProfileUsed{"headset", fmt.Sprintf("%064d", 1)}, Inputs: []Input{}, Steps: []StepEntry{},
		Diagnostics: diag.List{{Code: "A_B", Message: "\"steps\": {}"}},
	}
	for i := range steps {
		m.Steps = append(m.Steps, StepEntry{Folder: fmt.Sprintf("S-%d", i), ID: "a<b>\u2028\"\n", Operation: "O", Sequence: i + 1, Title: "ä", Bytes: int64(i)})
	}
	return m
}

func TestPiecesWriteWhatTheWholeIs(t *testing.T) {
	for _, n := range []int{0, 1, 2, 50} {
		whole, err := schema.Encode(manifest(n))
		require.NoError(t, err)
		var got bytes.Buffer
		problems, err := manifest(n).Write(&got)
		require.NoError(t, err)
		assert.Empty(t, problems)
		assert.Equal(t, string(whole), got.String())
	}
}

func TestPiecesFindWhatIsWrongInTheWhole(t *testing.T) {
	for name, change := range map[string]func(*Manifest){
		"in a late step": func(m *Manifest) { m.Steps[37].Folder = "not / a name" },
		"in two":         func(m *Manifest) { m.Steps[3].Sequence, m.Steps[49].ID = 0, "" },
		"beside":         func(m *Manifest) { m.Cause = "" },
		"in diagnostics": func(m *Manifest) { m.Diagnostics[0].Code = "no code" },
	} {
		m := manifest(50)
		change(m)
		whole, err := schema.Encode(m)
		require.NoError(t, err)
		want := CheckDocument("bundle", "bundle.json", whole)
		require.NotEmpty(t, want, name)
		written, err := m.Write(io.Discard)
		require.NoError(t, err)
		assert.ElementsMatch(t, want, written, name)
		_, got, err := checkPieces("bundle", "bundle.json", bytes.NewReader(whole), 300, nil) // some two steps at once
		require.NoError(t, err)
		assert.ElementsMatch(t, want, got, name)
	}
}

// packed is what encoding/json makes of a value's origin.
type packed string

func TestOriginsAreWrittenAsTheWholeWouldBe(t *testing.T) {
	text := func(v string, line int, rule string) step.Text {
		return step.Text{Value: v, Origin: step.Origin{Line: line, Column: 7, Rule: rule}}
	}
	w, want := NewOrigins("plan <1>.xml"), map[string]map[string]packed{}
	for i := range 30 {
		folder := fmt.Sprintf("S-%d", (i*7)%30)
		w.Add(folder, &Step{ID: text("S", i, "read.id"), Operation: &step.Operation{ID: text("O", 2, "a rule & more")}, Title: step.Texts{{Text: text("T", 0, "z")}}})
		want[folder] = map[string]packed{"/id": packed(fmt.Sprintf("%d:7:1", i)), "/operation/id": "2:7:0", "/title/0/text": "0:7:2"}
	}
	w.Add("S-none", &Step{Operation: &step.Operation{}})
	want["S-none"] = map[string]packed{}
	whole, err := schema.Encode(struct {
		Format string                       `json:"format"`
		File   string                       `json:"file"`
		Rules  []string                     `json:"rules"`
		Steps  map[string]map[string]packed `json:"steps"`
	}{"planfold/origin/1", "plan <1>.xml", []string{"a rule & more", "read.id", "z"}, want})
	require.NoError(t, err)
	var got bytes.Buffer
	problems, err := w.Write(&got)
	require.NoError(t, err)
	assert.Empty(t, problems)
	assert.Equal(t, string(whole), got.String())
	checkDamaged(t, "origin", whole)
}

func TestDamagedManifestsAreReadInPieces(t *testing.T) {
	whole, err := schema.Encode(manifest(20))
	require.NoError(t, err)
	checkDamaged(t, "bundle", whole)
}

// checkDamaged damages a document at random: in pieces the same is wrong with it as
// in the whole, unless it cannot be read in pieces.
func checkDamaged(t *testing.T, name string, whole []byte) {
	t.Helper()
	r := rand.New(rand.NewPCG(1, 1))
	faulty := 0
	for range 300 {
		doc := slices.Clone(whole)
		for range 1 + r.IntN(3) {
			doc[r.IntN(len(doc))] = "ab1{}[]:\",-"[r.IntN(11)]
		}
		_, got, err := checkPieces(name, "x.json", bytes.NewReader(doc), 200, nil)
		if err != nil {
			continue
		}
		want := CheckDocument(name, "x.json", doc)
		if len(want) > 0 {
			faulty++
		}
		assert.ElementsMatch(t, want, got, "%s", doc)
	}
	assert.Greater(t, faulty, 20)
}
