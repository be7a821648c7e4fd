package obj

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

func decode(t testing.TB, text string, side ...string) (*mesh.Scene, diag.List) {
	t.Helper()
	files := fstest.MapFS{}
	for i := 0; i+1 < len(side); i += 2 {
		files[side[i]] = &fstest.MapFile{Data: []byte(side[i+1])}
	}
	s, list, err := Decode(&source.File{FS: files, Name: "parts/a.obj", Data: []byte(text), Unit: 1})
	require.NoError(t, err)
	return s, list
}

func places(list diag.List) (out []string) {
	for _, d := range list {
		out = append(out, d.Position.String()+" "+d.Code)
	}
	return out
}

const square = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\n"

func TestFaces(t *testing.T) {
	for name, text := range map[string]string{
		"triangles":       square + "f 1 2 3\nf 1 3 4\n",
		"quad":            square + "f 1 2 3 4\n",
		"negative":        square + "f -4 -3 -2 -1\n",
		"with others":     square + "vt 0 0\nvn 0 0 1\nf 1/1/1 2/1/1 3/1/1 4/1/1\n",
		"normal only":     square + "f 1//1 2//1 3//1 4//1",
		"continued":       square + "f 1 2 \\\n 3 \\\r\n4\n",
		"CR LF":           strings.ReplaceAll(square+"f 1 2 3 4\n", "\n", "\r\n"),
		"CR":              strings.ReplaceAll(square+"f 1 2 3 4\n", "\n", "\r"),
		"face first":      "f 1 2 3 4\n" + square,
		"colours":         "v 0 0 0 1 0 0\nv 1 0 0 1 0 0\nv 1 1 0 0 0 0\nv 0 1 0 0 0 0\nf 1 2 3 4",
		"comment":         "# C:\\parts\\\n" + square + "f 1 2 3 4 # f 1 2 3 \\\n",
		"doubled corner":  square + "f 1 1 2 3 4 1\n",
		"mark and tabs":   "\xef\xbb\xbf" + strings.ReplaceAll(square, " ", "\t") + "f\t1 2  3 4\n",
		"smoothing group": square + "s off\nf 1 2 3 4\n",
	} {
		s, list := decode(t, text)
		require.NotNil(t, s, "%s: %v", name, list)
		assert.Empty(t, list, name)
		assert.Equal(t, [][3]int32{{0, 1, 2}, {0, 2, 3}}, s.Meshes[0].Triangles, name)
		assert.Equal(t, []mesh.Vec{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}}, s.Meshes[0].Positions, name)
	}
}

func TestFaultsNameTheirPlace(t *testing.T) {
	for text, want := range map[string]string{
		"v 0 0 nan\n":         "parts/a.obj:1:7 GEOMETRY_COORDINATE",
		"v 0 -Inf 0\n":        "parts/a.obj:1:5 GEOMETRY_COORDINATE",
		"v 1e999 0 0\n":       "parts/a.obj:1:3 GEOMETRY_COORDINATE",
		"v 1e10 0 0\n":        "parts/a.obj:1:1 GEOMETRY_COORDINATE",
		"v 0 1,5 0\n":         "parts/a.obj:1:5 GEOMETRY_SYNTAX",
		"v 0 0x1p3 0\n":       "parts/a.obj:1:5 GEOMETRY_SYNTAX",
		"v 0 0\n":             "parts/a.obj:1:6 GEOMETRY_SYNTAX",
		"v 0 \\\n x 0\n":      "parts/a.obj:2:2 GEOMETRY_SYNTAX",
		square + "f 1 2 5\n":  "parts/a.obj:5:7 GEOMETRY_INDEX",
		square + "f 1 2 0\n":  "parts/a.obj:5:7 GEOMETRY_INDEX",
		square + "f 1 2 -5\n": "parts/a.obj:5:7 GEOMETRY_INDEX",
		square + "f 1 2 99999999999999999999999\n": "parts/a.obj:5:7 GEOMETRY_INDEX",
		square + "f 1 2 3.5\n":                     "parts/a.obj:5:7 GEOMETRY_SYNTAX",
		square + "f 1/a 2 3\n":                     "parts/a.obj:5:3 GEOMETRY_SYNTAX",
		square + "f 1 2\n":                         "parts/a.obj:5:1 GEOMETRY_SYNTAX",
		"":                                         "parts/a.obj GEOMETRY_EMPTY",
	} {
		s, list := decode(t, text)
		assert.Nil(t, s, text)
		assert.Equal(t, []string{want}, places(list), text)
	}
	s, list, err := Decode(&source.File{Name: "a.obj"})
	assert.NoError(t, err)
	assert.Nil(t, s)
	assert.Equal(t, []string{"a.obj GEOMETRY_UNIT_MISSING"}, places(list))
}

func names(s *mesh.Scene) (out []string) {
	for _, i := range solid.Instances(s) {
		out = append(out, fmt.Sprintf("%s:%d", i.Name, len(s.Meshes[i.Mesh].Triangles)))
	}
	return out
}

func TestObjectsAndGroupsAreNodes(t *testing.T) {
	for text, want := range map[string][]string{
		"f 1 2 3": {":1"},
		"g lid\nf 1 2 3\ng box\nf 1 2 4\ng lid\nf 1 3 4": {"lid:2", "box:1"},
		"o bolt\nf 1 2 3\no bolt\nf 1 2 3":               {"bolt:1", "bolt:1"},
		"o pump\ng head\nf 1 2 3\ng foot\nf 2 3 4":       {"pump/head:1", "pump/foot:1"},
		"o pump\nf 1 2 3\ng pump\nf 2 3 4":               {"pump:2"},
		"g a b\nf 1 2 3\ng\nf 2 3 4":                     {"a b:1", ":1"},
		"o unused\no used \xdf\nf 1 2 3":                 {"used ß:1"},
	} {
		s, list := decode(t, square+text)
		require.NotNil(t, s, list)
		assert.Equal(t, want, names(s), text)
	}
}

func TestMaterials(t *testing.T) {
	s, list := decode(t, "mtllib my metals.mtl\nmtllib sub\\more.mtl gone.mtl ../../out.mtl\n"+square+
		"f 1 2 3\nusemtl steel\nf 1 3 4\nusemtl glass\nf 3 2 1\nusemtl steel\nf 4 3 1\nusemtl brass\nf 2 3 4",
		"parts/my metals.mtl", "newmtl steel\nKd 0.5 0.5 0.5\nKs 1 1 1\nNs 300\nTr 1\nd 1\nnewmtl unused\nKd 1\n",
		"parts/sub/more.mtl", "newmtl glass\nKd 1 0\nd 0.25\nmap_Kd g.png\nmap_Kd h.png\nnewmtl bad\nKd a b c\nd x")
	require.NotNil(t, s, list)
	assert.Equal(t, []string{
		"parts/sub/more.mtl:4:1 GEOMETRY_TEXTURE", "parts/sub/more.mtl:7:4 GEOMETRY_MATERIAL", "parts/sub/more.mtl:8:3 GEOMETRY_MATERIAL",
		"parts/a.obj:2:1 GEOMETRY_MATERIAL", "parts/a.obj:2:1 GEOMETRY_MATERIAL", "parts/a.obj:14:1 GEOMETRY_MATERIAL",
	}, places(list))
	half := mesh.Linear(0.5)
	assert.Equal(t, []mesh.Material{
		{Name: "steel", Color: [4]float64{half, half, half, 1}, Roughness: 1},
		{Name: "glass", Color: [4]float64{1, 0, 1, 0.25}, Roughness: 1},
		plain("brass"),
	}, s.Materials)
	assert.Equal(t, []int{-1, 0, 1, 2}, s.Nodes[0].Materials)
	assert.Equal(t, []int32{0, 1, 2, 1, 3}, s.Meshes[0].Group)
}

func TestOtherElementsAreLeftOut(t *testing.T) {
	s, list := decode(t, square+"p 1\nl 1 2\nl 2 3\nf 1 2 3\n")
	require.NotNil(t, s)
	assert.Equal(t, []string{"parts/a.obj:5:1 GEOMETRY_UNSUPPORTED"}, places(list))
	assert.Contains(t, list[0].Message, "polygons: 3")
}

// area and orientation of what split makes must be the polygon's own.
func splitArea(t *testing.T, p []mesh.Vec) (float64, bool) {
	s := splitter{work: enoughWork(0)}
	triangles, clean := s.split(p)
	assert.Len(t, triangles, len(p)-2)
	sum := 0.0
	for _, c := range triangles {
		n := p[c[1]].Sub(p[c[0]]).Cross(p[c[2]].Sub(p[c[0]]))
		sum += n.Length() / 2
	}
	return sum, clean
}

func shoelace(p []mesh.Vec) float64 {
	var n mesh.Vec
	for i := range p {
		n = n.Add(p[i].Cross(p[(i+1)%len(p)]))
	}
	return n.Length() / 2
}

// A cut that covers a polygon once has the area of the polygon; one that
// overlaps or spills over has more.
func TestSplitCoversThePolygonOnce(t *testing.T) {
	var star, comb, spiral []mesh.Vec
	for i := range 40 {
		r := 1 + float64(i%2)*2
		a := 2 * math.Pi * float64(i) / 40
		star = append(star, mesh.Vec{r * math.Cos(a), r * math.Sin(a), 5})
	}
	for i := range 30 {
		comb = append(comb, mesh.Vec{0, float64(i), float64(i%2) * 10})
	}
	comb = append(comb, mesh.Vec{0, 29, -1}, mesh.Vec{0, 0, -1})
	for i := range 60 {
		a, r := float64(i)/4, 1+float64(i)/10
		spiral = append(spiral, mesh.Vec{r * math.Cos(a), 0, r * math.Sin(a)})
	}
	for i := range 60 {
		a, r := float64(59-i)/4, 1.2+float64(59-i)/10
		spiral = append(spiral, mesh.Vec{r * math.Cos(a), 0, r * math.Sin(a)})
	}
	for name, p := range map[string][]mesh.Vec{
		"square":            {{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}},
		"dart":              {{0, 0, 0}, {4, 0, 0}, {1, 1, 0}, {0, 4, 0}},
		"dart turned":       {{1, 1, 0}, {0, 4, 0}, {0, 0, 0}, {4, 0, 0}},
		"L":                 {{0, 0, 0}, {3, 0, 0}, {3, 1, 0}, {1, 1, 0}, {1, 3, 0}, {0, 3, 0}},
		"corners in a line": {{0, 0, 0}, {1, 0, 0}, {2, 0, 0}, {2, 2, 0}, {1, 2, 0}, {0, 2, 0}, {0, 1, 0}},
		"slit to a hole":    {{0, 0, 0}, {4, 0, 0}, {4, 4, 0}, {0, 4, 0}, {0, 0, 0}, {1, 1, 0}, {1, 3, 0}, {3, 3, 0}, {3, 1, 0}, {1, 1, 0}},
		"star":              star, "comb": comb, "spiral": spiral,
	} {
		for _, turned := range []bool{false, true} {
			if turned {
				slices.Reverse(p)
			}
			area, clean := splitArea(t, p)
			assert.True(t, clean, name)
			assert.InDelta(t, shoelace(p), area, 1e-9, name)
		}
	}
}

func TestCrossingPolygonGetsACode(t *testing.T) {
	for name, text := range map[string]string{
		"bow tie":   square + "f 1 3 2 4\n",
		"pentagram": "v 0 10 0\nv 6 -8 0\nv -9.5 3 0\nv 9.5 3 0\nv -6 -8 0\nf 5 4 3 2 1\n",
	} {
		s, list := decode(t, text)
		require.NotNil(t, s, name)
		assert.Contains(t, strings.Join(places(list), " "), "GEOMETRY_POLYGON", name)
	}
}

// A face of twenty thousand corners must not take the square of them.
func TestHugeConcaveFaceEnds(t *testing.T) {
	var text, face strings.Builder
	for i := range 10000 {
		fmt.Fprintf(&text, "v %d 0 0\nv %d %d 0\n", 2*i, 2*i+1, 1+i%2)
		fmt.Fprintf(&face, " %d %d", 2*i+1, 2*i+2)
	}
	s, list := decode(t, text.String()+"v 10000 -1000000 0\nf 20001"+face.String())
	require.NotNil(t, s)
	assert.Equal(t, "GEOMETRY_POLYGON", list[0].Code)
}

func FuzzDecode(f *testing.F) {
	f.Add(square + "f 1 2 3 4\n")
	f.Add("mtllib a.mtl\nusemtl x\n" + square + "o a\ng b\nf -1 -2 -3\\\n -4")
	f.Add("v 0 0 0\rv 1 0 0\rv .2 .2 0\rv 0 1 0\rf 1//2 2//2 3//2 4//2")
	f.Add("v 0 0 0 1 0 .5\nv 1 0 0\nv 0 1 0 1 1 1\nv 1 1 0 2 2 2\nvt 0 0\nvt .5\nvt nan 1\nf 1/1 2/2/7 3/-1\nf 2/1/1 4/9 3//2\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, list := decode(t, text, "parts/a.mtl", text)
		if s == nil {
			if !list.HasError() {
				t.Fatalf("refused without an error: %v", list)
			}
			return
		}
		for _, n := range s.Nodes {
			if n.Mesh >= 0 && s.Meshes[n.Mesh].Groups() > len(n.Materials) {
				t.Fatal("a group without a material")
			}
		}
		for _, m := range s.Meshes {
			if err := solid.CheckWedges(m); err != nil {
				t.Fatal(err)
			}
		}
	})
}

func BenchmarkDecode(b *testing.B) {
	const n = 300
	var text bytes.Buffer
	for i := range n * n {
		x, y := float64(i%n), float64(i/n)
		fmt.Fprintf(&text, "v %.4f %.4f %.4f\n", x, y, math.Sin(x/7)*math.Cos(y/9)*20)
	}
	for i := range n * (n - 1) {
		if i%n < n-1 {
			fmt.Fprintf(&text, "f %d %d %d %d\n", i+1, i+2, i+n+2, i+n+1)
		}
	}
	b.SetBytes(int64(text.Len()))
	b.ReportAllocs()
	for b.Loop() {
		decode(b, text.String())
	}
}
