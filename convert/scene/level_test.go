package scene

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/mesh"
	"planfold/convert/step"
)

// draw makes a few small ladders and a budget.
func drawChoices(t *rapid.T) ([]*choice, int, []int) {
	var choices []*choice
	var own []int
	for range rapid.IntRange(1, 4).Draw(t, "choices") {
		c := &choice{count: rapid.IntRange(1, 4).Draw(t, "count"), weight: float64(rapid.IntRange(1, 4).Draw(t, "weight")), own: -1}
		l := &Ladder{}
		triangles, deviation := 0, 20.0
		for range rapid.IntRange(1, 4).Draw(t, "levels") {
			triangles += rapid.IntRange(1, 20).Draw(t, "triangles")
			deviation -= float64(rapid.IntRange(0, 5).Draw(t, "better"))
			l.Levels = append([]Level{{Triangles: triangles, Deviation: deviation}}, l.Levels...)
		}
		c.levels = useful(l)
		if rapid.Bool().Draw(t, "own") {
			c.own = len(own)
			own = append(own, rapid.IntRange(c.levels[0].Triangles, 60).Draw(t, "limit"))
		}
		choices = append(choices, c)
	}
	return choices, rapid.IntRange(1, 250).Draw(t, "budget"), own
}

// best tries every combination of levels: the least possible largest seen deviation.
func best(choices []*choice, budget int, own []int) float64 {
	least := math.Inf(1)
	var try func(i, total int, worst float64)
	try = func(i, total int, worst float64) {
		if total > budget {
			return
		}
		if i == len(choices) {
			least = min(least, worst)
			return
		}
		c := choices[i]
		for _, l := range c.levels {
			if c.own < 0 || l.Triangles <= own[c.own] {
				try(i+1, total+c.count*l.Triangles, max(worst, c.weight*l.Deviation))
			}
		}
	}
	try(0, 0, 0)
	return least
}

func TestChosenLevelsAreAsGoodAsAnyCombination(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		choices, budget, own := drawChoices(t)
		total := chooseLevels(choices, budget, own)
		worst, sum, coarsest := 0.0, 0, 0
		for _, c := range choices {
			worst = max(worst, c.seen())
			sum += c.count * c.triangles()
			coarsest += c.count * c.levels[0].Triangles
		}
		require.Equal(t, sum, total)
		if coarsest > budget {
			require.Equal(t, coarsest, total)
			return
		}
		require.LessOrEqual(t, total, budget)
		require.Equal(t, best(choices, budget, own), worst)
		for _, c := range choices { // no room is left unused
			if c.at+1 < len(c.levels) {
				next := c.levels[c.at+1].Triangles
				fits := total+c.count*(next-c.triangles()) <= budget && (c.own < 0 || next <= own[c.own])
				require.False(t, fits)
			}
		}
	})
}

func TestShapesOfOneItemShareItsBudget(t *testing.T) {
	levels := []Level{{Triangles: 10, Deviation: 3}, {Triangles: 20, Deviation: 2}, {Triangles: 40, Deviation: 1}}
	a := &choice{levels: levels, weight: 1, count: 2, own: 0}
	b := &choice{levels: levels, weight: 2, count: 2, own: 0}
	require.Equal(t, 120, chooseLevels([]*choice{a, b}, 1000, []int{60}))
	require.Equal(t, []int{1, 2}, []int{a.at, b.at})
}

func TestUselessLevelsAreLeftOut(t *testing.T) {
	l := &Ladder{Levels: []Level{{Triangles: 100, Deviation: 0}, {Triangles: 50, Deviation: 5}, {Triangles: 20, Deviation: 4}, {Triangles: 20, Deviation: 6}, {Triangles: 0, Deviation: 0}}}
	require.Equal(t, []Level{{Triangles: 20, Deviation: 4}, {Triangles: 100, Deviation: 0}}, useful(l))
	require.Empty(t, useful(nil))
}

// TestWhatIsFarOffMayDeviateMore: of equal rods that are already there the far one is
// coarser; with a camera beside that one, the near one is.
func TestWhatIsFarOffMayDeviateMore(t *testing.T) {
	p := &step.Plan{ID: text("P-1"), Frame: step.Frame{Up: 'Z'}, Items: map[string]*step.Item{}, Structure: map[string][]*step.Occurrence{}, Views: map[string]*step.View{
		"V-1": {ID: text("V-1"), Camera: &step.Camera{Position: [3]float64{3, 1, 0}, Target: [3]float64{3, 0, 0}, Up: [3]float64{0, 0, 1}}},
	}}
	for _, id := range []string{"pin", "near", "far"} {
		p.Items[id] = &step.Item{ID: text(id)}
	}
	p.Structure[""] = []*step.Occurrence{
		occurrence("", "pin", "pin", at(0, 0, 0)),
		occurrence("", "near", "near", at(0.1, 0, 0)),
		occurrence("", "far", "far", at(3, 0, 0)),
	}
	lib := Library{}
	for id := range p.Items {
		lib[id] = []Shape{{Name: id, Ladder: rod(0.01, 0.1), Transform: mesh.Identity()}}
	}
	for _, view := range []string{"", "V-1"} {
		s := &step.Step{Content: step.Content{Parts: []step.Part{{Item: text("pin"), Occurrences: texts("pin")}}}}
		if view != "" {
			s.View = text(view)
		}
		in := input(p, lib, s)
		in.Present = []string{"near", "far"}
		in.Profile.StepTriangles = 500
		triangles := map[string]int{}
		scene := Build(in)
		for _, n := range scene.Nodes {
			triangles[n.Item] = n.Triangles
		}
		require.LessOrEqual(t, scene.Triangles, 500)
		if view == "" {
			require.Greater(t, triangles["near"], triangles["far"])
		} else {
			require.Greater(t, triangles["far"], triangles["near"])
		}
	}
}

func BenchmarkChooseLevels(b *testing.B) {
	levels := useful(rod(0.01, 0.1))
	for b.Loop() {
		var choices []*choice
		for i := range 5000 {
			choices = append(choices, &choice{levels: levels, weight: float64(1 + i%97), count: 1 + i%7, own: -1})
		}
		chooseLevels(choices, 2_000_000, nil)
	}
}
