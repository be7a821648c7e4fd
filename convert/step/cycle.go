package step

import "slices"

// cycles finds the circles in which nodes wait for each other, among those that the
// sort could not place: the strongly connected components of the graph.
//
// Rests on: Tarjan, Depth-first search and linear graph algorithms, 1972.
func (g *graph) cycles(waits []int) [][]Ref {
	var out [][]Ref
	index, low := make([]int, len(g.step)), make([]int, len(g.step)) // from 1; 0: not seen
	open := make([]bool, len(g.step))
	var stack []int
	next := 1
	var visit func(n int)
	visit = func(n int) {
		index[n], low[n] = next, next
		next++
		stack, open[n] = append(stack, n), true
		for _, m := range g.out[n] {
			switch {
			case waits[m] == 0:
			case index[m] == 0:
				visit(m)
				low[n] = min(low[n], low[m])
			case open[m]:
				low[n] = min(low[n], index[m])
			}
		}
		if low[n] != index[n] {
			return
		}
		from := slices.Index(stack, n)
		circle := slices.Sorted(slices.Values(stack[from:]))
		for _, m := range circle {
			open[m] = false
		}
		stack = stack[:from]
		if len(circle) > 1 || slices.Contains(g.out[n], n) {
			out = append(out, g.members(circle))
		}
	}
	for n := range g.step {
		if waits[n] > 0 && index[n] == 0 {
			visit(n)
		}
	}
	slices.SortFunc(out, func(a, b []Ref) int { return a[0].compare(b[0]) })
	return out
}

// members names what is on a circle: operations that wait as a whole, with Step -1,
// and steps of others.
func (g *graph) members(circle []int) []Ref {
	whole := map[int]bool{}
	for _, n := range circle {
		if g.step[n].Step < 0 {
			whole[g.step[n].Operation] = true
		}
	}
	var out []Ref
	for _, n := range circle {
		r := g.step[n]
		if whole[r.Operation] {
			r.Step = -1
		}
		if !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return out
}
