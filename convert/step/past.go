package step

// Past is what is done when a step begins.
type Past struct {
	graph *graph
	done  []bool // by node
}

// Past finds what leads to a step: nothing else is sure to be done when it begins, though
// it may come earlier in the sequence. On a circle it is what is placed before the step.
func (o *Order) Past(r Ref) Past {
	g := o.graph
	p := Past{g, make([]bool, len(g.step))}
	open := []int{g.first[r.Operation] + r.Step}
	for len(open) > 0 {
		n := open[len(open)-1]
		open = open[:len(open)-1]
		for _, m := range g.in[n] {
			if !p.done[m] && g.place[m] < g.place[n] {
				p.done[m] = true
				open = append(open, m)
			}
		}
	}
	return p
}

// Has reports whether a step is done or, with Step -1, all of an operation.
func (p Past) Has(r Ref) bool {
	if r.Step < 0 {
		return p.done[p.graph.end[r.Operation]]
	}
	return p.done[p.graph.first[r.Operation]+r.Step]
}
