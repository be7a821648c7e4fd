package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/draw"
)

// scenery has soft and hard changes of colour, and where asked for, of opacity.
func scenery(w, h int, clear bool) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.NRGBA{uint8(x * 255 / w), uint8(y * 255 / h), uint8(x * y % 251), 255}
			if (x/17+y/11)%2 == 0 {
				c.R, c.B = 255-c.R, 20
			}
			if clear && x > w/2 {
				c.A = uint8(y * 255 / h)
			}
			m.Set(x, y, c)
		}
	}
	return m
}

func pngOf(t testing.TB, m image.Image) []byte {
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, m))
	return b.Bytes()
}

func jpegOf(t testing.TB, m image.Image) []byte {
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}))
	return b.Bytes()
}

func decoded(t testing.TB, data []byte) (image.Image, string) {
	t.Helper()
	m, kind, err := image.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	return m, kind
}

// The same filter of another library, in floating point, agrees.
func TestScaledAsAnotherLibraryDoes(t *testing.T) {
	for _, source := range []image.Image{scenery(640, 400, false), scenery(301, 700, true)} {
		out, err := Fit(pngOf(t, source), 200)
		require.NoError(t, err)
		got, kind := decoded(t, out)
		assert.Equal(t, "png", kind)
		want := image.NewRGBA(got.Bounds())
		draw.CatmullRom.Scale(want, want.Bounds(), source, source.Bounds(), draw.Src, nil)
		worst, sum, n := 0, 0, 0
		for y := range want.Bounds().Dy() {
			for x := range want.Bounds().Dx() {
				a, b := color.RGBAModel.Convert(got.At(x, y)).(color.RGBA), want.RGBAAt(x, y)
				for _, d := range []int{int(a.R) - int(b.R), int(a.G) - int(b.G), int(a.B) - int(b.B), int(a.A) - int(b.A)} {
					worst, sum, n = max(worst, d, -d), sum+max(d, -d), n+1
				}
			}
		}
		assert.LessOrEqual(t, worst, 3)
		assert.Less(t, float64(sum)/float64(n), 0.3)
	}
}

func TestPicturesAreMadeNoLarger(t *testing.T) {
	small := pngOf(t, scenery(200, 100, false))
	out, err := Fit(small, 200)
	assert.NoError(t, err)
	assert.Nil(t, out)
	out, err = Fit(pngOf(t, scenery(3, 900, false)), 200)
	require.NoError(t, err)
	m, _ := decoded(t, out)
	assert.Equal(t, image.Pt(1, 200), m.Bounds().Size())
	again, _ := Fit(pngOf(t, scenery(3, 900, false)), 200)
	assert.Equal(t, out, again)
}

func TestAPlainColourStaysAsItIs(t *testing.T) {
	plain := image.NewNRGBA(image.Rect(0, 0, 500, 333))
	draw.Draw(plain, plain.Bounds(), image.NewUniform(color.NRGBA{200, 17, 93, 255}), image.Point{}, draw.Src)
	out, err := Fit(pngOf(t, plain), 128)
	require.NoError(t, err)
	m, _ := decoded(t, out)
	for y := range m.Bounds().Dy() {
		for x := range m.Bounds().Dx() {
			require.Equal(t, color.RGBA{200, 17, 93, 255}, color.RGBAModel.Convert(m.At(x, y)))
		}
	}
	grey := image.NewGray(image.Rect(0, 0, 500, 333))
	out, err = Fit(jpegOf(t, grey), 128)
	require.NoError(t, err)
	m, kind := decoded(t, out)
	assert.Equal(t, "jpeg", kind)
	assert.IsType(t, &image.Gray{}, m)
}

// withOrientation puts an Exif segment into a JPEG.
func withOrientation(data []byte, order binary.ByteOrder, orientation uint16) []byte {
	mark := []byte("MM\x00\x2a\x00\x00\x00\x08")
	if order == binary.LittleEndian {
		mark = []byte("II\x2a\x00\x08\x00\x00\x00")
	}
	tiff := append([]byte{}, mark...)
	u16 := func(v uint16) { tiff = append(tiff, 0, 0); order.PutUint16(tiff[len(tiff)-2:], v) }
	u32 := func(v uint32) { tiff = append(tiff, 0, 0, 0, 0); order.PutUint32(tiff[len(tiff)-4:], v) }
	u16(2)
	for _, e := range [][2]uint16{{256, 7}, {orientationTag, orientation}} {
		u16(e[0])
		u16(3)
		u32(1)
		u16(e[1])
		u16(0)
	}
	body := append([]byte("Exif\x00\x00"), tiff...)
	segment := append([]byte{0xff, 0xe1, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
	return append(append(append([]byte{}, data[:2]...), segment...), data[2:]...)
}

// The four corners come where one who holds the camera sees them (the table of CIPA
// DC-008, 4.6.4).
func TestPhotographsComeOutUpright(t *testing.T) {
	corner := []color.RGBA{{255, 0, 0, 255}, {0, 255, 0, 255}, {0, 0, 255, 255}, {255, 255, 255, 255}} // top left, top right, bottom left, bottom right
	for orientation, seen := range map[uint16][4]int{
		1: {0, 1, 2, 3}, 2: {1, 0, 3, 2}, 3: {3, 2, 1, 0}, 4: {2, 3, 0, 1},
		5: {0, 2, 1, 3}, 6: {2, 0, 3, 1}, 7: {3, 1, 2, 0}, 8: {1, 3, 0, 2}, 9: {0, 1, 2, 3},
	} {
		m := image.NewRGBA(image.Rect(0, 0, 400, 200))
		for i, c := range corner {
			draw.Draw(m, image.Rect(200*(i%2), 100*(i/2), 200*(i%2)+200, 100*(i/2)+100), image.NewUniform(c), image.Point{}, draw.Src)
		}
		for _, order := range []binary.ByteOrder{binary.BigEndian, binary.LittleEndian} {
			out, err := Fit(withOrientation(jpegOf(t, m), order, orientation), 100)
			require.NoError(t, err)
			got, _ := decoded(t, out)
			want := image.Pt(100, 50)
			if orientation >= 5 && orientation <= 8 {
				want = image.Pt(50, 100)
			}
			require.Equal(t, want, got.Bounds().Size(), "%d", orientation)
			for i, c := range seen {
				r, g, b, _ := got.At((want.X-1)*(i%2), (want.Y-1)*(i/2)).RGBA()
				is := color.RGBA{uint8(r >> 15 * 255), uint8(g >> 15 * 255), uint8(b >> 15 * 255), 255}
				assert.Equal(t, corner[c], is, "orientation %d, corner %d", orientation, i)
			}
		}
	}
}

func TestWhatCannotBeScaledIsSaid(t *testing.T) {
	huge := pngOf(t, scenery(4, 4, false))
	binary.BigEndian.PutUint32(huge[16:], 2_000_000)
	binary.BigEndian.PutUint32(huge[20:], 2_000_000)
	_, err := Fit(huge, 100)
	assert.Error(t, err, "the header's check sum is wrong")
	header := []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\xf0\x00\x00\x00\xf0\x00\x08\x06\x00\x00\x00")
	_, err = Fit(binary.BigEndian.AppendUint32(header, crc(header[12:])), 100)
	assert.ErrorIs(t, err, ErrHuge)

	var b bytes.Buffer
	require.NoError(t, gif.Encode(&b, scenery(300, 20, false), nil))
	_, err = Fit(b.Bytes(), 100)
	assert.ErrorContains(t, err, "only JPEG and PNG are scaled")
	out, err := Fit(b.Bytes(), 300)
	assert.NoError(t, err)
	assert.Nil(t, out)

	cut := jpegOf(t, scenery(400, 300, false))
	_, err = Fit(cut[:len(cut)/2], 100)
	assert.ErrorContains(t, err, "decode the picture")
	_, err = Fit([]byte("not a picture"), 100)
	assert.ErrorContains(t, err, "decode the picture")
}

func crc(b []byte) uint32 {
	c := ^uint32(0)
	for _, x := range b {
		c ^= uint32(x)
		for range 8 {
			c = c>>1 ^ 0xedb88320&-(c&1)
		}
	}
	return ^c
}

func FuzzFit(f *testing.F) {
	f.Add(pngOf(f, scenery(40, 30, true)))
	f.Add(withOrientation(jpegOf(f, scenery(40, 30, false)), binary.LittleEndian, 6))
	f.Fuzz(func(t *testing.T, data []byte) {
		if config, _, err := image.DecodeConfig(bytes.NewReader(data)); err != nil || config.Width*config.Height > 1<<20 {
			return
		}
		out, err := Fit(data, 16)
		if err != nil || out == nil {
			return
		}
		m, _ := decoded(t, out)
		if s := m.Bounds().Size(); max(s.X, s.Y) != 16 {
			t.Fatalf("%v", s)
		}
	})
}

func BenchmarkFitPhotograph(b *testing.B) {
	data := jpegOf(b, scenery(4000, 3000, false))
	for b.Loop() {
		if _, err := Fit(data, 2048); err != nil {
			b.Fatal(err)
		}
	}
}
