package mesh

// Linear is the linear value of an sRGB component, both 0 to 1; values outside
// are clamped. IEC 61966-2-1: ((c + 0.055) / 1.055) to the power of 2.4. The
// power is taken as the fifth root to the twelfth, by operations that round
// alike on every machine.
func Linear(c float64) float64 {
	c = max(0, min(1, c))
	if c <= 0.04045 {
		return c / 12.92
	}
	c = (c + 0.055) / 1.055
	root := 1.0
	for range 12 { // Newton from above: past full precision for c of 0.09 to 1
		r2 := root * root
		root = (float64(4*root) + c/(r2*r2)) / 5
	}
	r4 := root * root * root * root
	return r4 * r4 * r4
}
