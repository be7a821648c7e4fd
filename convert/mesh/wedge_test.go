package mesh

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Each corner has the attributes it was given, or plain ones, and no two wedges of a
// vertex are equal.
func TestAttachedAttributesComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		attributes := rapid.Custom(func(t *rapid.T) Attributes {
			a := Plain
			a.TexCoord[0] = rapid.SampledFrom([]float32{0, 0, 0, 1, 2}).Draw(t, "u")
			a.Color[2] = rapid.SampledFrom([]float32{1, 1, 0.5}).Draw(t, "blue")
			return a
		})
		var w Welder
		var want [][3]Attributes
		for range rapid.IntRange(1, 60).Draw(t, "triangles") {
			corner := func() int32 {
				return w.Vertex(Vec{float64(rapid.IntRange(0, 6).Draw(t, "x"))})
			}
			if !w.Triangle(corner(), corner(), corner(), 0) {
				continue
			}
			of := [3]Attributes{Plain, Plain, Plain}
			if rapid.IntRange(0, 4).Draw(t, "given") > 0 {
				of = [3]Attributes{attributes.Draw(t, "a"), attributes.Draw(t, "b"), attributes.Draw(t, "c")}
				w.Attach(&of, true, true)
			}
			want = append(want, of)
		}
		m := w.Mesh()
		if m == nil || m.Wedges == nil {
			return
		}
		type key struct {
			vertex int32
			Attributes
		}
		distinct := map[key]bool{}
		var got [][3]Attributes
		for i, t := range m.Wedges {
			var of [3]Attributes
			for k, n := range t {
				of[k] = Attributes{m.Colors[n], m.TexCoords[n]}
				distinct[key{m.Triangles[i][k], of[k]}] = true
			}
			got = append(got, of)
		}
		assert.Equal(t, want, got)
		assert.Len(t, m.Colors, len(distinct))
		assert.Len(t, m.TexCoords, len(distinct))
	})
}
