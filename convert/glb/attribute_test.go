package glb

import (
	"bytes"
	"math"
	"testing"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/reduce"
	"planfold/testdata/solid"
	"planfold/testdata/validator"
)

// painted is a square of two triangles, one red and one blue, whose texture is the same
// on both sides of their edge.
func painted() *mesh.Mesh {
	red, blue := [4]float32{1, 0, 0, 1}, [4]float32{0, 0, 0.5, 1}
	return &mesh.Mesh{
		Positions: []mesh.Vec{{}, {1}, {1, 1}, {0, 1}},
		Triangles: [][3]int32{{0, 1, 2}, {0, 2, 3}},
		Wedges:    [][3]int32{{0, 1, 2}, {3, 4, 5}},
		Colors:    [][4]float32{red, red, red, blue, blue, blue},
		TexCoords: [][2]float32{{0, 0}, {1, 0}, {1, 1}, {0, 0}, {1, 1}, {0, 1}},
	}
}

// TestAttributesAreRead: an independent reader finds each corner's colour and texture
// coordinates in what EncodeMesh stores.
func TestAttributesAreRead(t *testing.T) {
	m := painted()
	f := files{}
	b, l := EncodeMesh(m, mesh.Vec{})
	require.Equal(t, 6, l.Vertices, "the corners at the edge between two colours are split")
	uri := f.store(b)
	d := &Document{}
	d.Node(Root, Node{Mesh: d.Mesh("square", uri, l, nil) + 1})
	text, err := d.Encode()
	require.NoError(t, err)
	packed, err := Pack(text, f.read)
	require.NoError(t, err)
	var doc gltf.Document
	require.NoError(t, gltf.NewDecoder(bytes.NewReader(packed)).Decode(&doc))
	p := doc.Meshes[0].Primitives[0]
	colors, err := modeler.ReadAccessor(&doc, doc.Accessors[p.Attributes[gltf.COLOR_0]], nil)
	require.NoError(t, err)
	texture, err := modeler.ReadTextureCoord(&doc, doc.Accessors[p.Attributes[gltf.TEXCOORD_0]], nil)
	require.NoError(t, err)
	indices, err := modeler.ReadIndices(&doc, doc.Accessors[*p.Indices], nil)
	require.NoError(t, err)
	for i := range m.Triangles {
		for k := range 3 {
			v, w := indices[3*i+k], m.Wedges[i][k]
			require.Equal(t, m.TexCoords[w], texture[v])
			for j, x := range m.Colors[w] {
				require.InDelta(t, x, float64(colors.([][4]uint16)[v][j])/65535, 1e-5)
			}
		}
	}
}

func TestAttributesPassTheKhronosValidator(t *testing.T) {
	for _, compressed := range []bool{false, true} {
		f := files{}
		b, l := EncodeMesh(painted(), mesh.Vec{})
		if compressed {
			b, l = CompressMesh(painted(), mesh.Vec{}, 0.001)
		}
		d := &Document{}
		d.Node(Root, Node{Matrix: l.Frame(), Mesh: d.Mesh("square", f.store(b), l, nil) + 1})
		text, err := d.Encode()
		require.NoError(t, err)
		for _, r := range validator.Clean(t, f.save(t, text)) {
			require.Equal(t, 2, r.Info.Triangles)
		}
	}
}

// TestCheckCountsAttributes: a stream of colours that is too short ends here.
func TestCheckCountsAttributes(t *testing.T) {
	b, l := EncodeMesh(painted(), mesh.Vec{})
	d := &Document{}
	d.Node(Root, Node{Mesh: d.Mesh("square", files{}.store(b), l, nil) + 1})
	d.wire.Accessors[*d.wire.Meshes[0].Primitives[0].Attributes.Color].Count--
	_, err := d.Encode()
	require.ErrorContains(t, err, "COLOR_0")
}

// TestSmoothFansShareVerticesAcrossEqualWedges: a mesh of one colour has the vertices
// that it has without.
func TestSmoothFansShareVerticesAcrossEqualWedges(t *testing.T) {
	m := solid.Box(mesh.Vec{-1, -2, -3}, mesh.Vec{1, 2, 3})
	_, plain := EncodeMesh(m, mesh.Vec{})
	m.Wedges = m.Triangles
	m.Colors = make([][4]float32, len(m.Positions))
	_, colored := EncodeMesh(m, mesh.Vec{})
	require.Equal(t, plain.Vertices, colored.Vertices)
	require.Equal(t, plain.Primitives, colored.Primitives)
}

// TestPartsOfOneBuffer: two nodes show a group each, through one set of vertices.
func TestPartsOfOneBuffer(t *testing.T) {
	m := painted()
	m.Group = []int32{0, 1}
	b, l := EncodeMesh(m, mesh.Vec{})
	d := &Document{}
	uri := files{}.store(b)
	looks := []mesh.Material{{Name: "front"}, {Name: "back"}}
	first, second := d.Mesh("a", uri, l.Part(0, 1), looks[:1]), d.Mesh("b", uri, l.Part(1, 1), looks[1:])
	require.Equal(t, -1, d.Mesh("c", uri, l.Part(2, 1), nil))
	w := d.wire
	require.Len(t, w.Buffers, 1)
	require.Len(t, w.Meshes[first].Primitives, 1)
	require.Equal(t, w.Meshes[first].Primitives[0].Attributes, w.Meshes[second].Primitives[0].Attributes)
	require.NotEqual(t, w.Meshes[first].Primitives[0].Indices, w.Meshes[second].Primitives[0].Indices)
	require.Equal(t, "back", w.Materials[w.Meshes[second].Primitives[0].Material].Name)
}

// TestNormalsOfAReducedCylinder: while its wall turns by less than the crease from one
// strip to the next it looks round, and its rims stay sharp.
func TestNormalsOfAReducedCylinder(t *testing.T) {
	m := solid.Cylinder(1, 2, 192, true)
	r, report := reduce.Reduce(m, reduce.Options{Triangles: len(m.Triangles) / 8})
	require.True(t, report.Reached)
	normals := Normals(r)
	for i, v := range r.Triangles {
		for k := range 3 {
			p, n := r.Positions[v[k]], normals[i][k]
			want := mesh.Vec{p[0], p[1], 0}.Unit()
			if face := Normals(&mesh.Mesh{Positions: r.Positions, Triangles: r.Triangles[i : i+1]})[0][0]; math.Abs(face[2]) > 0.5 {
				want = mesh.Vec{0, 0, face[2]}.Unit()
			}
			require.Greater(t, n.Dot(want), math.Cos(8*math.Pi/180))
		}
	}
	require.Less(t, reduce.NormalError(m, r, Normals).RMS(), 2*math.Pi/180)
}

// TestRoundStaysRoundAndSharpStaysSharp: a ball of so few triangles that they meet at
// more than the crease has no edge, as its source has none; a box keeps all of its own.
func TestRoundStaysRoundAndSharpStaysSharp(t *testing.T) {
	ball, _ := reduce.Reduce(solid.Sphere(1, 64, 48), reduce.Options{Triangles: 60})
	for i, v := range ball.Triangles {
		for k, n := range Normals(ball)[i] {
			require.Greater(t, n.Dot(ball.Positions[v[k]].Unit()), math.Cos(12*math.Pi/180))
		}
	}
	_, l := EncodeMesh(ball, mesh.Vec{})
	require.Equal(t, len(ball.Positions), l.Vertices)

	cylinder, _ := reduce.Reduce(solid.Cylinder(1, 2, 192, false), reduce.Options{Triangles: 40})
	for i, v := range cylinder.Triangles {
		for k, n := range Normals(cylinder)[i] {
			p := cylinder.Positions[v[k]]
			up := math.Abs(n[2])
			require.True(t, up > 0.999 || up < 0.1, "the normal %v at %v is of a rim that is not sharp", n, p)
		}
	}
}
