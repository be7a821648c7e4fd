package solid

import "math"

// Thread is sections of a right-hand helical thread between two heights, with
// runouts of one pitch at both ends. Its depth is that of ISO 68-1's basic
// profile, 5/8 of the height 0.866 P; the loops have n points.
func Thread(low, high, diameter, pitch float64, n int) []Section {
	const perPitch = 6
	rows := int(math.Ceil((high - low) / pitch * perPitch))
	depth := 0.625 * math.Sqrt(3) / 2 * pitch
	out := make([]Section, 0, rows+1)
	for _, z := range Slices(low, high, rows) {
		fade := min(1, (z-low)/pitch, (high-z)/pitch)
		l := make(Loop, n)
		for i := range l {
			turn := z/pitch - float64(i)/float64(n)
			l[i] = toward(2*math.Pi*float64(i)/float64(n), diameter/2-depth*fade*groove(turn-math.Floor(turn)))
		}
		out = append(out, Section{Z: z, Loops: []Loop{l}})
	}
	return out
}

// groove is how deep the profile is at a part of the pitch: flat crest, straight
// flanks, flat root.
func groove(t float64) float64 {
	d := math.Abs(t - 0.5) // 0 in the middle of the groove
	return min(1, max(0, (0.4375-d)/0.3125))
}
