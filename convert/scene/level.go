package scene

import (
	"cmp"
	"container/heap"
	"slices"
)

// choice is one ladder that some instances draw, all at the same level.
type choice struct {
	levels []Level // from coarse to fine; each has more triangles and deviates less
	weight float64 // of a deviation in what is seen
	count  int     // instances
	own    int     // index of the limit that an instance keeps by itself, or -1
	at     int     // level in use
}

func (c *choice) seen() float64  { return c.weight * c.levels[c.at].Deviation }
func (c *choice) triangles() int { return c.levels[c.at].Triangles }

// chooseLevels makes the largest seen deviation as small as the budget allows.
//
// All start at their coarsest. The one whose deviation is seen most is refined by
// one level as long as that fits; what does not fit is done with, since the room
// only shrinks, and the next one has its turn. When the first does not fit, the
// largest seen deviation D is as small as it can be: every choice was refined only
// while it was the largest, so each is at the coarsest level below some value that
// is at least D, and any way to get below D needs at least these triangles and those
// that did not fit. What room is left goes on to the others in the same order.
//
// Instances of an item in one role move together. To get the largest of several
// equal deviations down all of them must be refined, so nothing is lost by it, but
// for a rest that one of them might have used.
//
// own is the limit of each item for one instance; it returns the triangles drawn.
func chooseLevels(choices []*choice, budget int, own []int) int {
	total := 0
	used := make([]int, len(own))
	q := make(queue, 0, len(choices))
	for i, c := range choices {
		total += c.count * c.triangles()
		if c.own >= 0 {
			used[c.own] += c.triangles()
		}
		q = append(q, waiting{c, i})
	}
	heap.Init(&q)
	for len(q) > 0 {
		c := q[0].choice
		more := 0
		if c.at+1 < len(c.levels) {
			more = c.levels[c.at+1].Triangles - c.triangles()
		}
		if more == 0 || total+c.count*more > budget || c.own >= 0 && used[c.own]+more > own[c.own] {
			heap.Pop(&q)
			continue
		}
		c.at++
		total += c.count * more
		if c.own >= 0 {
			used[c.own] += more
		}
		heap.Fix(&q, 0)
	}
	return total
}

// waiting choices, the most seen deviation first, then in order.
type waiting struct {
	*choice
	index int
}

type queue []waiting

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return cmp.Or(cmp.Compare(q[j].seen(), q[i].seen()), cmp.Compare(q[i].index, q[j].index)) < 0
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(waiting)) }
func (q *queue) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}

// useful sorts a ladder from coarse to fine and leaves out levels that draw nothing,
// and those that cost more than another without deviating less.
func useful(l *Ladder) []Level {
	if l == nil {
		return nil
	}
	levels := slices.DeleteFunc(slices.Clone(l.Levels), func(v Level) bool { return v.Triangles <= 0 })
	slices.SortStableFunc(levels, func(a, b Level) int {
		return cmp.Or(cmp.Compare(a.Triangles, b.Triangles), cmp.Compare(a.Deviation, b.Deviation))
	})
	kept := levels[:0]
	for _, v := range levels {
		if len(kept) == 0 || v.Deviation < kept[len(kept)-1].Deviation {
			kept = append(kept, v)
		}
	}
	return kept
}
