package scene

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/step"
)

func TestExpandResolvesPaths(t *testing.T) {
	p, _ := press()
	s, list := Expand(p, "")
	require.Empty(t, list)
	var paths []string
	for i, o := range s.Occurrences {
		paths = append(paths, o.Path)
		found, ok := s.Find(o.Path)
		require.True(t, ok)
		require.Equal(t, i, found)
	}
	require.Equal(t, "plate-1 bolt-1 bolt-2 bolt-3 bolt-4 head-1 head-1/block head-1/ram head-2 head-2/block head-2/ram", strings.Join(paths, " "))
	i, _ := s.Find("head-2")
	require.Equal(t, i+3, s.Occurrences[i].End)
	require.Equal(t, i, s.Occurrences[i+2].Parent)
	want := p.Structure[""][6].Placement.Matrix.Mul(p.Structure["head"][1].Placement.Matrix)
	require.Equal(t, want, s.Occurrences[i+2].Placement)

	s, _ = Expand(p, "head")
	require.Len(t, s.Occurrences, 2)
	_, ok := s.Find("ram")
	require.True(t, ok)
}

func TestExpandJoinsTheProductsTwoLists(t *testing.T) {
	p, _ := press()
	p.Structure["press"] = []*step.Occurrence{occurrence("press", "more", "ram", at(1, 2, 3))}
	s, _ := Expand(p, "press")
	require.Len(t, s.Occurrences, 12)
	require.Len(t, p.Structure[""], 7)
}

func TestExpandRefusesWhatCannotBe(t *testing.T) {
	flat := &step.Placement{Matrix: mesh.Mat{0: 1, 5: 1, 15: 1}}
	scaled := &step.Placement{Matrix: mesh.Mat{0: 25.4, 5: 25.4, 10: 25.4, 15: 1}}
	mirrored := &step.Placement{Matrix: mesh.Mat{0: -1, 5: 1, 10: 1, 15: 1}}
	sheared := &step.Placement{Matrix: mesh.Mat{0: 1, 4: 0.3, 5: 1, 10: 1, 15: 1}}
	rounded := &step.Placement{Matrix: mesh.Mat{0: 0.70711, 1: 0.70711, 4: -0.70711, 5: 0.70711, 10: 1, 15: 1}}
	for _, c := range []struct {
		o           *step.Occurrence
		code        string
		occurrences int // of fifteen, with one more in each of the two heads
		placed      bool
	}{
		{occurrence("head", "x", "press", at(0, 0, 0)), "SCENE_STRUCTURE_CYCLE", 11, false},
		{occurrence("head", "x", "head", at(0, 0, 0)), "SCENE_STRUCTURE_CYCLE", 11, false},
		{occurrence("head", "ram", "bolt", at(0, 0, 0)), "SCENE_OCCURRENCE_TWICE", 11, true},
		{occurrence("head", "x", "bolt", flat), "SCENE_PLACEMENT_FLAT", 13, false},
		{occurrence("head", "x", "bolt", scaled), "SCENE_PLACEMENT_SCALED", 13, true},
		{occurrence("head", "x", "bolt", mirrored), "SCENE_PLACEMENT_MIRRORED", 13, true},
		{occurrence("head", "x", "bolt", sheared), "SCENE_PLACEMENT_SHEARED", 13, true},
		{occurrence("head", "x", "bolt", rounded), "", 13, true},
		{occurrence("head", "x", "bolt", nil), "", 13, false},
	} {
		p, _ := press()
		p.Structure["head"] = append(p.Structure["head"], c.o)
		s, list := Expand(p, "")
		require.Len(t, s.Occurrences, c.occurrences, c.code)
		if c.code == "" {
			require.Empty(t, list)
		} else {
			require.Len(t, list, 1, "reported once, though the head is there twice")
			require.Equal(t, c.code, list[0].Code)
			require.Equal(t, "plan.xml", list[0].Position.File)
			require.NotZero(t, list[0].Position.Line)
		}
		if i, ok := s.Find("head-1/x"); ok {
			require.Equal(t, c.placed, s.Occurrences[i].Placed, c.code)
		}
	}
}

func TestExpandStopsAtItsLimits(t *testing.T) {
	p := &step.Plan{Product: text("i0"), Structure: map[string][]*step.Occurrence{}}
	for i := range 40 { // two of each within the one before: a million million
		in, of := fmt.Sprintf("i%d", i), fmt.Sprintf("i%d", i+1)
		p.Structure[in] = []*step.Occurrence{occurrence(in, "a", of, at(0, 0, 0)), occurrence(in, "b", of, at(0, 0, 0))}
	}
	s, list := Expand(p, "")
	require.Len(t, s.Occurrences, maxOccurrences)
	require.Len(t, list, 1)
	require.Equal(t, "SCENE_STRUCTURE_LIMIT", list[0].Code)

	p.Structure = map[string][]*step.Occurrence{}
	for i := range 100 {
		in := fmt.Sprintf("i%d", i)
		p.Structure[in] = []*step.Occurrence{occurrence(in, "a", fmt.Sprintf("i%d", i+1), at(0, 0, 0))}
	}
	s, list = Expand(p, "")
	require.Len(t, s.Occurrences, maxDepth)
	require.Len(t, list, 1)
}
