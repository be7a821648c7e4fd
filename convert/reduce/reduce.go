// Package reduce thins triangle meshes: to a number of triangles, to a bound on
// deviation, or to a ladder of levels that a scene chooses from.
//
// A mesh is taken as it comes: open, of many shells, non-manifold, with slivers.
// What a reduced mesh never has is a triangle that turned over, or a degenerate or
// non-manifold one that the source did not have. Shells, holes, borders, fixed
// vertices, and the seams between groups and between attributes stay; no shell vanishes.
//
// Edges collapse by their quadric error, which says what to do next but not how far the
// surface has moved: at the end the vertices are fitted to the source, and deviation is
// measured between the meshes.
//
// The bytes are the same on every machine: products are rounded
// before they are added, and ties are broken by index.
package reduce

import (
	"fmt"
	"math"

	"planfold/convert/mesh"
)

// Version changes whenever the same mesh and options may give other bytes.
const Version = "8"

// leastTriangles is what a mesh keeps, whatever is asked: a closed surface has no fewer.
const leastTriangles = 4

// Options say how far to go. With both bounds set, the first that is met ends the
// reduction; with neither, nothing is reduced.
type Options struct {
	Triangles int     // at most so many triangles; 0: as few as Deviation allows
	Deviation float64 // metres, of the result from the source; 0: no bound
}

// Report says whether the triangles asked for were reached, and what ended the
// reduction if they did not.
type Report struct {
	Reached bool
	Reason  string
}

// Reduce returns m with at most o.Triangles triangles, or as few as o.Deviation
// allows. Unused vertices are dropped; vertices that did not move keep their exact
// place and their order. m is not changed, and is returned itself if nothing is to be done.
func Reduce(m *mesh.Mesh, o Options) (*mesh.Mesh, Report) {
	target := max(o.Triangles, leastTriangles)
	if o.Triangles <= 0 && o.Deviation <= 0 || len(m.Triangles) <= target {
		return m, Report{Reached: true}
	}
	if o.Deviation > 0 {
		return reduceWithin(m, o)
	}
	return reduceTo(m, target)
}

func reduceTo(m *mesh.Mesh, target int) (*mesh.Mesh, Report) {
	s := newSurface(m)
	newRun(s).down(target)
	r := s.snapshot(nil)
	if s.live <= target {
		return r, Report{Reached: true}
	}
	return r, Report{Reason: fmt.Sprintf("no further edge of the %d triangles can go without turning a triangle over or changing the topology", s.live)}
}

// reduceWithin finds, between the source and the target, about the fewest triangles
// whose deviation keeps the bound. Deviation grows along the way, near enough.
func reduceWithin(m *mesh.Mesh, o Options) (*mesh.Mesh, Report) {
	low, high := max(o.Triangles, leastTriangles), len(m.Triangles)
	best := m
	for n := low; n < high; {
		r, report := reduceTo(m, n)
		if Deviation(m, r) <= o.Deviation {
			best, high = r, len(r.Triangles)
			if n == low {
				report.Reached = report.Reached || o.Triangles <= 0
				return r, report
			}
		} else {
			low = n
		}
		n = int(math.Sqrt(float64(low) * float64(high)))
		if float64(high) < 1.02*float64(low) || n <= low {
			break
		}
	}
	return best, Report{
		Reached: o.Triangles <= 0,
		Reason:  fmt.Sprintf("fewer than %d triangles would deviate by more than %g m", len(best.Triangles), o.Deviation),
	}
}

// snapshot is the surface as a mesh of its own. With a centre each position is what a
// bundle stores: float32 about it.
func (s *surface) snapshot(centre *mesh.Vec) *mesh.Mesh {
	m := &mesh.Mesh{Triangles: make([][3]int32, 0, s.live)}
	if s.source.Group != nil {
		m.Group = make([]int32, 0, s.live)
	}
	index, at, smooth := make([]int32, len(s.vertices)), s.fitted(), s.smooth()
	for i := range s.triangles {
		t := [3]int32(s.triangles[i].v[:3])
		if t[0] == dead {
			continue
		}
		index[t[0]], index[t[1]], index[t[2]] = 1, 1, 1
		m.Triangles = append(m.Triangles, t)
		if m.Group != nil {
			m.Group = append(m.Group, s.source.Group[i])
		}
	}
	if s.attributes != nil {
		s.attributes.hand(s, m, at)
	}
	for v := range index {
		if index[v] == 0 {
			continue
		}
		index[v] = int32(len(m.Positions))
		p := s.source.Positions[v]
		if s.vertices[v].moved {
			p = s.frame.out(at[v])
		}
		if centre != nil {
			p = single(p, *centre)
		}
		m.Positions = append(m.Positions, p)
		m.Smooth = append(m.Smooth, smooth[v])
	}
	for i, t := range m.Triangles {
		m.Triangles[i] = [3]int32{index[t[0]], index[t[1]], index[t[2]]}
	}
	return m
}

// Shares says how many triangles of each group are left when all of m is reduced to at
// most so many: where they are worth most, by the error that the next collapse makes.
func Shares(m *mesh.Mesh, triangles int) []int {
	s := newSurface(m)
	newRun(s).down(max(triangles, leastTriangles))
	left := make([]int, m.Groups())
	for i := range s.triangles {
		if s.triangles[i].v[0] == dead {
			continue
		}
		group := int32(0)
		if m.Group != nil {
			group = m.Group[i]
		}
		left[group]++
	}
	return left
}
