package demo

import (
	"math"

	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"
)

// Bearings have the boundary dimensions of ISO 15 (deep groove) and ISO 355
// (taper); what is inside is drawn to look right, not to be made.

var (
	steel  = solid.Look{Name: "bearing steel", Color: [4]float64{0.62, 0.63, 0.65, 1}, Metallic: 0.9, Roughness: 0.25}
	balls  = solid.Look{Name: "polished steel", Color: [4]float64{0.8, 0.81, 0.83, 1}, Metallic: 1, Roughness: 0.1}
	pocket = solid.Look{Name: "cage brass", Color: [4]float64{0.6, 0.42, 0.13, 1}, Metallic: 0.8, Roughness: 0.4}
	glass  = solid.Look{Name: "glass", Color: [4]float64{0.75, 0.85, 0.9, 0.35}, Metallic: 0, Roughness: 0.05}
	zinc   = solid.Look{Name: "zinc plated", Color: [4]float64{0.55, 0.57, 0.6, 1}, Metallic: 0.8, Roughness: 0.45}
	red    = solid.Look{Name: "red cap", Color: [4]float64{0.55, 0.05, 0.04, 1}, Metallic: 0, Roughness: 0.6}
)

const ringSides = 96

// ballBearing lies on z = 0, from bore to outside diameter.
type ballBearing struct {
	bore, outside, width float64
	ball                 float64 // diameter
	count                int
}

func (b ballBearing) glb() ([]byte, error) {
	pitch, z := (b.bore+b.outside)/4, b.width/2
	groove := b.ball * 0.515
	ro, ri := pitch+0.3*b.ball, pitch-0.3*b.ball
	half := math.Acos(0.3*b.ball/groove) * 180 / math.Pi
	R, r, c := b.outside/2, b.bore/2, 1.0
	outer := solid.Loop{{R - c, 0}, {R, c}, {R, b.width - c}, {R - c, b.width}, {ro, b.width}}
	outer = append(outer, solid.Arc(solid.Point{pitch, z}, groove, half, -half, 13)...)
	outer = append(outer, solid.Point{ro, 0})
	inner := solid.Loop{{ri, 0}}
	inner = append(inner, solid.Arc(solid.Point{pitch, z}, groove, 180+half, 180-half, 13)...)
	inner = append(inner, solid.Point{ri, b.width}, solid.Point{r + c, b.width}, solid.Point{r, b.width - c}, solid.Point{r, c}, solid.Point{r + c, 0})
	ball := solid.Revolve(sphere(b.ball/2), 24)
	return solid.GLB("deep-groove-bearing", []solid.Placed{
		{Piece: solid.Piece{Name: "outer-ring", Solid: solid.Revolve(outer, ringSides), Look: steel}},
		{Piece: solid.Piece{Name: "inner-ring", Solid: solid.Revolve(inner, ringSides), Look: steel}},
		{Piece: solid.Piece{Name: "cage", Solid: b.cage(pitch), Look: pocket}},
		{Piece: solid.Piece{Name: "ball", Solid: ball, Look: balls}, Places: turnedAbout(b.count, pitch, z)},
	})
}

// sphere is half a circle's outline, from pole to pole.
func sphere(r float64) solid.Loop {
	l := solid.Loop(solid.Arc(solid.Point{}, r, -90, 90, 15))
	l[0][0], l[len(l)-1][0] = 0, 0
	return l
}

// turnedAbout places n copies around z, each turned with its place.
func turnedAbout(n int, r, z float64) []mesh.Mat {
	var out []mesh.Mat
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out = append(out, axes(mesh.Vec{cos, sin, 0}, mesh.Vec{-sin, cos, 0}, mesh.Vec{0, 0, 1}, mesh.Vec{r * cos, r * sin, z}))
	}
	return out
}

// cage is two rings beside the balls and bars between them.
func (b ballBearing) cage(pitch float64) *solid.Solid {
	ring := func(low, high float64) *solid.Solid {
		return solid.Revolve(solid.Loop{{pitch - 1.6, low}, {pitch + 1.6, low}, {pitch + 1.6, high}, {pitch - 1.6, high}}, ringSides)
	}
	z, off := b.width/2, b.ball/2+0.2
	parts := []*solid.Solid{ring(z-off-0.9, z-off), ring(z+off, z+off+0.9)}
	bar := solid.Turned(16, [2]float64{z - off - 0.4, 1}, [2]float64{z + off + 0.4, 1})
	for i := range b.count {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(b.count))
		parts = append(parts, bar.Moved(upright(mesh.Vec{pitch * cos, pitch * sin, 0})))
	}
	return solid.Join(parts...)
}

// taperBearing has its cone's back face at z = 0 and the cup's at z = height.
type taperBearing struct {
	bore, outside      float64
	height, cone, cup  float64 // T, B, C of ISO 355
	count              int
	middle, tilt       float64 // radius of the rollers' middle; their tilt in radians
	thick, thin, reach float64 // diameters of a roller's ends and its length
}

func (b taperBearing) glb() ([]byte, error) {
	sin, cos := math.Sincos(b.tilt)
	zm := 1.5 + 0.7 + b.reach/2*cos + 0.6
	// at is a point a along the roller's axis (0: middle) and o beside it.
	at := func(a, o float64) solid.Point {
		return solid.Point{b.middle - a*sin + o*cos, zm + a*cos + o*sin}
	}
	h := b.reach / 2
	slope := func(o float64, z float64) float64 { // radius at height z of the line beside the rollers
		p, q := at(-h, o*b.thick/2), at(h, o*b.thin/2)
		return p[0] + (q[0]-p[0])*(z-p[1])/(q[1]-p[1])
	}
	R, r, T, B := b.outside/2, b.bore/2, b.height, b.cone
	const play = 0.03
	cup := solid.Loop{{slope(1, T-b.cup) + play, T - b.cup}, {R - 0.8, T - b.cup}, {R, T - b.cup + 0.8}, {R, T - 1}, {R - 1, T}, {slope(1, T) + play, T}}
	low, high := at(-h, -b.thick/2), at(h, -b.thin/2)
	cone := solid.Loop{
		{r + 0.8, 0},
		{low[0] + 2.2, 0},
		{low[0] + 2.2, low[1] - 0.8},
		{slope(-1, low[1]-0.8) - play, low[1] - 0.8},
		{slope(-1, high[1]+0.5) - play, high[1] + 0.5},
		{high[0] + 0.7, high[1] + 0.5},
		{high[0] + 0.7, B},
		{r + 0.8, B},
		{r, B - 0.8},
		{r, 0.8},
	}
	roller := solid.Turned(24, [2]float64{-h, b.thick/2 - 0.3}, [2]float64{-h + 0.3, b.thick / 2}, [2]float64{h - 0.3, b.thin / 2}, [2]float64{h, b.thin/2 - 0.3})
	tilted := roller.Moved(axes(mesh.Vec{cos, 0, sin}, mesh.Vec{0, 1, 0}, mesh.Vec{-sin, 0, cos}, mesh.Vec{}))
	p, q := at(-h-0.1, 0), at(h+0.4, 0)
	strip := func(c solid.Point) *solid.Solid {
		return solid.Revolve(solid.Loop{{c[0] - 0.9, c[1] - 0.4}, {c[0] + 0.9, c[1] - 0.4}, {c[0] + 0.9, c[1] + 0.4}, {c[0] - 0.9, c[1] + 0.4}}, ringSides)
	}
	p[1] -= 0.5
	q[1] += 0.3
	return solid.GLB("taper-bearing", []solid.Placed{
		{Piece: solid.Piece{Name: "cup", Solid: solid.Revolve(cup, ringSides), Look: steel}},
		{Piece: solid.Piece{Name: "cone", Solid: solid.Revolve(cone, ringSides), Look: steel}},
		{Piece: solid.Piece{Name: "cage", Solid: solid.Join(strip(p), strip(q)), Look: pocket}},
		{Piece: solid.Piece{Name: "roller", Solid: tilted, Look: balls}, Places: turnedAbout(b.count, b.middle, zm)},
	})
}

var (
	inputBearing  = ballBearing{bore: 30, outside: 62, width: 16, ball: 9.5, count: 9}
	outputBearing = ballBearing{bore: 50, outside: 90, width: 20, ball: 12.7, count: 10}
	middleBearing = taperBearing{
		bore: 35, outside: 72, height: 18.25, cone: 17, cup: 15, count: 17,
		middle: 26.7, tilt: 0.2, thick: 8.4, thin: 7.2, reach: 11.6,
	}
)
