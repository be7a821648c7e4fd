package sweep

import (
	"math"

	"planfold/convert/mesh"
)

// Thread is a screw thread that is part of a body's own surface; the zero value is none.
type Thread struct {
	Axis  mesh.Vec
	Pitch float64 // metres, rather too small; negative if left-handed
}

// along is how deep what a thread is screwed into reaches into it, seen along a direction:
// by ISO 68-1 5/8 of a triangle that is 0.866 pitches high, or more as Pitch is too small.
func (t Thread) along(direction mesh.Vec) float64 {
	if t.Pitch == 0 || !Along(t.Axis, direction) {
		return 0
	}
	return 0.75 * math.Abs(t.Pitch)
}

const (
	flankLeast   = 0.3  // cosines of the angles to the axis between which flanks are
	flankMost    = 0.97 //
	flankShare   = 0.1  // of the surface, to be a thread
	threadSurely = 0.35 // correlation of turn and rise: about 0 on what is turned on a lathe
)

// flank is a triangle as an equation. It slides in itself under a screw motion about an
// axis if turn = c · shift + lead × rise, where c is where the axis goes through the
// plane across it, and lead how far the motion goes while it turns by a radian.
type flank struct {
	turn, area float64
	shift      mesh.Vec // by two directions across; the third is rise
	at         [2]float64
}

// FindThread looks for a thread about the axis of a cylinder. The surface of a thread
// slides in itself under a screw motion (N. Gelfand and L. Guibas, "Shape segmentation
// using local slippage analysis", 2004); a groove that runs back into itself does so
// with a lead of zero, and the teeth of a helical gear with one of many diameters. Of a
// thread in few triangles, which cut corners, much is left that is told by the mean.
func (b *Body) FindThread(axis mesh.Vec) Thread {
	flanks, total := b.flanks(axis)
	c := fit(flanks)
	var turn2, both, rise2, area, radius float64
	for _, f := range flanks {
		rise := f.shift[2]
		if math.Abs(rise) < flankLeast {
			continue
		}
		turn := f.turn - float64(c[0]*f.shift[0]) - float64(c[1]*f.shift[1])
		turn2 += float64(f.area * float64(turn*turn))
		both += float64(f.area * float64(turn*rise))
		rise2 += float64(f.area * float64(rise*rise))
		x, y := f.at[0]-c[0], f.at[1]-c[1]
		radius += float64(f.area * math.Sqrt(float64(x*x)+float64(y*y)))
		area += f.area
	}
	if !(area > flankShare*total) || float64(both*both) < float64(threadSurely*threadSurely)*float64(turn2*rise2) {
		return Thread{}
	}
	pitch := 2 * math.Pi * float64(both/rise2)
	if math.Abs(pitch) > radius/area {
		return Thread{}
	}
	return Thread{Axis: axis, Pitch: pitch}
}

// flanks are the triangles that do not face along an axis, and the area of all.
func (b *Body) flanks(axis mesh.Vec) (list []flank, total float64) {
	u, v := across(axis)
	for i := range b.Shells {
		s := &b.Shells[i]
		for _, t := range s.Mesh.Triangles {
			p, q, r := s.At.Point(s.Mesh.Positions[t[0]]), s.At.Point(s.Mesh.Positions[t[1]]), s.At.Point(s.Mesh.Positions[t[2]])
			n := q.Sub(p).Cross(r.Sub(p))
			area := n.Length()
			total += area
			n = n.Unit()
			if rise := -n.Dot(axis); area > 0 && math.Abs(rise) < flankMost {
				shift := n.Cross(axis)
				middle := p.Add(q).Add(r).Scale(1.0 / 3)
				list = append(list, flank{n.Dot(axis.Cross(middle)), area, mesh.Vec{shift.Dot(u), shift.Dot(v), rise}, [2]float64{middle.Dot(u), middle.Dot(v)}})
			}
		}
	}
	return list, total
}

// fit solves the flanks' equations for c and lead by least squares: by Cramer's rule, of
// the products of shift with itself and with turn.
func fit(flanks []flank) mesh.Vec {
	var m [3]mesh.Vec
	var right mesh.Vec
	for _, f := range flanks {
		for k := range m {
			m[k] = m[k].Add(f.shift.Scale(float64(f.area * f.shift[k])))
		}
		right = right.Add(f.shift.Scale(float64(f.area * f.turn)))
	}
	det := m[0].Dot(m[1].Cross(m[2]))
	if det == 0 {
		return mesh.Vec{}
	}
	return mesh.Vec{right.Dot(m[1].Cross(m[2])) / det, m[0].Dot(right.Cross(m[2])) / det, m[0].Dot(m[1].Cross(right)) / det}
}
