package mesh

// Grain is what two places of m may differ by and mean the same: about what rounding
// to six digits leaves of its size, or to float32 of its coordinates, some times over.
func (m *Mesh) Grain() float64 {
	box := m.Bounds()
	largest := max(-box.Min[0], -box.Min[1], -box.Min[2], box.Max[0], box.Max[1], box.Max[2])
	return max(box.Diagonal()/(1<<16), largest/(1<<21))
}

// Facing is a triangle's normal, as long as twice its area; none of a sliver, whose
// height is within the grain: which way it lies is noise.
func (m *Mesh) Facing(t [3]int32, grain float64) Vec {
	a, b, c := m.Positions[t[0]], m.Positions[t[1]], m.Positions[t[2]]
	ab, ac, bc := b.Sub(a), c.Sub(a), c.Sub(b)
	n := ab.Cross(ac)
	longest := max(ab.Dot(ab), ac.Dot(ac), bc.Dot(bc))
	if n.Dot(n) <= float64(float64(grain*grain)*longest) {
		return Vec{}
	}
	return n
}
