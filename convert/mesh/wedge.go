package mesh

// Attributes are what a corner carries beside its place.
type Attributes struct {
	Color    [4]float32 // linear RGBA, 0 to 1
	TexCoord [2]float32
}

// Plain are the attributes of a corner that has none: white, without a texture.
var Plain = Attributes{Color: [4]float32{1, 1, 1, 1}}

// wedges numbers the attributes of corners, equal ones of a vertex alike.
type wedges struct {
	corners           [][3]int32 // by triangle
	list              []Attributes
	colored, textured bool
	latest            []int32 // by vertex: the wedge used last plus 1
	several           map[wedge]int32
}

// wedge is one of a vertex that has several.
type wedge struct {
	vertex int32
	Attributes
}

// Attach gives the corners of the triangle added last attributes, which must be
// finite. Corners that are given none are Plain.
func (w *Welder) Attach(corners *[3]Attributes, colored, textured bool) {
	n := len(w.triangles) - 1
	w.attachPlain(n)
	var t [3]int32
	for k, v := range w.triangles[n] {
		t[k] = w.wedges.number(v, &corners[k])
	}
	w.wedges.corners = append(w.wedges.corners, t)
	w.wedges.colored = w.wedges.colored || colored
	w.wedges.textured = w.wedges.textured || textured
}

// attachPlain makes up for triangles before number n that were given nothing.
func (w *Welder) attachPlain(n int) {
	for _, vertices := range w.triangles[len(w.wedges.corners):n] {
		var t [3]int32
		for k, v := range vertices {
			t[k] = w.wedges.number(v, &Plain)
		}
		w.wedges.corners = append(w.wedges.corners, t)
	}
}

func (w *wedges) number(vertex int32, a *Attributes) int32 {
	for len(w.latest) <= int(vertex) {
		w.latest = append(w.latest, 0)
	}
	before := w.latest[vertex] - 1
	if before >= 0 {
		if w.list[before] == *a {
			return before
		}
		if n, there := w.several[wedge{vertex, *a}]; there {
			w.latest[vertex] = n + 1
			return n
		}
	}
	n := int32(len(w.list))
	w.list = append(w.list, *a)
	w.latest[vertex] = n + 1
	if before >= 0 { // now the vertex has several
		if w.several == nil {
			w.several = map[wedge]int32{}
		}
		w.several[wedge{vertex, w.list[before]}] = before
		w.several[wedge{vertex, *a}] = n
	}
	return n
}

// give hands the attributes to the mesh.
func (w *wedges) give(m *Mesh) {
	if !w.colored && !w.textured {
		return
	}
	m.Wedges = w.corners
	for i := range w.list {
		if w.colored {
			m.Colors = append(m.Colors, w.list[i].Color)
		}
		if w.textured {
			m.TexCoords = append(m.TexCoords, w.list[i].TexCoord)
		}
	}
}
