package step

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func operation(id, parent string, steps int, predecessors ...string) OutlineOperation {
	op := OutlineOperation{ID: id, Parent: parent, Predecessors: predecessors}
	for i := range steps {
		op.Steps = append(op.Steps, OutlineStep{ID: id + string(rune('a'+i))})
	}
	return op
}

// before lists, by operation, those that are wholly done when its first step begins.
func before(o *Order) [][]int {
	out := make([][]int, len(o.Sequence))
	for i := range out {
		past := o.Past(Ref{i, 0})
		for k := range out {
			if past.Has(Ref{k, -1}) {
				out[i] = append(out[i], k)
			}
		}
	}
	return out
}

func TestOrderFollowsTheDocumentWithoutPredecessors(t *testing.T) {
	o := Outline{Operations: []OutlineOperation{operation("A", "", 2), operation("B", "", 1)}}
	got := o.Order()
	assert.Equal(t, [][]int{{1, 2}, {3}}, got.Sequence)
	assert.Equal(t, [][][]Ref{{nil, {{0, 0}}}, {{{0, 1}}}}, got.Predecessors)
	assert.Equal(t, [][]int{nil, {0}}, before(got))
}

func TestOrderJoinsParallelBranches(t *testing.T) {
	o := Outline{Operations: []OutlineOperation{
		operation("JOIN", "", 1, "LEFT", "RIGHT"),
		operation("LEFT", "", 2, "BASE"),
		operation("RIGHT", "", 1, "BASE"),
		operation("BASE", "", 1),
	}}
	got := o.Order()
	assert.Equal(t, [][]int{{5}, {2, 3}, {4}, {1}}, got.Sequence)
	assert.Equal(t, []Ref{{1, 1}, {2, 0}}, got.Predecessors[0][0])
	assert.Equal(t, [][]int{{1, 2, 3}, {3}, {3}, nil}, before(got), "a branch does not see the other")
}

func TestOrderFollowsTheDocumentWherePredecessorsAllowIt(t *testing.T) {
	o := Outline{Operations: []OutlineOperation{
		operation("10", "", 1), operation("20", "", 1, "10"), operation("30", "", 1), operation("40", "", 1, "30"),
	}}
	assert.Equal(t, [][]int{{1}, {2}, {3}, {4}}, o.Order().Sequence)
}

func TestOrderWaitsForNestedOperations(t *testing.T) {
	o := Outline{Operations: []OutlineOperation{
		operation("OUTER", "", 1), operation("INNER", "OUTER", 1), operation("NEXT", "", 1, "OUTER"),
	}}
	got := o.Order()
	assert.Equal(t, [][]int{{1}, {2}, {3}}, got.Sequence)
	assert.Equal(t, []Ref{{0, 0}, {1, 0}}, got.Predecessors[2][0])
	assert.Equal(t, []int{0, 1}, before(got)[2])
}

func TestOrderTakesAnOperationInsideBeforeTheStepsBesideIt(t *testing.T) {
	o := Outline{Operations: []OutlineOperation{
		operation("OUTER", "", 2, "INNER", "FIRST"), operation("MIDDLE", "OUTER", 0), operation("INNER", "MIDDLE", 1), operation("FIRST", "", 1),
	}}
	got := o.Order()
	assert.Empty(t, got.Cycle)
	assert.Equal(t, [][]int{{3, 4}, {}, {2}, {1}}, got.Sequence)
	assert.Equal(t, []Ref{{2, 0}, {3, 0}}, got.Predecessors[0][0])
	assert.Equal(t, []Ref{{0, 0}}, got.Predecessors[0][1])
	o.Operations[1].Parent, o.Operations[0].Parent = "OUTER", "MIDDLE"
	assert.NotEmpty(t, o.Order().Cycle, "operations that stand in each other")
}

func TestOrderReportsCyclesAndMissing(t *testing.T) {
	o := Outline{Operations: []OutlineOperation{
		operation("A", "", 1, "B"), operation("B", "", 1, "A"), operation("C", "", 1, "GONE"),
	}}
	got := o.Order()
	assert.Equal(t, []Ref{{0, 0}, {1, 0}}, got.Cycle)
	assert.Equal(t, [][]Ref{{{0, -1}, {1, -1}}}, got.Cycles)
	assert.Equal(t, [][]int{{2}, {3}, {1}}, got.Sequence, "steps of the cycle come last, in document order")
	assert.Equal(t, []Dangling{{2, -1, "GONE"}}, got.Missing)
}

func TestOrderTakesStepPredecessorsLiterally(t *testing.T) {
	op := operation("A", "", 3)
	op.Steps[1].Predecessors = []string{"Ac"}
	op.Steps[2].Predecessors = []string{"Aa"}
	got := (&Outline{Operations: []OutlineOperation{op}}).Order()
	assert.Equal(t, [][]int{{1, 3, 2}}, got.Sequence)
	assert.Equal(t, [][][]Ref{{nil, {{0, 2}}, {{0, 0}}}}, got.Predecessors)
}

func TestOrderLooksThroughStepsThatAreSkipped(t *testing.T) {
	o := Outline{Operations: []OutlineOperation{operation("A", "", 3), operation("B", "", 1, "A"), operation("C", "", 1, "B")}}
	o.Operations[0].Steps[1].Skipped, o.Operations[0].Steps[2].Skipped, o.Operations[1].Steps[0].Skipped = true, true, true
	got := o.Order()
	assert.Equal(t, [][]int{{1, 2, 3}, {4}, {5}}, got.Sequence)
	assert.Equal(t, []Ref{{0, 0}}, got.Predecessors[2][0])
	assert.Equal(t, []Ref{{0, 0}}, got.Predecessors[0][2])
}

func TestOrderTellsCirclesFromWhatWaitsBehindThem(t *testing.T) {
	a, x := operation("A", "", 3), operation("X", "", 1, "Y")
	a.Steps[1].Predecessors = []string{"Ac"} // b and c wait for each other
	o := Outline{Operations: []OutlineOperation{a, operation("AFTER", "", 1, "A"), x, operation("Y", "", 1, "Z"), operation("Z", "", 1, "X"), operation("FREE", "", 1)}}
	got := o.Order()
	assert.Equal(t, [][]Ref{{{0, 1}, {0, 2}}, {{2, -1}, {3, -1}, {4, -1}}}, got.Cycles)
	assert.Equal(t, []Ref{{0, 1}, {0, 2}, {1, 0}, {2, 0}, {3, 0}, {4, 0}}, got.Cycle, "what is behind a circle cannot be placed either")
	assert.Equal(t, 2, got.Sequence[5][0], "the rest goes on")
}

func TestOrderFindsACircleThroughNestedOperations(t *testing.T) {
	o := Outline{Operations: []OutlineOperation{operation("OUTER", "", 1), operation("INNER", "OUTER", 1, "NEXT"), operation("NEXT", "", 1, "OUTER")}}
	assert.Equal(t, [][]Ref{{{0, -1}, {1, -1}, {2, -1}}}, o.Order().Cycles)
	self := Outline{Operations: []OutlineOperation{operation("A", "", 1, "A")}}
	assert.Equal(t, [][]Ref{{{0, -1}}}, self.Order().Cycles)
}

func TestPredecessorsCountMoreThanOrderNumbers(t *testing.T) {
	a, b, c := operation("A", "", 1, "B"), operation("B", "", 1), operation("C", "", 1, "B")
	a.Order, b.Order, c.Order = "9", "10", "10.0"
	got := (&Outline{Operations: []OutlineOperation{a, b, c}}).Order()
	assert.Equal(t, [][]int{{2}, {1}, {3}}, got.Sequence)
	assert.Equal(t, [][2]Ref{{{0, -1}, {1, -1}}}, got.Overruled, "equal numbers say nothing")
	b.Parent = "C"
	assert.Empty(t, (&Outline{Operations: []OutlineOperation{a, b, c}}).Order().Overruled, "only siblings are numbered together")
	b.Parent, b.Order = "", ""
	assert.Empty(t, (&Outline{Operations: []OutlineOperation{a, b, c}}).Order().Overruled)
}

// Of two branches neither is past for the other, though one comes first in the sequence;
// steps that go their own ways within an operation neither, nor what stands behind a
// circle for what stands in it.
func TestPastIsWhatLeadsToAStep(t *testing.T) {
	fork := operation("FORK", "", 4)
	fork.Steps[1].Predecessors, fork.Steps[2].Predecessors, fork.Steps[3].Predecessors = []string{"FORKa"}, []string{"FORKa"}, []string{"FORKb", "FORKc"}
	part := operation("PART", "", 2)
	part.Steps[1].Predecessors = []string{"FORKb"} // half of another operation
	o := (&Outline{Operations: []OutlineOperation{fork, part, operation("LEFT", "", 1, "PART"), operation("X", "", 1, "Y"), operation("Y", "", 1, "X")}}).Order()
	past := func(operation, step int) []Ref {
		var out []Ref
		p := o.Past(Ref{operation, step})
		for i, steps := range o.Sequence {
			for j := -1; j < len(steps); j++ {
				if p.Has(Ref{i, j}) {
					out = append(out, Ref{i, j})
				}
			}
		}
		return out
	}
	assert.Equal(t, []Ref{{0, 0}}, past(0, 1))
	assert.Equal(t, []Ref{{0, 0}}, past(0, 2))
	assert.Equal(t, []Ref{{0, 0}, {0, 1}, {0, 2}}, past(0, 3))
	assert.Empty(t, past(1, 0))
	assert.Equal(t, []Ref{{0, 0}, {0, 1}}, past(1, 1), "what is named is past, what is not is not, even of its own operation")
	assert.Equal(t, []Ref{{0, 0}, {0, 1}, {1, -1}, {1, 0}, {1, 1}}, past(2, 0))
	assert.Empty(t, past(3, 0))
	assert.Equal(t, []Ref{{3, -1}, {3, 0}}, past(4, 0), "on a circle, what is placed before")
}
