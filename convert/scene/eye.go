package scene

import (
	"math"

	"planfold/convert/mesh"
)

const (
	// framed is from how many radii of the focus a view of the usual field takes it in:
	// 1 / sin (usualFieldOfView / 2).
	framed = 3.38
	// nearest a device is held to what is looked at, in metres.
	nearest = 0.3
)

// eye is where the step is looked at from. What is seen of a deviation is its angle:
// itself over the distance. A saved view's camera says the distance. Without one the
// view takes in the focus, from a side that nobody knows; what lies off the focus by
// r is then, over all sides, about √(from² + r²) away.
type eye struct {
	at   mesh.Vec
	from float64 // how far the eye is from at
}

func (c *composer) eye() eye {
	if c.saved != nil && c.saved.Camera != nil {
		return eye{at: c.saved.Camera.Position}
	}
	box := mesh.EmptyBox()
	for _, p := range c.pieces {
		if p.role == Focus {
			box.Join(p.bounds)
		}
	}
	if box.Empty() {
		return eye{from: math.Inf(1)}
	}
	return eye{box.Centre(), max(framed*0.5*box.Diagonal(), nearest)}
}

// closeness is 1 for what is nearest, and half for what is twice as far.
func (e eye) closeness(b mesh.Box) float64 {
	if math.IsInf(e.from, 1) || b.Empty() {
		return 1 // nothing is looked at more than the rest
	}
	d2 := float64(e.from * e.from)
	for k := range 3 {
		d := max(b.Min[k]-e.at[k], e.at[k]-b.Max[k], 0)
		d2 += float64(d * d)
	}
	return nearest / max(math.Sqrt(d2), nearest)
}
