package solid

import "planfold/convert/mesh"

// Layer is a flat slice of a stacked part.
type Layer struct {
	Low, High float64
	Region    Region
}

// Stack piles layers along z, lowest first, without gaps. What one layer has and
// its neighbour has not becomes a flat face. All outlines are cut at each other's
// corners and crossings, so that all faces meet edge to edge.
func Stack(layers ...Layer) *Solid {
	var all []Loop
	for _, l := range layers {
		for _, o := range l.Region {
			all = append(all, o.loop)
		}
	}
	a := arrange(all)
	in := make([]sides, len(layers))
	for i, l := range layers {
		in[i] = a.sides(l.Region)
	}
	s := &Solid{}
	nothing := make(sides, len(a.edges))
	for i, l := range layers {
		for _, e := range a.boundary(func(k, side int) bool { return in[i][k][side] }) {
			s.quad(s.at(e[0], l.Low), s.at(e[1], l.Low), s.at(e[1], l.High), s.at(e[0], l.High))
		}
		below := nothing
		if i > 0 {
			below = in[i-1]
		}
		s.between(a, below, in[i], l.Low)
	}
	s.between(a, in[len(in)-1], nothing, layers[len(layers)-1].High)
	return s
}

func (s *Solid) at(p Point, z float64) int32 { return s.point(mesh.Vec{p[0], p[1], z}) }

// between closes the faces at height z: up where only the lower layer has
// material, down where only the upper has.
func (s *Solid) between(a arrangement, below, above sides, z float64) {
	add := func(up float64, has func(k, side int) bool) {
		var edges []edge
		for _, e := range a.boundary(has) {
			i, k := s.at(e[0], z), s.at(e[1], z)
			if up < 0 {
				i, k = k, i
			}
			edges = append(edges, edge{i, k})
		}
		s.fill(edges, mesh.Vec{0, 0, up})
	}
	add(1, func(k, side int) bool { return below[k][side] && !above[k][side] })
	add(-1, func(k, side int) bool { return above[k][side] && !below[k][side] })
}
