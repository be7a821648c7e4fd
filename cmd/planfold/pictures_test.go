package main

import (
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/scene"
)

// Each step of the demo has a picture, on which what the step is about is seen: in a
// colour, on what is grey.
func TestPicturesShowWhatStepsAreAbout(t *testing.T) {
	e := demoEdition(t)
	for i, s := range e.steps {
		p := s.Picture
		require.NotNil(t, p, s.ID.Value)
		f, err := os.Open(filepath.Join(e.folder, "steps", e.manifest.Steps[i].Folder, p.URI))
		require.NoError(t, err)
		img, err := png.Decode(f)
		require.NoError(t, err)
		require.NoError(t, f.Close())
		require.Equal(t, [2]int{p.Width, p.Height}, [2]int{img.Bounds().Dx(), img.Bounds().Dy()})
		blue, drawn := 0, 0
		for y := range p.Height {
			for x := range p.Width {
				r, g, b, _ := img.At(x, y).RGBA()
				if b > r+0x3000 {
					blue++
				}
				if r+g+b < 3*0xffff {
					drawn++
				}
			}
		}
		assert.Greater(t, drawn, p.Width*p.Height/50, s.ID.Value)
		focus := 0
		for _, n := range s.Scene.Nodes {
			if n.Role == scene.Focus {
				focus += n.Triangles
			}
		}
		if focus > 0 {
			assert.Greater(t, blue, 1000, s.ID.Value)
		} else {
			assert.Zero(t, blue, s.ID.Value)
		}
	}
}
