package stl

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
)

// sphere is a grid of n × n quads on a bumpy ball, as corners in millimetres.
func sphere(n int) (out [][3][3]float32) {
	at := func(i, j int) [3]float32 {
		a, b := 2*math.Pi*float64(i%n)/float64(n), math.Pi*float64(j)/float64(n)
		r := 50 + math.Sin(5*a)*math.Sin(7*b)
		return [3]float32{float32(r * math.Cos(a) * math.Sin(b)), float32(r * math.Sin(a) * math.Sin(b)), float32(r * math.Cos(b))}
	}
	for i := range n {
		for j := range n {
			a, b, c, d := at(i, j), at(i, j+1), at(i+1, j+1), at(i+1, j)
			out = append(out, [3][3]float32{a, b, c}, [3][3]float32{a, c, d})
		}
	}
	return out
}

func binarySTL(header string, facets [][3][3]float32) []byte {
	b := make([]byte, 80)
	copy(b, header)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(facets)))
	for _, f := range facets {
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

func textSTL(name string, facets [][3][3]float32) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "solid %s\n", name)
	for _, f := range facets {
		fmt.Fprint(&b, "  facet normal 0 0 0\n    outer loop\n")
		for _, c := range f {
			fmt.Fprintf(&b, "      vertex %v %v %v\n", c[0], c[1], c[2])
		}
		fmt.Fprint(&b, "    endloop\n  endfacet\n")
	}
	fmt.Fprintf(&b, "endsolid %s\n", name)
	return b.Bytes()
}

var tetra = [][3][3]float32{
	{{0, 0, 0}, {0, 1, 0}, {1, 0, 0}},
	{{0, 0, 0}, {1, 0, 0}, {0, 0, 1}},
	{{0, 0, 0}, {0, 0, 1}, {0, 1, 0}},
	{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
}

func decode(t testing.TB, data []byte) (*mesh.Scene, diag.List) {
	t.Helper()
	s, list, err := Decode(&source.File{Name: "a.stl", Data: data, Unit: 0.001})
	require.NoError(t, err)
	return s, list
}

func codes(list diag.List) (out []string) {
	for _, d := range list {
		out = append(out, d.Code)
	}
	return out
}

func TestBinaryThatStartsWithSolid(t *testing.T) {
	for _, header := range []string{"", "solid", "solid made by a program", "solid x\nfacet normal"} {
		s, list := decode(t, binarySTL(header, tetra))
		require.NotNil(t, s, "%q: %v", header, list)
		assert.Empty(t, list)
		assert.Len(t, s.Meshes[0].Positions, 4)
		assert.Equal(t, [][3]int32{{0, 1, 2}, {0, 2, 3}, {0, 3, 1}, {2, 1, 3}}, s.Meshes[0].Triangles)
	}
}

func TestTextInEveryDress(t *testing.T) {
	want, _ := decode(t, binarySTL("", tetra))
	plain := textSTL("part 7", tetra)
	for name, data := range map[string][]byte{
		"plain":                        plain,
		"upper case":                   bytes.ToUpper(plain),
		"CR LF":                        bytes.ReplaceAll(plain, []byte("\n"), []byte("\r\n")),
		"CR":                           bytes.ReplaceAll(plain, []byte("\n"), []byte("\r")),
		"tabs":                         bytes.ReplaceAll(plain, []byte("  "), []byte("\t\f\v")),
		"mark":                         append([]byte("\xef\xbb\xbf"), plain...),
		"leading":                      append([]byte(" \r\n\n"), plain...),
		"NaN normals":                  bytes.ReplaceAll(plain, []byte("normal 0 0 0"), []byte("normal nan -nan(ind) nan")),
		"exponents":                    bytes.ReplaceAll(plain, []byte("1"), []byte("+1.000E+00")),
		"no last line":                 bytes.TrimRight(plain, "\n"),
		"one solid's end without name": bytes.ReplaceAll(plain, []byte("endsolid part 7"), []byte("endsolid")),
	} {
		s, list := decode(t, data)
		require.NotNil(t, s, "%s: %v", name, list)
		assert.Empty(t, list, name)
		assert.Equal(t, want.Meshes, s.Meshes, name)
	}
	s, _ := decode(t, plain)
	assert.Equal(t, "part 7", s.Nodes[0].Name)
}

func TestEachSolidIsANode(t *testing.T) {
	data := append(textSTL("Gehäuse", tetra), textSTL("", tetra[:1])...)
	data = append(data, textSTL("empty", nil)...)
	data = append(data, textSTL("Deckel \xfc", tetra[1:2])...)
	s, list := decode(t, data)
	require.NotNil(t, s)
	assert.Empty(t, list)
	assert.Equal(t, []int{0, 1, 2, 3}, s.Roots)
	var names []string
	var meshes []int
	for _, n := range s.Nodes {
		names, meshes = append(names, n.Name), append(meshes, n.Mesh)
	}
	assert.Equal(t, []string{"Gehäuse", "", "empty", "Deckel ü"}, names, "Latin-1 is understood")
	assert.Equal(t, []int{0, 1, -1, 2}, meshes)
	assert.Equal(t, []int{-1}, s.Nodes[0].Materials)
}

func TestUnitScales(t *testing.T) {
	s, _ := decode(t, binarySTL("", tetra))
	assert.Equal(t, mesh.Box{Max: mesh.Vec{0.001, 0.001, 0.001}}, s.Meshes[0].Bounds())
}

func TestHeaderCountAllocatesNothing(t *testing.T) {
	data := binarySTL("", tetra)
	binary.LittleEndian.PutUint32(data[80:], math.MaxUint32)
	bytes := testing.Benchmark(func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			s, list := decode(b, data)
			assert.Nil(b, s)
			assert.Equal(b, []string{"GEOMETRY_TRUNCATED"}, codes(list))
		}
	}).AllocedBytesPerOp()
	assert.Less(t, bytes, int64(1<<16))
}

func TestBytesAfterTheLastFacet(t *testing.T) {
	s, list := decode(t, append(binarySTL("", tetra), "tail"...))
	require.NotNil(t, s)
	assert.Equal(t, []string{"GEOMETRY_TRAILING"}, codes(list))
	assert.Equal(t, diag.Position{File: "a.stl", Offset: 84 + 4*50, Binary: true}, list[0].Position)
	s, list = decode(t, append(textSTL("x", tetra), "\x1a"...))
	require.NotNil(t, s)
	assert.Equal(t, []string{"GEOMETRY_TRAILING"}, codes(list))
	assert.Equal(t, 31, list[0].Position.Line)
}

func TestEveryTruncationIsNoticed(t *testing.T) {
	for name, data := range map[string][]byte{"binary": binarySTL("x", tetra), "text": textSTL("x", tetra)} {
		end := len(bytes.TrimRight(data, "\nx ")) // "endsolid" ends a text, whatever follows
		if name == "binary" {
			end = len(data)
		}
		for n := range end {
			s, list := decode(t, data[:n])
			assert.Nil(t, s, "%s cut at %d", name, n)
			assert.NotEmpty(t, list)
		}
	}
}

func FuzzDecode(f *testing.F) {
	f.Add(binarySTL("solid", tetra))
	f.Add(textSTL("x", tetra))
	f.Add([]byte("solid\nfacet normal 0 0 0 outer loop vertex 1 nan 3"))
	f.Add([]byte("SOLID\r\nENDSOLID\r\nSOLID a"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, list := decode(t, data)
		if s == nil {
			if !list.HasError() {
				t.Fatalf("refused without an error: %v", list)
			}
			return
		}
		for _, m := range s.Meshes {
			for _, tri := range m.Triangles {
				for _, v := range tri {
					if !source.Near(m.Positions[v]) {
						t.Fatal("a position is not finite")
					}
				}
			}
		}
	})
}

func BenchmarkDecodeBinary(b *testing.B) { benchmark(b, binarySTL("", sphere(500))) }
func BenchmarkDecodeText(b *testing.B)   { benchmark(b, textSTL("", sphere(300))) }

func benchmark(b *testing.B, data []byte) {
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		decode(b, data)
	}
}
