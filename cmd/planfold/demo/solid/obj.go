package solid

import (
	"bytes"
	"fmt"
	"strconv"
)

// Piece is a named part of a file with its look.
type Piece struct {
	Name  string
	Solid *Solid
	Look  Look
}

// Look is a material; the colour is linear red, green, blue and opacity.
type Look struct {
	Name      string
	Color     [4]float64
	Metallic  float64
	Roughness float64
}

// OBJ is the pieces as a Wavefront OBJ file, a group and a material each, and the
// material library that it names.
func OBJ(library string, pieces []Piece) (obj, mtl []byte) {
	var o, m bytes.Buffer
	fmt.Fprintf(&o, "# planfold demo, millimetres\nmtllib %s\n", library)
	base := 1
	seen := map[string]bool{}
	for _, p := range pieces {
		fmt.Fprintf(&o, "g %s\nusemtl %s\n", p.Name, p.Look.Name)
		for _, v := range p.Solid.Points {
			fmt.Fprintf(&o, "v %s %s %s\n", short(v[0]), short(v[1]), short(v[2]))
		}
		for _, t := range p.Solid.Triangles {
			fmt.Fprintf(&o, "f %d %d %d\n", int(t[0])+base, int(t[1])+base, int(t[2])+base)
		}
		base += len(p.Solid.Points)
		if !seen[p.Look.Name] {
			seen[p.Look.Name] = true
			c := p.Look.Color
			fmt.Fprintf(&m, "newmtl %s\nKd %s %s %s\nd %s\n", p.Look.Name, short(c[0]), short(c[1]), short(c[2]), short(c[3]))
		}
	}
	return o.Bytes(), m.Bytes()
}

// short is x to the tenth of a micrometre.
func short(x float64) string {
	s := strconv.FormatFloat(x, 'f', 4, 64)
	if s == "-0.0000" {
		return "0.0000"
	}
	return s
}
