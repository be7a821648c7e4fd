package reduce

import "planfold/convert/mesh"

const (
	// A level coarser than this, of triangles or of the mesh's diagonal, no longer
	// reads as the part.
	leastLevel   = 12
	mostDeviance = 0.05
	// stride is how many levels up a level is measured against: far enough that the
	// deviation of that one, which is added, is small beside its own.
	stride = 3
)

// Level is one rung of a ladder.
type Level struct {
	Mesh      *mesh.Mesh
	Deviation float64 // metres, an upper bound on the distance from the source either way
}

// Ladder reduces m once and takes snapshots on the way. Level 0 is m itself, with
// deviation 0; each further level has at most half the triangles of the one above,
// down to the coarsest that still reads as the part. Positions below level 0 are
// rounded to float32 about the centre, and deviation is measured after.
func Ladder(m *mesh.Mesh, centre mesh.Vec) []Level {
	levels := []Level{{Mesh: m}}
	if len(m.Triangles) < 2*leastLevel {
		return levels
	}
	s := newSurface(m)
	r := newRun(s)
	trees := []*tree{newTree(m)}
	most := mostDeviance * m.Bounds().Diagonal()
	for n := len(m.Triangles) / 2; n >= leastLevel; n = s.live / 2 {
		r.to(n)
		if s.live > n {
			break
		}
		l := s.snapshot(&centre)
		t := newTree(l)
		above := max(0, len(levels)-stride)
		d := levels[above].Deviation + trees[above].deviation(t)
		if d > most {
			break
		}
		levels = append(levels, Level{l, d})
		trees = append(trees, t)
	}
	return levels
}
