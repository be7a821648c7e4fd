package glb

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
	"planfold/testdata/validator"
)

// files keeps buffers by URI, as a tree on disk would.
type files map[string][]byte

func (f files) store(data []byte) string {
	sum := sha256.Sum256(data)
	uri := "../blobs/" + hex.EncodeToString(sum[:4]) + ".bin"
	f[uri] = data
	return uri
}

func (f files) read(uri string) ([]byte, error) {
	if data, ok := f[uri]; ok {
		return data, nil
	}
	return nil, errors.New("no such buffer")
}

// save writes a document beside its buffers and returns its path.
func (f files) save(t *testing.T, document []byte) string {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "blobs"), 0o755))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "step"), 0o755))
	for uri, data := range f {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "step", uri), data, 0o644))
	}
	path := filepath.Join(dir, "step", "scene.gltf")
	require.NoError(t, os.WriteFile(path, document, 0o644))
	return path
}

// sample has a mesh under two nodes, one of two groups, a camera and an animation.
func sample(f files) *Document {
	d := &Document{}
	root := d.Node(Root, Node{Name: "root <1> & 2", Rotation: Turn(mesh.Vec{1, 0, 0}, -0.25)})
	box, layout := EncodeMesh(solid.Box(mesh.Vec{-1, -2, -3}, mesh.Vec{1, 2, 3}), mesh.Vec{})
	boxURI := f.store(box)
	red := mesh.Material{Name: "red", Color: [4]float64{1, 0, 0, 1}, Metallic: 0.1, Roughness: 0.5}
	glass := mesh.Material{Name: "glass", Color: [4]float64{0.5, 0.8, 1, 0.3}, Roughness: 0.1, TwoSided: true}
	outer := d.Node(root, Node{})
	d.Node(outer, Node{Name: "a", Matrix: mesh.Translation(mesh.Vec{5, 0, 0}), Mesh: d.Mesh("box", boxURI, layout, []mesh.Material{red}) + 1})
	d.Node(root, Node{Name: "b", Translation: mesh.Vec{-5, 0, 0}, Mesh: d.Mesh("box", boxURI, layout, []mesh.Material{red}) + 1})
	d.Node(root, Node{Name: "c", Translation: mesh.Vec{0, 0, 8}, Mesh: d.Mesh("box", boxURI, layout, nil) + 1})
	can, layout := EncodeMesh(solid.Cylinder(1, 2, 24, true), mesh.Vec{0, 0, 1})
	d.Node(root, Node{Name: "can", Translation: mesh.Vec{0, 0, 1}, Mesh: d.Mesh("can", f.store(can), layout, []mesh.Material{red, glass}) + 1})
	d.Camera(root, Camera{Name: "view", FieldOfView: 0.6, ZNear: 1, ZFar: 100, Position: mesh.Vec{20, -20, 20}, Up: mesh.Vec{0, 0, 1}})
	axis := mesh.Vec{0, 0, 1}
	d.Animate("assemble", []Track{{
		Node: outer, Times: []float64{0, 0.5, 1.5},
		Translations: []mesh.Vec{{0, 0, 5}, {0, 0, 2}, {}},
		Rotations:    []Quat{Turn(axis, 0.6), Turn(axis, 0.3), Still},
	}}, f.store)
	return d
}

func TestEncodedDocumentPassesTheKhronosValidator(t *testing.T) {
	f := files{}
	document, err := sample(f).Encode()
	require.NoError(t, err)
	packed, err := Pack(document, f.read)
	require.NoError(t, err)
	glb := filepath.Join(t.TempDir(), "packed.glb")
	require.NoError(t, os.WriteFile(glb, packed, 0o644))
	for _, r := range validator.Clean(t, f.save(t, document), glb) {
		require.Zero(t, r.Infos, "%v", r.Messages)
		require.Equal(t, 12*2+24*4, r.Info.Triangles) // a mesh once, whatever shows it
	}
}

func TestMeshesShareAccessorsAndMaterials(t *testing.T) {
	d := sample(files{})
	require.Len(t, d.wire.Meshes, 3) // red box, plain box, can
	require.Len(t, d.wire.Materials, 3)
	require.Len(t, d.wire.Buffers, 3) // box, can, keyframes
	require.Equal(t, d.wire.Meshes[0].Primitives[0].Attributes, d.wire.Meshes[1].Primitives[0].Attributes)
	require.Equal(t, d.wire.Meshes[2].Primitives[0].Attributes, d.wire.Meshes[2].Primitives[1].Attributes)
}

func TestEncodeIsCanonical(t *testing.T) {
	a, err := sample(files{}).Encode()
	require.NoError(t, err)
	b, err := sample(files{}).Encode()
	require.NoError(t, err)
	require.Equal(t, string(a), string(b))
	require.True(t, bytes.HasPrefix(a, []byte(`{"asset":{"generator":"planfold","version":"2.0"},"scene":`)), "%s", a[:80])
	require.True(t, bytes.HasSuffix(a, []byte("}\n")))
	require.Contains(t, string(a), `"root <1> & 2"`)
	require.NotContains(t, string(a), "-0,")
	require.Equal(t, 1, strings.Count(string(a), "\n"))
}

func TestEncodeRefusesWhatIsNoNumber(t *testing.T) {
	d := &Document{}
	d.Node(Root, Node{Translation: mesh.Vec{math.Inf(1), 0, 0}})
	_, err := d.Encode()
	require.ErrorContains(t, err, "encode glTF")
}

func TestCheckFindsBrokenDocuments(t *testing.T) {
	for name, breakIt := range map[string]func(*wireDocument){
		"two parents":            func(w *wireDocument) { w.Nodes[2].Children = []int{1} },
		"stand outside":          func(w *wireDocument) { w.Scenes[0].Nodes = nil },
		"mesh 9":                 func(w *wireDocument) { w.Nodes[2].Mesh = new(9) },
		"camera 9":               func(w *wireDocument) { w.Nodes[2].Camera = new(9) },
		"accessor 99":            func(w *wireDocument) { w.Meshes[0].Primitives[0].Indices = 99 },
		"material 9":             func(w *wireDocument) { w.Meshes[0].Primitives[0].Material = 9 },
		"beyond its buffer":      func(w *wireDocument) { w.BufferViews[0].ByteLength = 1 << 30 },
		"beyond its view":        func(w *wireDocument) { w.Accessors[2].Count = 1 << 20 },
		"not aligned":            func(w *wireDocument) { w.Accessors[2].ByteOffset, w.Accessors[2].Count = 1, 1 },
		"which has a matrix":     func(w *wireDocument) { w.Animations[0].Channels[0].Target.Node = 2 },
		"not as many values":     func(w *wireDocument) { w.Animations[0].Samplers[0].Output = 0 },
		"sampler 7":              func(w *wireDocument) { w.Animations[0].Channels[0].Sampler = 7 },
		"node 77 does not exist": func(w *wireDocument) { w.Nodes[0].Children[0] = 77 },
	} {
		d := sample(files{})
		breakIt(&d.wire)
		_, err := d.Encode()
		require.ErrorContains(t, err, name)
	}
}

func TestPackHoldsWhatTheBuffersHold(t *testing.T) {
	f := files{}
	document, err := sample(f).Encode()
	require.NoError(t, err)
	packed, err := Pack(document, f.read)
	require.NoError(t, err)
	var doc gltf.Document
	require.NoError(t, gltf.NewDecoder(bytes.NewReader(packed)).Decode(&doc))
	require.Len(t, doc.Buffers, 1)
	p, err := modeler.ReadPosition(&doc, doc.Accessors[doc.Meshes[0].Primitives[0].Attributes[gltf.POSITION]], nil)
	require.NoError(t, err)
	require.Len(t, p, 24)
	for _, v := range p {
		require.Equal(t, []float32{1, 2, 3}, []float32{abs(v[0]), abs(v[1]), abs(v[2])})
	}
	_, err = Pack(document, files{}.read)
	require.ErrorContains(t, err, "no such buffer")
	for uri := range f {
		f[uri] = append(f[uri], 0, 0, 0, 0)
	}
	_, err = Pack(document, f.read)
	require.ErrorContains(t, err, "bytes, want")
}

func abs(x float32) float32 { return max(x, -x) }

// decoded reads a buffer back by its layout.
func decoded(b []byte, l Layout) (positions, normals []mesh.Vec, triangles [][3]int) {
	vec := func(at int) mesh.Vec {
		var v mesh.Vec
		for k := range v {
			v[k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[at+4*k:])))
		}
		return v
	}
	for i := range l.Vertices {
		positions = append(positions, vec(12*i))
		normals = append(normals, vec(12*(l.Vertices+i)))
	}
	index := func(i int) int {
		if l.Wide {
			return int(binary.LittleEndian.Uint32(b[24*l.Vertices+4*i:]))
		}
		return int(binary.LittleEndian.Uint16(b[24*l.Vertices+2*i:]))
	}
	for _, p := range l.Primitives {
		for i := p.First; i < p.First+p.Count; i += 3 {
			triangles = append(triangles, [3]int{index(i), index(i + 1), index(i + 2)})
		}
	}
	return positions, normals, triangles
}

func TestEncodeMeshSplitsVerticesAtCreasesOnly(t *testing.T) {
	_, l := EncodeMesh(solid.Box(mesh.Vec{}, mesh.Vec{1, 1, 1}), mesh.Vec{})
	require.Equal(t, 24, l.Vertices) // three normals at each of eight corners
	require.Equal(t, []Primitive{{Count: 3 * 12}}, l.Primitives)

	for sides, want := range map[int]int{12: 4*12 + 2, 24: 4*24 + 2, 8: 6*8 + 2} {
		// Round: two rings for the wall, two for the caps, two centres. At 45° a step
		// each wall has an edge of its own.
		_, l = EncodeMesh(solid.Cylinder(1, 2, sides, false), mesh.Vec{})
		require.Equal(t, want, l.Vertices, "%d sides", sides)
	}
	_, l = EncodeMesh(solid.Sphere(1, 24, 16), mesh.Vec{})
	require.Equal(t, 24*15+2, l.Vertices)
}

func TestNormalsOfASphereAreRadial(t *testing.T) {
	b, l := EncodeMesh(solid.Sphere(0.02, 32, 24), mesh.Vec{})
	positions, normals, _ := decoded(b, l)
	for i, p := range positions {
		require.InDelta(t, 1, p.Unit().Dot(normals[i]), 0.002)
	}
}

func TestEncodeMeshKeepsShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := mesh.Vec{rapid.Float64Range(-1e3, 1e3).Draw(t, "x"), rapid.Float64Range(-1e3, 1e3).Draw(t, "y"), 5}
		m := solid.Cylinder(rapid.Float64Range(0.001, 0.1).Draw(t, "radius"), rapid.Float64Range(0.001, 0.1).Draw(t, "height"),
			rapid.IntRange(3, 40).Draw(t, "sides"), rapid.Bool().Draw(t, "caps"))
		for i := range m.Positions {
			m.Positions[i] = m.Positions[i].Add(c)
		}
		b, l := EncodeMesh(m, m.Bounds().Centre())
		require.EqualValues(t, len(b), l.Bytes)
		require.Zero(t, len(b)%4)
		positions, normals, triangles := decoded(b, l)
		require.Len(t, triangles, len(m.Triangles))
		area := func(a, b, c mesh.Vec) mesh.Vec { return b.Sub(a).Cross(c.Sub(a)) }
		box := mesh.EmptyBox()
		sum, want := 0.0, 0.0
		for i, tri := range triangles {
			n := area(positions[tri[0]], positions[tri[1]], positions[tri[2]])
			sum += n.Length()
			s := m.Triangles[i%len(m.Triangles)]
			want += area(m.Positions[s[0]], m.Positions[s[1]], m.Positions[s[2]]).Length()
			for _, v := range tri {
				box.Add(positions[v])
				require.InDelta(t, 1, normals[v].Length(), 1e-6)
				require.Greater(t, n.Dot(normals[v]), 0.0, "normal turned away")
			}
		}
		require.InEpsilon(t, want, sum, 1e-4)
		for k := range 3 {
			require.Equal(t, float64(l.Min[k]), box.Min[k])
			require.Equal(t, float64(l.Max[k]), box.Max[k])
			// Positions 1 km away keep a thousandth of a micrometre of the shape.
			require.InDelta(t, m.Bounds().Min[k], box.Min[k]+l.Centre[k], 1e-8)
		}
	})
}

func TestEncodeMeshWidensIndices(t *testing.T) {
	_, l := EncodeMesh(solid.Sphere(1, 250, 262), mesh.Vec{})
	require.Equal(t, 250*261+2, l.Vertices)
	require.False(t, l.Wide)
	b, l := EncodeMesh(solid.Sphere(1, 300, 262), mesh.Vec{})
	require.True(t, l.Wide)
	_, _, triangles := decoded(b, l)
	require.Len(t, triangles, 2*300*261)
}

func TestEncodeMeshOfOddShapes(t *testing.T) {
	b, l := EncodeMesh(&mesh.Mesh{Positions: []mesh.Vec{{1, 2, 3}}}, mesh.Vec{})
	require.Empty(t, b)
	require.Empty(t, l.Primitives)
	require.Equal(t, -1, new(Document).Mesh("none", "x", l, nil))

	// A triangle without area, an edge of three triangles and two wound against each other.
	m := &mesh.Mesh{
		Positions: []mesh.Vec{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {2, 0, 0}},
		Triangles: [][3]int32{{0, 1, 5}, {0, 1, 2}, {1, 0, 3}, {0, 1, 4}, {2, 0, 3}},
	}
	b, l = EncodeMesh(m, mesh.Vec{})
	_, normals, triangles := decoded(b, l)
	require.Len(t, triangles, 5)
	for _, n := range normals {
		require.InDelta(t, 1, n.Length(), 1e-6)
	}
}

func TestGroupsThatAreNotUsedMakeNoPrimitive(t *testing.T) {
	m := solid.Box(mesh.Vec{}, mesh.Vec{1, 1, 1})
	m.Group = make([]int32, 12)
	m.Group[3] = 2
	_, l := EncodeMesh(m, mesh.Vec{})
	require.Equal(t, []Primitive{{0, 0, 33}, {2, 33, 3}}, l.Primitives)
}

func TestTurnMatchesTheSine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turns := rapid.Float64Range(-20, 20).Draw(t, "turns")
		q := Turn(mesh.Vec{0, 0, 1}, turns)
		s, c := math.Sincos(math.Pi * turns)
		require.InDelta(t, s, q[2], 2e-14)
		require.InDelta(t, c, q[3], 2e-14)
	})
}

func TestRotationReadsWhatTurnsMake(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := func(label string) mesh.Vec {
			return mesh.Vec{rapid.Float64Range(-1, 1).Draw(t, label), rapid.Float64Range(-1, 1).Draw(t, label), rapid.Float64Range(0.1, 1).Draw(t, label)}.Unit()
		}
		q := Turn(v("a"), rapid.Float64Range(-0.5, 0.5).Draw(t, "turns")).Mul(Turn(v("b"), 0.3))
		got := Rotation(matrix(q))
		dot := 0.0
		for i := range q {
			dot += q[i] * got[i]
		}
		require.InDelta(t, 1, math.Abs(dot), 1e-12)
		require.GreaterOrEqual(t, got[3], 0.0)
	})
}

// matrix is the specification's conversion, written out.
func matrix(q Quat) mesh.Mat {
	x, y, z, w := q[0], q[1], q[2], q[3]
	return mesh.Mat{
		1 - 2*(y*y+z*z), 2 * (x*y + z*w), 2 * (x*z - y*w), 0,
		2 * (x*y - z*w), 1 - 2*(x*x+z*z), 2 * (y*z + x*w), 0,
		2 * (x*z + y*w), 2 * (y*z - x*w), 1 - 2*(x*x+y*y), 0,
		0, 0, 0, 1,
	}
}

func TestCameraLooksAtItsTarget(t *testing.T) {
	d := &Document{}
	d.Camera(Root, Camera{FieldOfView: 1, ZNear: 1, Position: mesh.Vec{1, 2, 3}, Towards: mesh.Vec{4, 2, 3}, Up: mesh.Vec{0, 0, 1}})
	m := matrix(Quat(d.wire.Nodes[0].Rotation))
	require.InDelta(t, 0, m.Direction(mesh.Vec{0, 0, -1}).Distance(mesh.Vec{1, 0, 0}), 1e-12)
	require.InDelta(t, 0, m.Direction(mesh.Vec{0, 1, 0}).Distance(mesh.Vec{0, 0, 1}), 1e-12)
}

func TestKeyframesShareTimes(t *testing.T) {
	f := files{}
	d := &Document{}
	a, b := d.Node(Root, Node{}), d.Node(Root, Node{})
	times := []float64{0, 1.5}
	d.Animate("move", []Track{
		{Node: a, Times: times, Translations: []mesh.Vec{{1, 0, 0}, {}}},
		{Node: b, Times: times, Translations: []mesh.Vec{{2, 0, 0}, {}}},
	}, f.store)
	require.Len(t, d.wire.Accessors, 3)
	document, err := d.Encode()
	require.NoError(t, err)
	require.Equal(t, 1, strings.Count(string(document), `"uri"`))
	d = &Document{}
	d.Animate("still", nil, func([]byte) string { t.Fatal("nothing to store"); return "" })
}

func BenchmarkEncodeMesh(b *testing.B) {
	m := solid.Sphere(1, 500, 500)
	for b.Loop() {
		EncodeMesh(m, mesh.Vec{})
	}
	b.ReportMetric(float64(len(m.Triangles))*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mtri/s")
}
