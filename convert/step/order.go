package step

import (
	"cmp"
	"container/heap"
	"math/big"
	"slices"
)

// Outline is the skeleton of a plan's operations, small enough to keep for every
// plan of a run: what is needed to bring the steps into sequence and to know what
// is already there when a step begins.
type Outline struct {
	Operations []OutlineOperation // in document order
}

// OutlineOperation is the skeleton of one operation.
type OutlineOperation struct {
	ID, Parent, Builds string
	Alternative        string // the group of operations that it is one of, or ""
	Predecessors       []string
	Order              string   // decimal, or "": it has sorted the operations already
	Consumes           []string // occurrence paths, for all its steps
	Takes              []string // those of them that it always consumes
	Steps              []OutlineStep
	Origin             Origin
}

// OutlineStep is the skeleton of one step.
type OutlineStep struct {
	ID           string
	Alternative  string // the group of steps that it is one of, or ""
	Skipped      bool   // it is not issued: what names it as predecessor waits for those before it
	Predecessors []string
	Order        string   // as of an operation
	Consumes     []string // occurrence paths within what the operation builds
	Takes        []string // those of them that it always consumes
	Origin       Origin
}

// Order is the sequence of a plan's steps.
type Order struct {
	Sequence     [][]int    // by operation and step: from 1
	Predecessors [][][]Ref  // by operation and step: steps that must be done just before
	Cycles       [][]Ref    // each circle of operations (Step -1) and steps that wait for each other
	Cycle        []Ref      // steps on or behind a cycle, sequenced last in document order
	Missing      []Dangling // predecessors that the plan does not have
	Overruled    [][2]Ref   // one that waits, and the sibling it waits for in spite of their order numbers

	graph *graph
}

// LeftOut reports whether all that the operation has is left out.
func (o *OutlineOperation) LeftOut() bool {
	return len(o.Steps) > 0 && !slices.ContainsFunc(o.Steps, func(s OutlineStep) bool { return !s.Skipped })
}

// Ref points to a step of an outline.
type Ref struct{ Operation, Step int }

func (r Ref) compare(o Ref) int {
	return cmp.Or(cmp.Compare(r.Operation, o.Operation), cmp.Compare(r.Step, o.Step))
}

// Dangling is a predecessor that names nothing.
type Dangling struct {
	Operation, Step int // Step -1: of the operation
	Name            string
}

// Order brings the steps into a sequence that respects the precedence graph, and
// else follows the document. Steps of an operation follow each other unless one
// names its predecessors. Operations follow each other in document order if none
// of the plan names a predecessor.
func (o *Outline) Order() *Order {
	g := newGraph(o)
	g.connect()
	out := &Order{Missing: g.missing, Overruled: g.overruled(), graph: g}
	g.sort(out)
	g.predecessors(out)
	return out
}

// graph has three kinds of nodes: the begin and the end of each operation, and
// its steps between them, numbered in document order.
type graph struct {
	outline    *Outline
	begin, end []int   // by operation
	first      []int   // by operation: node of its first step
	step       []Ref   // by node; Step -1 for begin and end
	in         [][]int // by node: nodes before it
	out        [][]int
	operation  map[string]int
	missing    []Dangling
	place      []int // by node: in sequence
}

func newGraph(o *Outline) *graph {
	g := &graph{outline: o, operation: map[string]int{}}
	add := func(r Ref) int {
		g.step = append(g.step, r)
		return len(g.step) - 1
	}
	for i, op := range o.Operations {
		if _, twice := g.operation[op.ID]; !twice {
			g.operation[op.ID] = i
		}
		g.begin = append(g.begin, add(Ref{i, -1}))
		g.first = append(g.first, len(g.step))
		for j := range op.Steps {
			add(Ref{i, j})
		}
		g.end = append(g.end, add(Ref{i, -1}))
	}
	g.in, g.out = make([][]int, len(g.step)), make([][]int, len(g.step))
	return g
}

func (g *graph) edge(from, to int) {
	g.out[from] = append(g.out[from], to)
	g.in[to] = append(g.in[to], from)
}

func (g *graph) connect() {
	steps := map[string]int{}
	named := false
	for i, op := range g.outline.Operations {
		named = named || len(op.Predecessors) > 0
		for j, s := range op.Steps {
			if _, twice := steps[s.ID]; !twice {
				steps[s.ID] = g.first[i] + j
			}
		}
	}
	for i, op := range g.outline.Operations {
		g.connectOperation(i, op)
		for j, s := range op.Steps {
			g.connectStep(i, j, s, steps)
		}
		g.edge(g.lastOf(i), g.end[i])
	}
	if !named {
		g.chain()
	}
}

// overruled finds where a predecessor has the higher number of two siblings.
func (g *graph) overruled() [][2]Ref {
	var out [][2]Ref
	all := g.outline.Operations
	for i, op := range all {
		for _, name := range op.Predecessors {
			if p, ok := g.operation[name]; ok && all[p].Parent == op.Parent && above(all[p].Order, op.Order) {
				out = append(out, [2]Ref{{i, -1}, {p, -1}})
			}
		}
		for j, s := range op.Steps {
			if len(s.Predecessors) == 0 {
				continue
			}
			for k, before := range op.Steps {
				if slices.Contains(s.Predecessors, before.ID) && above(before.Order, s.Order) {
					out = append(out, [2]Ref{{i, j}, {i, k}})
				}
			}
		}
	}
	return out
}

// above compares order numbers. One that is not given is above none.
func above(a, b string) bool {
	x, xOK := new(big.Rat).SetString(a)
	y, yOK := new(big.Rat).SetString(b)
	return xOK && yOK && x.Cmp(y) > 0
}

func (g *graph) lastOf(i int) int {
	if n := len(g.outline.Operations[i].Steps); n > 0 {
		return g.first[i] + n - 1
	}
	return g.begin[i]
}

func (g *graph) connectOperation(i int, op OutlineOperation) {
	if p, ok := g.operation[op.Parent]; ok && op.Parent != "" && p != i {
		g.edge(g.begin[p], g.begin[i])
		g.edge(g.end[i], g.end[p])
	}
	for _, name := range op.Predecessors {
		switch p, ok := g.operation[name]; {
		case !ok:
			g.missing = append(g.missing, Dangling{i, -1, name})
		case g.inside(p, i):
			// It cannot be done before all of what it is a part of; the operation's own
			// steps wait for it.
			for j, s := range op.Steps {
				if j == 0 || len(s.Predecessors) > 0 {
					g.edge(g.end[p], g.first[i]+j)
				}
			}
		default:
			g.edge(g.end[p], g.begin[i])
		}
	}
}

// inside reports whether an operation stands in another, at any depth.
func (g *graph) inside(i, around int) bool {
	for range g.outline.Operations { // a parent may be, by mistake, its own
		parent, ok := g.operation[g.outline.Operations[i].Parent]
		if !ok || g.outline.Operations[i].Parent == "" {
			return false
		}
		if i = parent; i == around {
			return true
		}
	}
	return false
}

func (g *graph) connectStep(i, j int, s OutlineStep, steps map[string]int) {
	node := g.first[i] + j
	if j == 0 || len(s.Predecessors) > 0 {
		g.edge(g.begin[i], node)
	}
	if node != g.lastOf(i) && g.leaves(i, j) {
		g.edge(node, g.end[i])
	}
	if len(s.Predecessors) == 0 && j > 0 {
		g.edge(node-1, node)
	}
	for _, name := range s.Predecessors {
		if p, ok := steps[name]; ok {
			g.edge(p, node)
		} else {
			g.missing = append(g.missing, Dangling{i, j, name})
		}
	}
}

// leaves reports whether the step after j does not follow j by itself.
func (g *graph) leaves(i, j int) bool {
	return len(g.outline.Operations[i].Steps[j+1].Predecessors) > 0
}

// chain makes operations of one parent follow each other.
func (g *graph) chain() {
	last := map[string]int{}
	for i, op := range g.outline.Operations {
		if before, ok := last[op.Parent]; ok {
			g.edge(g.end[before], g.begin[i])
		}
		last[op.Parent] = i
	}
}

// sort is Kahn's topological sort, the lowest node first (Kahn 1962).
func (g *graph) sort(out *Order) {
	for _, op := range g.outline.Operations {
		out.Sequence = append(out.Sequence, make([]int, len(op.Steps)))
	}
	waits := make([]int, len(g.step))
	ready := &lowest{}
	for n := range g.step {
		if waits[n] = len(g.in[n]); waits[n] == 0 {
			heap.Push(ready, n)
		}
	}
	g.place = make([]int, len(g.step))
	next, placed := 1, 0
	place := func(n int) {
		g.place[n] = placed
		placed++
		if r := g.step[n]; r.Step >= 0 {
			out.Sequence[r.Operation][r.Step] = next
			next++
		}
	}
	for ready.Len() > 0 {
		n := heap.Pop(ready).(int)
		place(n)
		for _, m := range g.out[n] {
			if waits[m]--; waits[m] == 0 {
				heap.Push(ready, m)
			}
		}
	}
	out.Cycles = g.cycles(waits)
	for n, w := range waits {
		if w == 0 {
			continue
		}
		if g.step[n].Step >= 0 {
			out.Cycle = append(out.Cycle, g.step[n])
		}
		place(n)
	}
}

// predecessors looks back from each step through begins and ends of operations
// to the nearest steps.
func (g *graph) predecessors(out *Order) {
	near := make([][]int, len(g.step)) // of begins and ends: the steps just before them
	state := make([]byte, len(g.step))
	var resolve func(n int) []int
	resolve = func(n int) []int {
		if state[n] != 0 {
			return near[n]
		}
		state[n] = 1 // a cycle through n ends here
		near[n] = g.nearest(n, resolve)
		return near[n]
	}
	for i, op := range g.outline.Operations {
		of := make([][]Ref, len(op.Steps))
		for j := range op.Steps {
			for _, n := range g.nearest(g.first[i]+j, resolve) {
				of[j] = append(of[j], g.step[n])
			}
		}
		out.Predecessors = append(out.Predecessors, of)
	}
}

func (g *graph) skipped(n int) bool {
	r := g.step[n]
	return g.outline.Operations[r.Operation].Steps[r.Step].Skipped
}

func (g *graph) nearest(n int, resolve func(int) []int) []int {
	var steps []int
	for _, m := range g.in[n] {
		switch {
		case g.step[m].Step >= 0 && !g.skipped(m):
			steps = append(steps, m)
		case g.step[n].Step > 0 && m == g.begin[g.step[n].Operation] && len(g.in[n]) > 1:
			// what the operation waits for is already behind the step before
		default:
			steps = append(steps, resolve(m)...)
		}
	}
	slices.Sort(steps)
	return g.reduce(slices.Compact(steps))
}

// reduce drops the steps that lead to another step of the list within one operation.
func (g *graph) reduce(steps []int) []int {
	return slices.DeleteFunc(slices.Clone(steps), func(n int) bool {
		return slices.ContainsFunc(steps, func(m int) bool {
			return m != n && slices.Contains(g.in[m], n)
		})
	})
}

// lowest is a heap of nodes.
type lowest []int

func (h lowest) Len() int           { return len(h) }
func (h lowest) Less(i, j int) bool { return h[i] < h[j] }
func (h lowest) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *lowest) Push(x any)        { *h = append(*h, x.(int)) }
func (h *lowest) Pop() any {
	old := *h
	n := old[len(old)-1]
	*h = old[:len(old)-1]
	return n
}
