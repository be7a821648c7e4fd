package solid

import (
	"math"

	"planfold/convert/mesh"
)

const screwSides = 36

// Screw is a shank from z = 0 to a height with a groove that rises by lead in a turn:
// right-handed, left-handed if that is negative, or rings if it is zero.
func Screw(radius, depth, pitch, lead, height float64) *mesh.Mesh {
	const perPitch = 8
	rows := int(math.Ceil(height / pitch * perPitch))
	m := &mesh.Mesh{}
	for k := range rows + 1 {
		z := height * float64(k) / float64(rows)
		for i := range screwSides {
			turn := float64(i) / screwSides
			r := radius - depth*(0.5-0.5*math.Cos(2*math.Pi*(z-turn*lead)/pitch))
			m.Positions = append(m.Positions, around(turn, r, z))
		}
	}
	for k := range rows {
		band(m, k*screwSides, (k+1)*screwSides)
	}
	for _, end := range []int{0, rows * screwSides} {
		middle := int32(len(m.Positions))
		m.Positions = append(m.Positions, mesh.Vec{0, 0, m.Positions[end][2]})
		for i := range screwSides {
			a, b := int32(end+i), int32(end+(i+1)%screwSides)
			if end == 0 {
				a, b = b, a
			}
			m.Triangles = append(m.Triangles, [3]int32{middle, a, b})
		}
	}
	return m
}

// Bored is a cylinder of a radius about a screw's shank, with the shank cut out of it.
func Bored(screw *mesh.Mesh, radius float64) *mesh.Mesh {
	n := len(screw.Positions) - 2 // without the middles of its ends
	m := &mesh.Mesh{Positions: append([]mesh.Vec{}, screw.Positions[:n]...)}
	for _, t := range screw.Triangles {
		if int(max(t[0], t[1], t[2])) < n {
			m.Triangles = append(m.Triangles, [3]int32{t[0], t[2], t[1]})
		}
	}
	for _, z := range []float64{m.Positions[0][2], m.Positions[n-1][2]} {
		for i := range screwSides {
			m.Positions = append(m.Positions, around(float64(i)/screwSides, radius, z))
		}
	}
	band(m, n, n+screwSides)
	band(m, 0, n)
	band(m, n+screwSides, n-screwSides)
	return m
}

func around(turn, r, z float64) mesh.Vec {
	sin, cos := math.Sincos(2 * math.Pi * turn)
	return mesh.Vec{r * cos, r * sin, z}
}

// band joins two rings of points; it faces out where the second is above the first.
func band(m *mesh.Mesh, first, second int) {
	for i := range screwSides {
		j := (i + 1) % screwSides
		a, b, c, d := int32(first+i), int32(first+j), int32(second+j), int32(second+i)
		m.Triangles = append(m.Triangles, [3]int32{a, b, c}, [3]int32{a, c, d})
	}
}
