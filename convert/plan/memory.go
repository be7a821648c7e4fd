package plan

// memory gives out the structs of elements, attributes and content. Between a mark
// and its release elements come and go last in, first out, so that what a record
// took serves the next one.
type memory struct {
	elements   arena[Element]
	attributes arena[Attribute]
	nodes      arena[Node]
}

type mark struct{ elements, attributes, nodes spot }

func (m *memory) mark() mark { return mark{m.elements.at, m.attributes.at, m.nodes.at} }

func (m *memory) release(to mark) {
	m.elements.release(to.elements)
	m.attributes.release(to.attributes)
	m.nodes.release(to.nodes)
}

const (
	chunkSize = 512 // structs that are got at once
	spares    = 16  // chunks that are kept for the next record
)

// arena gives out runs of structs that are next to each other. They hold what was
// there before.
type arena[T any] struct {
	chunks [][]T
	at     spot
	keep   bool // each run is the caller's for good
}

// spot is where the next run starts.
type spot struct{ chunk, used int }

func (a *arena[T]) take(n int) []T {
	switch {
	case n == 0:
		return nil
	case a.keep:
		return make([]T, n)
	}
	for ; a.at.chunk < len(a.chunks); a.at = (spot{a.at.chunk + 1, 0}) {
		if c := a.chunks[a.at.chunk]; n <= len(c)-a.at.used {
			a.at.used += n
			return c[a.at.used-n : a.at.used : a.at.used]
		}
	}
	c := make([]T, max(n, chunkSize))
	a.chunks = append(a.chunks, c)
	a.at.used = n
	return c[:n:n]
}

func (a *arena[T]) release(to spot) {
	a.at = to
	if most := to.chunk + spares; len(a.chunks) > most {
		clear(a.chunks[most:])
		a.chunks = a.chunks[:most]
	}
}
