package scene

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/step"
)

// The order in which bolts are tightened is written beyond their heads.
func TestTighteningOrderIsInThePicture(t *testing.T) {
	build := func(tightening ...step.Tightening) *Scene {
		p, lib := press()
		in := seeing(input(p, lib, &step.Step{
			Content:    step.Content{Parts: []step.Part{{Item: text("bolt"), Occurrences: texts("bolt-1", "bolt-2")}}},
			Motions:    []step.Motion{{Direction: [3]float64{0, 0, -1}, Distance: 0.1}},
			Tightening: tightening,
		}))
		in.Present = []string{"plate-1"}
		return Build(in)
	}
	bare := build()
	require.Empty(t, bare.Picture().Labels)
	s := build(step.Tightening{Order: text("1"), Occurrence: text("bolt-2")}, step.Tightening{Order: text("2"), Occurrence: text("bolt-1")},
		step.Tightening{Order: text("3"), Occurrence: text("bolt-2")}, step.Tightening{Order: text("4"), Occurrence: text("plate-1")})
	assert.NotEqual(t, bare.Aim, s.Aim, "the picture is not taken for that of another order")
	pic := s.Picture()
	got := map[string]mesh.Vec{}
	for _, l := range pic.Labels {
		got[l.Text] = l.At
		if l.Text != "4" {
			assert.Greater(t, l.Beyond[2], l.At[2], "away from where it goes")
		} else {
			assert.Equal(t, l.At, l.Beyond, "it stands still")
		}
	}
	require.Len(t, got, 3)
	require.Contains(t, got, "1 3", "twice in the order")
	require.Contains(t, got, "2")
	for _, p := range pic.Paths {
		for _, text := range []string{"1 3", "2"} {
			if l := got[text]; mesh.Vec.Distance(mesh.Vec{l[0], l[1]}, mesh.Vec{p.From[0], p.From[1]}) < 1e-6 {
				assert.Greater(t, l[2], p.From[2], "its arrow begins at the other end")
			}
		}
	}
	for i := range pic.Labels[1:] {
		a, b := pic.Labels[i].At, pic.Labels[i+1].At
		assert.GreaterOrEqual(t, a.Distance(pic.View.Position), b.Distance(pic.View.Position), "those nearer the eye come last")
	}
}
