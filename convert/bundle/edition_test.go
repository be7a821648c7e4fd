package bundle

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/step"
)

func TestEditionIDDependsOnContentAlone(t *testing.T) {
	blob := BlobPath("ab12", "bin")
	id := Sums{"steps/1/step.json": "aa", blob: "ab12"}.ID()
	assert.Equal(t, "881acb07795b", id, `printf 'ab12  ../../../blobs/ab/ab12.bin\naa  steps/1/step.json\n' | sha256sum`)
	assert.Equal(t, id, Sums{"steps/1/step.json": "aa", blob: "ab12", "bundle.json": "cc", "origin.json": "dd"}.ID(), "how it was made stands outside")
	assert.NotEqual(t, id, Sums{"steps/1/step.json": "bb", blob: "ab12"}.ID())
	assert.NotEqual(t, id, Sums{"steps/2/step.json": "aa", blob: "ab12"}.ID())
}

func TestSumsAreRelativeToTheTree(t *testing.T) {
	var got strings.Builder
	require.NoError(t, Sums{"steps/1/step.json": "aa", "../../../blobs/bb/bb.bin": "bb"}.Write(&got, "plans/P/A@1"))
	assert.Equal(t, "bb  blobs/bb/bb.bin\naa  plans/P/A@1/steps/1/step.json\n", got.String())
}

func TestCatalogMovesToNewerEditionsThatAreNotHeld(t *testing.T) {
	c := &Catalog{}
	newer := func(a, b string) bool { return a > b }
	add := func(revision, id string, held bool) bool {
		c.Add("P", Edition{Revision: revision, ID: id, Folder: EditionName(revision, id), Held: held}, newer)
		return c.Plan("P").Current == EditionName(revision, id)
	}
	assert.True(t, add("A", "1", false))
	assert.False(t, add("B", "2", true), "held")
	assert.Equal(t, "A@1", c.Plan("P").Current)
	assert.True(t, add("B", "3", false))
	assert.False(t, add("A", "4", false), "an older revision does not come back")
	assert.True(t, add("B", "5", false), "same revision, new content")
	assert.Len(t, c.Plan("P").Editions, 5)
	assert.True(t, add("B", "3", false), "an edition made again becomes current again")
	assert.Len(t, c.Plan("P").Editions, 5)
}

func TestOriginsPointAtEveryValue(t *testing.T) {
	at := func(v string, line int, rule string) step.Text {
		return step.Text{Value: v, Origin: step.Origin{Line: line, Column: 7, Rule: rule}}
	}
	s := &Step{
		ID: at("S-1", 3, "read.steps.id"), Operation: &step.Operation{ID: at("OP", 2, "read.operations.id")},
		Parts:    []Part{{Part: step.Part{Quantity: at("2", 9, "read.parts.quantity")}, Class: at("bolt", 40, "read.items.class")}},
		SignOffs: []step.SignOff{{Role: step.Text{Value: "inspector", Origin: step.Origin{Rule: "torque is signed"}}}},
		Title:    step.Texts{{Lang: "en", Text: at("Fit", 4, "read.steps.title")}},
	}
	w := NewOrigins("plan.xml")
	w.Add("S-1", s)
	w.Add("S-0", &Step{Operation: &step.Operation{}})
	var text bytes.Buffer
	problems, err := w.Write(&text)
	require.NoError(t, err)
	assert.Empty(t, problems)
	o, err := ReadOrigins(&text, map[string]bool{"S-1": true})
	require.NoError(t, err)
	where := func(pointer string) string { return o.Rules[o.Steps["S-1"][pointer].Rule] }
	assert.Len(t, o.Steps["S-1"], 6)
	assert.Equal(t, 9, o.Steps["S-1"]["/parts/0/quantity"].Line)
	assert.Equal(t, "read.parts.quantity", where("/parts/0/quantity"))
	assert.Equal(t, "read.items.class", where("/parts/0/class"))
	assert.Equal(t, "read.operations.id", where("/operation/id"))
	assert.Equal(t, "read.steps.title", where("/title/0/text"))
	assert.Equal(t, 0, o.Steps["S-1"]["/signOffs/0/role"].Line, "no place in the plan")
	assert.IsIncreasing(t, o.Rules)
}
