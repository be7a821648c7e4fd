// The order of G. M. Morton, "A computer oriented geodetic data base and a new technique
// in file sequencing", 1966: the digits of the coordinates in turn.

package reduce

import (
	"math/bits"
	"sort"

	"planfold/convert/mesh"
)

// item is a triangle and where the middle of its box lies in the order.
type item struct {
	key      uint64
	triangle int32
}

// cellBits is how often the cube around a mesh is halved in each direction.
const cellBits = 21

// sorted gives the triangles of m in order.
func sorted(m *mesh.Mesh) []item {
	box := m.Bounds()
	longest := 0.0
	for k := range 3 {
		longest = max(longest, box.Max[k]-box.Min[k])
	}
	scale := (1<<cellBits - 1) / longest
	items := make([]item, len(m.Triangles))
	for i, v := range m.Triangles {
		c := cornersOf(m, v)
		key := uint64(0)
		for k := range 3 {
			lo, hi := c[0][k], c[0][k]
			for _, p := range [2]float64{c[1][k], c[2][k]} {
				if p < lo {
					lo = p
				} else if p > hi {
					hi = p
				}
			}
			key |= spread(cell(float64(0.5*(lo+hi))-box.Min[k], scale)) << k
		}
		items[i] = item{key, int32(i)}
	}
	return radix(items)
}

func cell(x, scale float64) uint64 {
	if x = float64(x * scale); x >= 1 && x < 1<<cellBits { // which a NaN is not
		return uint64(x)
	}
	return 0
}

// spread puts two empty bits before each bit.
func spread(x uint64) uint64 {
	x = (x | x<<32) & 0x1f00000000ffff
	x = (x | x<<16) & 0x1f0000ff0000ff
	x = (x | x<<8) & 0x100f00f00f00f00f
	x = (x | x<<4) & 0x10c30c30c30c30c3
	return (x | x<<2) & 0x1249249249249249
}

// radix sorts by key, and by triangle where keys are equal.
func radix(items []item) []item {
	out := make([]item, len(items))
	for shift := 0; shift < 3*cellBits; shift += 8 {
		var first [257]int
		for i := range items {
			first[items[i].key>>shift&255+1]++
		}
		for d := range 256 {
			first[d+1] += first[d]
		}
		for i := range items {
			d := items[i].key >> shift & 255
			out[first[d]] = items[i]
			first[d]++
		}
		items, out = out, items
	}
	return items
}

// cutOf is where the highest digit in which the items between from and to differ changes, or
// the middle if they are all in one cell.
func cutOf(items []item, from, to int) int {
	differ := items[from].key ^ items[to-1].key
	if differ == 0 {
		return (from + to) / 2
	}
	digit := bits.Len64(differ) - 1
	return from + sort.Search(to-from, func(i int) bool { return items[from+i].key>>digit&1 == 1 })
}
