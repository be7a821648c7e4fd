package convert_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"planfold/convert/step"
)

// told is what a run says of occurrences that no step consumes, or two.
func told(t *testing.T, change func(p *step.Plan, operations []*step.Operation)) (messages []string, dir string) {
	t.Helper()
	return toldFor(t, "", change)
}

// toldFor is told where a serial number or date is asked for.
func toldFor(t *testing.T, effective string, change func(p *step.Plan, operations []*step.Operation)) (messages []string, dir string) {
	t.Helper()
	tr := trial{dir: t.TempDir(), effective: effective, plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := gantry(id)
		change(plan, operations)
		return plan, operations
	}}
	for _, d := range tr.run(t, t.Context()).Plans[0].Diagnostics {
		if d.Code == "ORDER_CONSUMED_TWICE" || d.Code == "OCCURRENCE_UNCONSUMED" {
			messages = append(messages, d.Message)
		}
	}
	return messages, tr.dir
}

func TestOccurrencesThatNoStepConsumesAreTold(t *testing.T) {
	for name, c := range map[string]struct {
		change func(p *step.Plan, operations []*step.Operation)
		want   []string
	}{
		"none": {func(*step.Plan, []*step.Operation) {}, nil}, // a stop goes in where its carriage stands
		"of the product": {func(_ *step.Plan, o []*step.Operation) {
			o[1].Steps[0].Parts = nil
			o[5].Steps = o[5].Steps[:3]
		}, []string{`no step consumes occurrences "left", "cap" of "GANTRY"`}},
		"of what is built apart": {func(_ *step.Plan, o []*step.Operation) { o[3].Steps = o[3].Steps[:1] }, []string{`no step consumes occurrence "fan" of "HEAD"`}},
		"but for what is hidden": {func(p *step.Plan, o []*step.Operation) {
			o[3].Steps = o[3].Steps[:1]
			p.Structure["HEAD"][1].Hide = text("bench")
		}, nil},
		"but for what is of a hidden item": {func(p *step.Plan, o []*step.Operation) {
			o[3].Steps = o[3].Steps[:1]
			p.Items["FAN"].Hide = text("bench")
		}, nil},
		"of the name of what goes into a carriage": {func(p *step.Plan, _ []*step.Operation) {
			p.Structure["GANTRY"] = append(p.Structure["GANTRY"], &step.Occurrence{ID: text("stop"), Item: text("STOP")})
		}, []string{`no step consumes occurrence "stop" of "GANTRY"`}},
		"of what is deep and hidden at its ends": {func(p *step.Plan, _ []*step.Operation) {
			for i := range 40 {
				for k := range 10 {
					o := &step.Occurrence{ID: text(fmt.Sprint(k)), Item: text(fmt.Sprint("L-", i+1))}
					if i == 39 {
						o.Hide = text("bench")
					}
					item := fmt.Sprint("L-", i)
					p.Structure[item] = append(p.Structure[item], o)
				}
			}
			p.Structure["HEAD"] = append(p.Structure["HEAD"], &step.Occurrence{ID: text("deep"), Item: text("L-1")})
		}, nil},
		"but for what is left out": {func(_ *step.Plan, o []*step.Operation) { o[3].Steps[1].Skip = text("done before") }, nil},
		"but for one whose parts are": {func(_ *step.Plan, o []*step.Operation) {
			o[5].Steps[1].Parts[0].Occurrences = []step.Text{text("far/frame"), text("far/head"), text("far/stop")}
		}, nil},
		"and where a part of it is not": {func(_ *step.Plan, o []*step.Operation) {
			o[5].Steps[1].Parts[0].Occurrences = []step.Text{text("far/head"), text("far/stop")}
		}, []string{`no step consumes occurrence "far" of "GANTRY"`}},
	} {
		t.Run(name, func(t *testing.T) {
			got, _ := told(t, c.change)
			assert.Equal(t, c.want, got)
		})
	}
}

func TestOccurrencesThatTwoStepsConsumeAreTold(t *testing.T) {
	base := []step.Part{{Item: text("BASE"), Quantity: text("1"), Occurrences: []step.Text{text("base"), text("left")}}}
	again := func(_ *step.Plan, o []*step.Operation) { o[2].Steps[0].Parts = append(o[2].Steps[0].Parts, base...) }
	got, dir := told(t, again)
	assert.Equal(t, []string{
		`step "right" of operation "RIGHT" consumes occurrence "base", which step "base" of operation "BASE" (3:5) consumes too`,
		`step "right" of operation "RIGHT" consumes occurrence "left", which step "left" of operation "LEFT" (3:5) consumes too`,
	}, got)
	assert.Equal(t, 2, strings.Count(content(t, dir, "/steps/right/step.json"), "ORDER_CONSUMED_TWICE"))
	assert.NotContains(t, content(t, dir, "/steps/base/step.json"), "ORDER_CONSUMED_TWICE")

	got, _ = told(t, func(_ *step.Plan, o []*step.Operation) {
		o[0].Steps[0].Parts = append(o[0].Steps[0].Parts, o[0].Steps[0].Parts...)
	})
	assert.Equal(t, []string{`step "base" of operation "BASE" consumes occurrence "base" twice`}, got)
	got, _ = told(t, func(_ *step.Plan, o []*step.Operation) {
		o[5].Steps[3].Parts, o[2].ID, o[2].Builds, o[2].Steps = nil, text("HEAD 2"), text("HEAD"), o[3].Steps
		o[5].Steps[0].Parts[0].Occurrences = []step.Text{text("near"), text("right"), text("cap")}
	})
	assert.Empty(t, got, "a second one is built")

	limited := []step.Effectivity{{From: text("1"), To: text("50")}}
	for name, change := range map[string]func(o *step.Operation){
		"another alternative operation": func(o *step.Operation) { o.Alternative = text("A") },
		"another alternative step":      func(o *step.Operation) { o.Steps[0].Alternative = text("A") },
		"a part line that may be":       func(o *step.Operation) { o.Steps[0].Parts[1].Alternative = text("A") },
		"a part line for some products": func(o *step.Operation) { o.Steps[0].Parts[1].Effectivity = limited },
		"a step for some products":      func(o *step.Operation) { o.Steps[0].Effectivity = limited },
		"an operation for some":         func(o *step.Operation) { o.Effectivity = limited },
		"a step that is left out":       func(o *step.Operation) { o.Steps[0].Skip = text("done before") },
		"its operation, for the step":   func(o *step.Operation) { o.Common.Parts, o.Steps[0].Parts = base, base[:1:1] },
	} {
		got, _ := told(t, func(p *step.Plan, o []*step.Operation) {
			again(p, o)
			o[0].Steps[0].Parts[0].Occurrences, o[1].Steps[0].Parts = nil, nil
			o[0].Steps[0].Parts = slices.Clone(base)
			change(o[2])
		})
		if name == "its operation, for the step" { // it is told with others
			got = slices.DeleteFunc(got, func(m string) bool { return !strings.Contains(m, `which operation "RIGHT"`) })
		}
		assert.Empty(t, got, name)
	}
	both, _ := toldFor(t, "7", func(p *step.Plan, o []*step.Operation) {
		again(p, o)
		o[2].Steps[0].Effectivity, o[0].Effectivity = limited, limited
	})
	assert.Len(t, both, 2, "what is left holds for the serial number that is asked for")
}
