package raster

import "image/color"

// ink is a colour of the picture: how light it is, and how much of the accent is in it,
// both 0 to 255.
//
// The accent is a blue. People who see red and green alike tell it from grey; on the
// focus it is dark beside the light context, so that a print without colour shows the
// two apart as well.
type ink struct{ tone, tint int32 }

var (
	blank       = ink{255, 0}
	contextDark = ink{118, 0}
	contextLit  = ink{246, 0}
	contextLine = ink{110, 0}
	focusDark   = ink{40, 255}
	focusLit    = ink{168, 255}
	focusLine   = ink{14, 200}
	stillDark   = ink{112, 204}
	stillLit    = ink{226, 204}
	ghost       = ink{96, 255}
	ghostLit    = ink{200, 255}
	arrow       = ink{20, 255}
	plateInk    = ink{24, 0}
)

// mix goes from one ink to another, by 0 to 255.
func (a ink) mix(b ink, by int32) ink {
	if by == 0 {
		return a
	}
	return ink{a.tone + ((b.tone-a.tone)*by+127)/255, a.tint + ((b.tint-a.tint)*by+127)/255}
}

// shades is how many tones the palette has of each tint, from none to all. What is
// grey and what is in focus are large; what lies between are edges and ghosts.
var shades = [...]int32{92, 27, 27, 27, 27, 56}

const tints = int32(len(shades)) - 1

// palette holds the colours in the order of shades; first is where each tint begins.
var palette, first = func() (p color.Palette, first [tints + 1]int32) {
	for tint, n := range shades {
		first[tint] = int32(len(p))
		for i := range n {
			c := ink{(i*255 + (n-1)/2) / (n - 1), int32(tint) * 255 / tints}
			p = append(p, c.color())
		}
	}
	return p, first
}()

// paper is the index of blank.
var paper = blank.index()

// index is the nearest colour of the palette.
func (a ink) index() uint8 {
	tint := (a.tint*tints + 127) / 255
	n := shades[tint] - 1
	return uint8(first[tint] + (a.tone*n+127)/255)
}

// accent is the colour that a full tint has at tones from dark to light.
var accent = [...][3]int32{{0, 14, 44}, {0, 54, 128}, {22, 106, 214}, {98, 166, 246}, {236, 244, 255}}

func (a ink) color() color.RGBA {
	const steps = int32(len(accent)) - 1
	k := min(a.tone*steps/255, steps-1)
	var out [3]uint8
	for i := range out {
		from, to := accent[k][i], accent[k+1][i]
		full := from + (to-from)*(a.tone*steps-k*255)/255
		out[i] = uint8(a.tone + (full-a.tone)*a.tint/255)
	}
	return color.RGBA{out[0], out[1], out[2], 255}
}
