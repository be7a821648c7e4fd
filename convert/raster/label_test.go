package raster

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
)

// labelled is a blank picture, as wide as one that is printed, with labels at its middle
// and so far to the right.
func labelled(texts ...string) *Picture {
	p := &Picture{View: Orthographic(mesh.Vec{}, mesh.Vec{0, 1, 0}, mesh.Vec{0, 0, 1}, 1, 960, 720), Width: 960, Height: 720}
	for _, text := range texts {
		p.Labels = append(p.Labels, Label{Text: text})
	}
	return p
}

// drawn counts the dark and the light pixels of the plate in the middle.
func drawn(p *Picture) (dark, light int) {
	img := p.draw()
	for y := range p.Height {
		for x := range p.Width {
			if math.Hypot(float64(x)-479.5, float64(y)-359.5) > halfLabel*960-1 {
				continue
			}
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x4000 {
				dark++
			} else if r > 0xc000 {
				light++
			}
		}
	}
	return dark, light
}

func TestLabelIsADigitOnADarkPlate(t *testing.T) {
	seen := map[string]string{}
	for _, digit := range []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9"} {
		p := labelled(digit)
		dark, light := drawn(p)
		require.Greater(t, dark, 300, digit)
		require.Greater(t, light, 40, digit)
		pix := string(p.draw().Pix)
		require.NotContains(t, seen, pix, "%s looks as %s", digit, seen[pix])
		seen[pix] = digit
	}
	dark, light := drawn(labelled())
	require.Zero(t, dark)
	require.Greater(t, light, 600, "the paper alone")
}

func TestNoLabelCoversAnother(t *testing.T) {
	one, _ := drawn(labelled("8"))
	p := labelled("8", "8", "1 5", "2 6", "12", "4", "4", "4")
	p.Labels = append(p.Labels, Label{At: mesh.Vec{0.01}, Beyond: mesh.Vec{0.01}, Text: "9"}, Label{At: mesh.Vec{0.03}, Beyond: mesh.Vec{0.03}, Text: "10 11"})
	many, _ := drawn(p)
	require.Equal(t, one, many, "the first is whole")
	s := newSheet(p)
	require.Len(t, s.plates, 10)
	for i := range s.plates {
		for k := range i {
			require.False(t, s.plates[i].meets(s.plates[k]), "%d and %d", i, k)
		}
		require.Less(t, math.Hypot(s.plates[i].x-480, s.plates[i].y-360), 960*0.15, "near its place")
	}
}

// A part is not covered by its own label.
func TestLabelStandsBeyondItsPlace(t *testing.T) {
	p := labelled()
	p.Labels = []Label{{Beyond: mesh.Vec{0, 0, 1}, Text: "3"}}
	s := newSheet(p)
	require.InDelta(t, 480, s.plates[0].x, 0.01)
	require.InDelta(t, 360-halfLabel*960, s.plates[0].y, 0.01)
}

func TestLabelThatIsNotSeenIsNotDrawn(t *testing.T) {
	p := labelled("1")
	p.View = Perspective(mesh.Vec{0, 1, 0}, mesh.Vec{0, 2, 0}, mesh.Vec{0, 0, 1}, 1, 0.1, 960, 720)
	require.Empty(t, newSheet(p).plates)
}

func TestPlateOfTwoDigitsIsLonger(t *testing.T) {
	one, _ := drawn(labelled("1"))
	s := newSheet(labelled("11"))
	require.Positive(t, s.plates[0].long)
	require.Len(t, s.plates[0].strokes, 4)
	two, _ := drawn(labelled("11"))
	require.NotEqual(t, one, two)
	require.Empty(t, newSheet(labelled(" ")).plates[0].strokes)
}
