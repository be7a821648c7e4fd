package sketch

import "strconv"

// maxOrder bounds the numbers that are taken for places in an order.
const maxOrder = 9_999

// order is what the whole numbers of an attribute are among siblings.
type order struct {
	count    int
	again    bool // one comes twice
	shuffled bool // a lower one follows a higher one
}

// siblings are the numbers of an attribute in one element.
type siblings struct {
	seen map[int]bool
	last int
}

// sort looks at the value of a facet of an element that stands in this one.
func (o *open) sort(f *facet, value string) {
	n, err := strconv.Atoi(value)
	if err != nil || n < 0 || n > maxOrder || f.order.again {
		return
	}
	if o.numbers == nil {
		o.numbers = map[*facet]*siblings{}
	}
	s := o.numbers[f]
	if s == nil {
		s = &siblings{seen: map[int]bool{}}
		o.numbers[f] = s
	}
	f.order.count++
	f.order.again = s.seen[n]
	f.order.shuffled = f.order.shuffled || n < s.last
	s.seen[n], s.last = true, n
}

// places reports that each element has a number that none of its siblings has.
func (f *facet) places() bool {
	return f.attr.Local != "" && f.order.count == f.of.count && !f.order.again
}

// order takes numbers that put siblings in another order than the document does, and
// proposes those that only are called so.
func (w *writer) order(depth int, record *path) {
	for _, f := range record.facets {
		switch {
		case record.most < 2 || !f.places() || !orderWords.ends(f.called()) && !numberWords.ends(f.called()):
		case f.order.shuffled:
			w.take(depth, "order", record, f, "each once among its siblings, and the document has them in another order: see that this is the order of work")
			return
		case orderWords.ends(f.called()):
			w.line(depth, "# order: %s # as in the document, here; take it if other exports are sorted in another way; %s", quoted(w.attribute(f)), w.reason(f, ""))
			return
		}
	}
}
