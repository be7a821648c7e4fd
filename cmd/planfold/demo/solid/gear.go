package solid

import "math"

// Tooth flanks come from the basic rack of ISO 53 (profile A: pressure angle 20°,
// addendum 1 m, dedendum 1.25 m, root radius 0.38 m) by rolling its transverse
// section on the pitch circle: a rack point cuts where its normal passes through
// the pitch point (F. L. Litvin, "Theory of Gearing", NASA RP-1212, 1989). Terms
// and formulas of the diameters after ISO 21771.

// Gear is an involute helical gear; lengths in mm, angles in radians.
type Gear struct {
	Teeth  int
	Module float64 // normal
	Helix  float64 // at the pitch circle; positive is right-handed
	Thin   float64 // arc by which teeth are thinner at the pitch circle, for backlash
	Phase  float64 // direction of the middle of a tooth at height 0
}

const (
	pressureAngle = 20 * math.Pi / 180
	addendum      = 1.0
	dedendum      = 1.25
	rootRadius    = 0.38
)

// Pitch is the pitch diameter, d = z·mn/cos β.
func (g Gear) Pitch() float64 { return float64(g.Teeth) * g.Module / math.Cos(g.Helix) }

// Tip is the tip diameter.
func (g Gear) Tip() float64 { return g.Pitch() + 2*addendum*g.Module }

// Root is the root diameter.
func (g Gear) Root() float64 { return g.Pitch() - 2*dedendum*g.Module }

// transverse is the pressure angle across the axis: tan αt = tan αn/cos β.
func (g Gear) transverse() float64 { return math.Atan(math.Tan(pressureAngle) / math.Cos(g.Helix)) }

// polar is a point of a tooth space, its angle from the middle of the space.
type polar struct{ r, a float64 }

// half is the outline from the middle of a space to the middle of a tooth.
func (g Gear) half() []polar {
	r, m, cosB := g.Pitch()/2, g.Module, math.Cos(g.Helix)
	sin, cos := math.Sincos(pressureAngle)
	rho := rootRadius * m
	// The rack's tooth in its normal section: half its width at the pitch line
	// and the middle of its tip radius.
	s0 := math.Pi*m/4 + g.Thin*cosB/2
	yc := dedendum*m - rho
	xc := s0 - yc*sin/cos - rho/cos
	cut := func(x, y, nx, ny float64) polar {
		x, nx = x/cosB, nx*cosB
		px := y * nx / ny
		a := math.Atan2(px, r-y) - (px-x)/r
		return polar{math.Sqrt(float64(px*px) + float64((r-y)*(r-y))), a}
	}
	var out []polar
	root := cut(xc, dedendum*m, 0, 1)
	for i := range 2 {
		out = append(out, polar{root.r, root.a * float64(i) / 2})
	}
	const fillet, flank = 6, 9
	for i := range fillet {
		t := math.Pi/2 + (pressureAngle-math.Pi/2)*float64(i)/fillet
		ny, nx := math.Sincos(t)
		out = append(out, cut(xc+rho*nx, yc+rho*ny, nx, ny))
	}
	yf := yc + rho*sin
	yt := g.tipHeight()
	for i := range flank {
		y := yf + (yt-yf)*float64(i)/(flank-1)
		out = append(out, cut(s0-y*sin/cos, y, cos, sin))
	}
	tip := out[len(out)-1]
	end := math.Pi / float64(g.Teeth)
	return append(out, polar{tip.r, (tip.a + end) / 2}, polar{tip.r, end})
}

// tipHeight is the height over the pitch line (negative: away from the gear's
// axis) at which the rack cuts the tip circle.
func (g Gear) tipHeight() float64 {
	r, ra, s := g.Pitch()/2, g.Tip()/2, math.Sin(g.transverse())
	return s * s * (r - math.Sqrt(float64(r*r)+float64(ra*ra-float64(r*r))/(s*s)))
}

// Loop is the outline at height z.
func (g Gear) Loop(z float64) Loop {
	half := g.half()
	pitch := 2 * math.Pi / float64(g.Teeth)
	turn := g.Phase + pitch/2 + z*2*math.Tan(g.Helix)/g.Pitch()
	var l Loop
	for k := range g.Teeth {
		middle := turn + pitch*float64(k)
		for i := len(half) - 2; i > 0; i-- {
			l = append(l, toward(middle-half[i].a, half[i].r))
		}
		for _, p := range half {
			l = append(l, toward(middle+p.a, p.r))
		}
	}
	return l
}

func toward(a, r float64) Point {
	sin, cos := math.Sincos(a)
	return Point{r * cos, r * sin}
}

// Slices are heights from low to high at which to cut a helical gear's width.
func Slices(low, high float64, n int) []float64 {
	out := make([]float64, n+1)
	for i := range out {
		out[i] = low + (high-low)*float64(i)/float64(n)
	}
	out[n] = high
	return out
}
