package mesh

// DropTexCoords takes the texture coordinates off m, and the seams that only they made.
func (m *Mesh) DropTexCoords() {
	if m.TexCoords == nil {
		return
	}
	m.TexCoords = nil
	if m.Colors == nil {
		m.Wedges = nil
		return
	}
	type look struct {
		vertex int32
		color  [4]float32
	}
	known := map[look]int32{}
	var colors [][4]float32
	wedges := make([][3]int32, len(m.Wedges))
	for i, t := range m.Triangles {
		for k, v := range t {
			l := look{v, m.Colors[m.Wedges[i][k]]}
			w, there := known[l]
			if !there {
				w = int32(len(colors))
				known[l] = w
				colors = append(colors, l.color)
			}
			wedges[i][k] = w
		}
	}
	m.Wedges, m.Colors = wedges, colors
}
