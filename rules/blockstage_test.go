package rules

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// What is true of the block-stage plan, read off the file by hand.

func TestBlockStageHasThreeOperationsAndNoIDsOfSteps(t *testing.T) {
	m, stem := blockStage(t)
	assert.Equal(t, stem, m.Plan.ID.Value, "the id is the file's name")
	assert.False(t, m.Plan.Revision.Given())
	require.Len(t, m.Operations, 3)
	counts := []int{}
	for i, o := range m.Operations {
		counts = append(counts, len(o.Steps))
		assert.Equal(t, i, o.Sequence)
		for j, s := range o.Steps {
			assert.Equal(t, "order", s.IDFrom)
			assert.Equal(t, fmt.Sprintf("%s.%d", o.ID.Value, j+1), s.ID.Value)
		}
	}
	assert.Equal(t, []int{11, 11, 15}, counts)
	assert.Equal(t, m.Operations[0].ID.Value, m.Plan.Product.Value, "the product stands first")
	assert.Equal(t, m.Operations[0].Title.First(), m.Plan.Title.First())
}

func TestBlockStageOperationsAreDoneAsOftenAsTheyAreUsed(t *testing.T) {
	m, _ := blockStage(t)
	assert.False(t, m.Operations[0].Quantity.Given(), "nothing uses the product")
	assert.Equal(t, "1", m.Operations[1].Quantity.Value)
	assert.Equal(t, "3", m.Operations[2].Quantity.Value)
	assert.Equal(t, 532, m.Operations[2].Quantity.Origin.Line)
}

func TestBlockStagePartsHangOnTheOperation(t *testing.T) {
	m, _ := blockStage(t)
	var rows []step.Part
	for _, o := range m.Operations {
		rows = append(rows, o.Common.Parts...)
		for _, s := range o.Steps {
			assert.Empty(t, s.Parts)
		}
	}
	require.Len(t, rows, 22, "21 implementations, and one function without any")
	byLine := map[int]step.Part{}
	operations, items, none := 0, 0, 0
	for _, p := range rows {
		byLine[p.Origin.Line] = p
		assert.Equal(t, "operation", p.PartsOf)
		assert.NotEmpty(t, p.Purpose.First())
		assert.True(t, p.Quantity.Given())
		switch {
		case p.Operation.Given():
			operations++
		case p.Item.Given():
			items++
		default:
			none++
		}
	}
	assert.Equal(t, []int{2, 19, 1}, []int{operations, items, none})
	assert.False(t, byLine[676].Item.Given(), "a function that nothing fulfils is a row without item")
	assert.Equal(t, "1", byLine[676].Quantity.Value)
	for _, line := range []int{551, 552, 553, 554, 560, 561, 857, 858} {
		assert.True(t, byLine[line].Item.Given(), "line %d", line)
		assert.Len(t, byLine[line].Notes, 1, "line %d shares its quantity", line)
	}
	for _, line := range []int{827, 833, 839} {
		assert.True(t, byLine[line].Item.Given(), "line %d: the id stands three times, no row is lost", line)
	}
	assert.Equal(t, m.Operations[2].ID.Value, byLine[533].Operation.Value)
	assert.Equal(t, "3", byLine[533].Quantity.Value)
	// Carried as they are, though they plainly name another function's item.
	for line, item := range map[int]string{539: "367417014", 674: "367417014", 851: "367417014"} {
		assert.Equal(t, item, byLine[line].Item.Value)
	}
}

func TestBlockStageQuantitiesAreWhole(t *testing.T) {
	m, _ := blockStage(t)
	functions := map[int]step.Part{}
	for _, o := range m.Operations {
		for _, p := range o.Common.Parts {
			functions[p.Quantity.Origin.Line] = p
			assert.Regexp(t, `^[0-9]+$`, p.Quantity.Value)
		}
	}
	assert.Len(t, functions, 17)
	feet := functions[538]
	assert.Equal(t, "4", feet.Quantity.Value)
	assert.Equal(t, "in total", feet.Notes[0].First())
}

func TestBlockStageItems(t *testing.T) {
	m, _ := blockStage(t)
	require.Len(t, m.Plan.Items, 20)
	used := map[string]bool{}
	for _, o := range m.Operations {
		for _, p := range o.Common.Parts {
			used[p.Item.Value] = true
		}
	}
	unused, totals, notes := 0, map[int]string{}, 0
	for id, i := range m.Plan.Items {
		if !used[id] {
			unused++
		}
		if i.Total.Given() {
			totals[i.Total.Origin.Line] = i.Total.Value
		}
		notes += len(i.Notes)
	}
	assert.Equal(t, 5, unused)
	assert.Equal(t, map[int]string{11: "3", 27: "3", 43: "3", 54: "2", 113: "3", 200: "3", 264: "3", 320: "2"}, totals)
	assert.Equal(t, 22, notes, "steps of items follow them as notes")
}

func TestBlockStageFiles(t *testing.T) {
	m, _ := blockStage(t)
	geometry, ofItems, ofSteps, models, repeated := 0, 0, 0, []int{}, 0
	for _, i := range m.Plan.Items {
		geometry += len(i.Geometry)
		ofItems += len(i.Attachments)
		for _, g := range i.Geometry {
			assert.True(t, strings.HasSuffix(g.File.Value, ".stl"))
			assert.Equal(t, "all", g.Use.Value)
		}
	}
	for _, o := range m.Operations {
		ofSteps += len(o.Common.Attachments)
		for _, s := range o.Steps {
			ofSteps += len(s.Attachments)
			for _, a := range s.Attachments {
				if strings.HasSuffix(a.File.Value, ".stl") {
					models = append(models, a.File.Origin.Line)
				}
			}
		}
	}
	for _, d := range m.Faults {
		if d.Code == diag.MapFileRepeated.Name {
			repeated++
		}
	}
	assert.Equal(t, 9, repeated, "nine steps name a picture twice")
	assert.Equal(t, 141, geometry+ofItems+ofSteps, "a repeated one is kept, and shown once")
	assert.Equal(t, []int{396, 397, 398}, models, "models in a step are shown, not built")
}

func TestBlockStageHazard(t *testing.T) {
	m, _ := blockStage(t)
	var all []step.Hazard
	for _, o := range m.Operations {
		for _, s := range o.Steps {
			all = append(all, s.Hazards...)
			if len(s.Hazards) > 0 {
				assert.True(t, strings.HasPrefix(s.Text.First(), "WARNING!"), "the text stays whole")
			}
		}
	}
	require.Len(t, all, 1)
	assert.Equal(t, 591, all[0].Origin.Line)
	assert.Equal(t, "WARNING", all[0].SignalWord.First())
	assert.True(t, strings.HasPrefix(all[0].Hazard.First(), "The camera board"))
}

func TestBlockStageIsCarriedWithoutLoss(t *testing.T) {
	m, _ := blockStage(t)
	assert.NotEmpty(t, m.Faults)
	for _, d := range m.Faults {
		assert.Equal(t, diag.Info, d.Severity, "%v", d)
	}
}

// Breaks between lines that the plan's author typed are still there.
func TestBlockStageTextKeepsItsLines(t *testing.T) {
	m, _ := blockStage(t)
	text := m.Operations[0].Steps[1].Text.First()
	assert.Contains(t, text, "\n\n")
	assert.Equal(t, 24, strings.Count(text, "\n* "))
}
