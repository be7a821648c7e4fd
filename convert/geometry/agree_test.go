package geometry

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

type soup [][3][3]float32

func (s soup) binary() []byte {
	b := make([]byte, 80)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(s)))
	for _, f := range s {
		b = append(b, make([]byte, 12)...)
		for _, c := range f {
			for _, v := range c {
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
			}
		}
		b = append(b, 0, 0)
	}
	return b
}

func (s soup) text() []byte {
	var b bytes.Buffer
	b.WriteString("solid\n")
	for _, f := range s {
		b.WriteString("facet normal 0 0 0\nouter loop\n")
		for _, c := range f {
			fmt.Fprintf(&b, "vertex %v %v %v\n", float64(c[0]), float64(c[1]), float64(c[2]))
		}
		b.WriteString("endloop\nendfacet\n")
	}
	b.WriteString("endsolid\n")
	return b.Bytes()
}

func (s soup) obj() []byte {
	var b bytes.Buffer
	for i, f := range s {
		for _, c := range f {
			fmt.Fprintf(&b, "v %v %v %v\n", float64(c[0]), float64(c[1]), float64(c[2]))
		}
		if i%2 == 0 {
			b.WriteString("f -3 -2 -1\n")
		} else {
			fmt.Fprintf(&b, "f %d %d %d\n", 3*i+1, 3*i+2, 3*i+3)
		}
	}
	return b.Bytes()
}

func (s soup) gltf() []byte {
	var bin []byte
	for _, f := range s {
		for _, c := range f {
			for _, v := range c {
				bin = binary.LittleEndian.AppendUint32(bin, math.Float32bits(v))
			}
		}
	}
	text := fmt.Sprintf(`{"asset": {"version": "2.0"}, "nodes": [{"mesh": 0}], "meshes": [{"primitives": [{"attributes": {"POSITION": 0}}]}],
		"accessors": [{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": %d}],
		"bufferViews": [{"buffer": 0, "byteLength": %d}], "buffers": [{"byteLength": %[2]d}]}`, 3*len(s), len(bin))
	return container(text, bin)
}

func container(text string, bin []byte) []byte {
	for len(text)%4 > 0 {
		text += " "
	}
	b := binary.LittleEndian.AppendUint32([]byte("glTF\x02\x00\x00\x00"), uint32(28+len(text)+len(bin)))
	b = append(binary.LittleEndian.AppendUint32(b, uint32(len(text))), "JSON"+text...)
	return append(append(binary.LittleEndian.AppendUint32(b, uint32(len(bin))), "BIN\x00"...), bin...)
}

// A soup of triangles, whichever format it is written in, is the same mesh.
func TestFormatsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.OneOf(
			rapid.SampledFrom([]float32{0, float32(math.Copysign(0, -1)), 1, -1, 0.1, 1e-38, 3.5}),
			rapid.Float32Range(-1e8, 1e8))
		corner := rapid.Custom(func(t *rapid.T) [3]float32 {
			return [3]float32{number.Draw(t, "x"), number.Draw(t, "y"), number.Draw(t, "z")}
		})
		places := rapid.SliceOfN(corner, 1, 20).Draw(t, "places")
		pick := rapid.Custom(func(t *rapid.T) [3][3]float32 {
			p := rapid.SampledFrom(places)
			return [3][3]float32{p.Draw(t, "a"), p.Draw(t, "b"), p.Draw(t, "c")}
		})
		s := soup(rapid.SliceOfN(pick, 1, 60).Draw(t, "soup"))
		files := fstest.MapFS{"b.stl": {Data: s.binary()}, "t.stl": {Data: s.text()}, "o.obj": {Data: s.obj()}, "g.glb": {Data: s.gltf()}}
		first, want, err := Decode(files, "b.stl", Options{Unit: 1, Up: 'Y'})
		require.NoError(t, err)
		for _, name := range []string{"t.stl", "o.obj", "g.glb"} {
			scene, list, err := Decode(files, name, Options{Unit: 1, Up: 'Y'})
			require.NoError(t, err)
			require.Equal(t, first == nil, scene == nil, "%s: %v", name, list)
			require.Len(t, list, len(want))
			for i := range list {
				assert.Equal(t, want[i].Code+want[i].Message, list[i].Code+list[i].Message)
			}
			if first != nil {
				assert.Equal(t, first.Meshes, scene.Meshes, name)
			}
		}
	})
}

func TestFormatOf(t *testing.T) {
	s := soup{{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}}
	for _, c := range []struct {
		head []byte
		name string
		want string
	}{
		{s.binary(), "a.STL", "stl"},
		{s.binary(), "a.bin", ""},
		{s.text(), "a.bin", "stl"},
		{s.text(), "a.obj", "stl"},
		{s.obj(), "a.bin", "obj"},
		{[]byte("# made by hand\n\nv 0 0 0"), "a", "obj"},
		{[]byte("{}"), "a.gltf", "gltf"},
		{[]byte("\xef\xbb\xbf {"), "a", "gltf"},
		{s.gltf(), "a.stl", "glb"},
		{[]byte("%PDF-2.0"), "a.pdf", ""},
		{nil, "a", ""},
		{nil, "a.obj", "obj"},
	} {
		assert.Equal(t, c.want, FormatOf(c.head, c.name), "%.12q %s", c.head, c.name)
	}
}
