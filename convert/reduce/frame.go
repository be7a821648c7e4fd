package reduce

import (
	"math"

	"planfold/convert/mesh"
)

// frame moves a mesh to the centre of its bounds and scales it to about 1, by a
// power of two so that the scale itself rounds nothing.
type frame struct {
	centre     mesh.Vec
	small, big float64 // the scale in and out
}

func frameOf(b mesh.Box) frame {
	if b.Empty() {
		return frame{small: 1, big: 1}
	}
	_, e := math.Frexp(b.Diagonal())
	return frame{b.Centre(), math.Ldexp(1, -e), math.Ldexp(1, e)}
}

func (f frame) in(p mesh.Vec) mesh.Vec {
	return p.Sub(f.centre).Scale(f.small)
}

func (f frame) out(p mesh.Vec) mesh.Vec {
	return p.Scale(f.big).Add(f.centre)
}

// single is p as float32 about a centre.
func single(p, centre mesh.Vec) mesh.Vec {
	var out mesh.Vec
	for k := range 3 {
		out[k] = centre[k] + float64(float32(p[k]-centre[k]))
	}
	return out
}
