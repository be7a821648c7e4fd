package drawing

import (
	"bytes"
	"fmt"
	"image/color"
	"image/png"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSheetPutsThingsInTheirPlaces(t *testing.T) {
	s := New(100, 60, Point{10, 0}, 2)
	s.Fill(Red, Rectangle(Point{10, 0}, Point{20, 10})...)
	s.Line(Blue, 3, Point{-10, -10}, Point{30, -10})
	data, err := s.PNG()
	require.NoError(t, err)
	p, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	at := func(x, y int) color.Color { return color.RGBAModel.Convert(p.At(x, y)) }
	assert.Equal(t, color.RGBA{0xb3, 0x2d, 0x1e, 0xff}, at(60, 20), "up is up")
	assert.Equal(t, color.RGBA{0xff, 0xff, 0xff, 0xff}, at(60, 40))
	assert.Equal(t, color.RGBA{0x1d, 0x5f, 0x8a, 0xff}, at(50, 50))
}

func TestTextAndArrowsStayWhereTheyAreAsked(t *testing.T) {
	s := New(200, 60, Point{100, 30}, 1)
	s.Text(Black, 20, 0, Point{100, 30}, "Maße")
	s.Arrow(Black, 1, Point{10, 5}, Point{190, 5})
	b := s.picture.Bounds()
	left, right := b.Max.X, b.Min.X
	for x := b.Min.X; x < b.Max.X; x++ {
		for y := 15; y < 45; y++ {
			if s.picture.RGBAAt(x, y).R < 128 {
				left, right = min(left, x), max(right, x)
			}
		}
	}
	assert.InDelta(t, 100, float64(left+right)/2, 3, "centred")
	assert.Less(t, s.picture.RGBAAt(185, 55).R, uint8(128), "the arrow's head")
}

// ISO 32000-1, 7.5.4: each entry of the cross-reference table is the byte offset
// of its object.
func TestPDFCrossReferencesAreRight(t *testing.T) {
	data := string(PDF("Öl (Blatt)", [][2]string{{"a", strings.Repeat("lang ", 40)}, {"", "b"}}))
	_, table, ok := strings.Cut(data, "xref\n0 7\n0000000000 65535 f \n")
	require.True(t, ok)
	for i := range 6 {
		var at int
		_, err := fmt.Sscanf(table[20*i:], "%010d 00000 n ", &at)
		require.NoError(t, err)
		assert.True(t, strings.HasPrefix(data[at:], fmt.Sprintf("%d 0 obj\n", i+1)))
	}
	var start int
	_, tail, _ := strings.Cut(table, "startxref\n")
	_, err := fmt.Sscanf(tail, "%d", &start)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(data[start:], "xref\n"))
	assert.Contains(t, data, "\xd6l \\(Blatt\\)", "Windows-1252, parentheses escaped")
}
