package raster

import (
	"math"

	"planfold/convert/mesh"
)

// View is from where something is looked at. Make it with Perspective or Orthographic.
type View struct {
	Position          mesh.Vec
	Right, Up, Toward mesh.Vec // unit vectors; Toward is where the eye looks

	perspective bool
	scale       float64 // samples a unit, at distance 1 in perspective
	nearest     float64 // distance at which what stands before it is cut off
	cx, cy      float64
}

// Perspective looks from a position to another; field is the angle from the bottom to
// the top of the buffer, radians, less than half a turn. Nothing nearer than nearest is
// seen. Up must not lie along the line of sight.
func Perspective(position, towards, up mesh.Vec, field, nearest float64, width, height int) *View {
	v := &View{Position: position, Toward: towards.Sub(position).Unit(), perspective: true, nearest: nearest}
	v.turn(up)
	v.size(width, height)
	v.scale = float64(height) / 2 / tan(field/2)
	return v
}

// Orthographic looks along a direction at a middle; half the buffer's height shows a
// length of radius.
func Orthographic(middle, toward, up mesh.Vec, radius float64, width, height int) *View {
	v := &View{Position: middle, Toward: toward.Unit(), scale: float64(height) / 2 / radius}
	v.turn(up)
	v.size(width, height)
	return v
}

func (v *View) turn(up mesh.Vec) {
	v.Right = v.Toward.Cross(up).Unit()
	v.Up = v.Right.Cross(v.Toward)
}

// size puts the middle of the first sample at zero.
func (v *View) size(width, height int) {
	v.cx, v.cy = float64(float64(width)/2)-0.5, float64(float64(height)/2)-0.5
}

// finer is the view for a buffer with so many samples to one, each way.
func (v *View) finer(times int) *View {
	w := *v
	k := float64(times)
	w.scale = float64(v.scale * k)
	w.cx, w.cy = float64((v.cx+0.5)*k)-0.5, float64((v.cy+0.5)*k)-0.5
	return &w
}

// seen is a place as the eye has it: right, up, away.
func (v *View) seen(p mesh.Vec) mesh.Vec {
	d := p.Sub(v.Position)
	return mesh.Vec{v.Right.Dot(d), v.Up.Dot(d), v.Toward.Dot(d)}
}

// project makes a point of what seen gives, beyond the nearest distance.
func (v *View) project(p mesh.Vec) point {
	k, near := v.scale, -p[2]
	if v.perspective {
		near = 1 / p[2]
		k = float64(k * near)
	}
	return point{x: v.cx + float64(p[0]*k), y: v.cy - float64(p[1]*k), near: near}
}

// Spot is where a place is seen, in samples from the upper left corner of the buffer; not
// ok for what is too near.
func (v *View) Spot(p mesh.Vec) (x, y float64, ok bool) {
	s := v.seen(p)
	if v.cuts(s) {
		return 0, 0, false
	}
	at := v.project(s)
	return at.x + 0.5, at.y + 0.5, true
}

// Width is that of the buffer, in samples.
func (v *View) Width() float64 { return float64(2 * (v.cx + 0.5)) }

// cuts reports whether a place, as seen gives it, is too near.
func (v *View) cuts(p mesh.Vec) bool { return v.perspective && p[2] < v.nearest }

// distance from the eye of what is so near.
func (v *View) distance(near float32) float64 {
	if v.perspective {
		return 1 / float64(near)
	}
	return -float64(near)
}

// tan of 0 to less than a quarter turn, by Lambert's continued fraction: of math, the
// tangent is not the same on every machine.
func tan(x float64) float64 {
	half := math.Min(x, 1.57) / 2
	square, below := float64(half*half), 25.0
	for k := 23.0; k > 0; k -= 2 {
		below = k - square/below
	}
	t := half / below
	return 2 * t / (1 - float64(t*t))
}
