package glb

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"planfold/convert/glb/meshopt"
	"planfold/convert/mesh"
	"planfold/testdata/solid"
	"planfold/testdata/validator"
)

// compressed shows a box and a can of two groups, on grids of their own.
func compressed(f files) *Document {
	d := &Document{}
	root := d.Node(Root, Node{})
	can := solid.Cylinder(0.02, 0.05, 24, true)
	can.Group = make([]int32, len(can.Triangles))
	for i := range can.Group[:24] {
		can.Group[i] = 1
	}
	for _, m := range []*mesh.Mesh{solid.Box(mesh.Vec{0.1, 0.2, 0.3}, mesh.Vec{0.2, 0.5, 0.4}), can} {
		data, layout := CompressMesh(m, mesh.Vec{}, 0.0002)
		d.Node(root, Node{Matrix: layout.Frame(), Mesh: d.Mesh("", f.store(data), layout, nil) + 1})
	}
	d.Animate("lift", []Track{{Node: root, Times: []float64{0, 1}, Translations: []mesh.Vec{{0, 0, 1}, {}}}}, f.store)
	return d
}

// unpack replaces the compressed streams of a document by a buffer of what they hold.
func unpack(t *testing.T, document []byte, f files) []byte {
	var w wireDocument
	require.NoError(t, json.Unmarshal(document, &w))
	var bin []byte
	empty := -1
	for i := range w.BufferViews {
		v := &w.BufferViews[i]
		if v.Extensions == nil {
			continue
		}
		c := v.Extensions.Meshopt
		data, err := f.read(w.Buffers[c.Buffer].URI)
		require.NoError(t, err)
		data = data[c.ByteOffset : c.ByteOffset+c.ByteLength]
		if c.Mode == "ATTRIBUTES" {
			data, err = meshopt.UnpackAttributes(data, c.Count, c.ByteStride)
			require.True(t, meshopt.Unfilter(c.Filter, data, c.ByteStride))
		} else {
			var index []uint32
			index, err = meshopt.UnpackTriangles(data, c.Count)
			data = nil
			for _, n := range index {
				data = append(data, byte(n), byte(n>>8))
			}
		}
		require.NoError(t, err)
		require.Len(t, data, int(v.ByteLength))
		empty = v.Buffer
		bin = append(append(bin, make([]byte, int(v.ByteOffset)-len(bin))...), data...)
		v.Extensions = nil
	}
	bin = pad(bin, 0)
	require.EqualValues(t, w.Buffers[empty].ByteLength, len(bin))
	w.Buffers[empty] = wireBuffer{URI: f.store(bin), ByteLength: int64(len(bin))}
	w.Used, w.Required = []string{quantization}, []string{quantization}
	out, err := json.Marshal(w)
	require.NoError(t, err)
	return out
}

// The validator does not unpack: it sees the document as it is written, and what its
// streams hold in its place.
func TestCompressedDocumentPassesTheKhronosValidator(t *testing.T) {
	f := files{}
	document, err := compressed(f).Encode()
	require.NoError(t, err)
	packed, err := Pack(document, f.read)
	require.NoError(t, err)
	glb := filepath.Join(t.TempDir(), "packed.glb")
	require.NoError(t, os.WriteFile(glb, packed, 0o644))
	whole := f.save(t, unpack(t, document, f))
	validator.Clean(t, f.save(t, document), glb)
	for _, r := range validator.Clean(t, whole) {
		for _, m := range r.Messages {
			require.Equal(t, "UNUSED_OBJECT", m.Code, "%v", m)
		}
		require.Equal(t, 12+24*4, r.Info.Triangles)
	}
}

func TestCheckFindsBrokenCompression(t *testing.T) {
	for name, breakIt := range map[string]func(*wireDocument){
		"reaches beyond its buffer": func(w *wireDocument) { w.BufferViews[0].Extensions.Meshopt.ByteLength = 1 << 20 },
		"another number of bytes":   func(w *wireDocument) { w.BufferViews[0].Extensions.Meshopt.Count++ },
		"do not go together":        func(w *wireDocument) { w.BufferViews[1].Extensions = nil },
		"2 reaches beyond its view": func(w *wireDocument) { w.Accessors[2].Count += 3 },
	} {
		d := compressed(files{})
		breakIt(&d.wire)
		_, err := d.Encode()
		require.ErrorContains(t, err, name)
	}
}

// onGrid reads a compressed mesh back.
func onGrid(t require.TestingT, b []byte, l Layout) (positions []mesh.Vec, triangles [][3]uint32) {
	raw, err := meshopt.UnpackAttributes(b[:l.Packed[0]], l.Vertices, 8)
	require.NoError(t, err)
	frame := l.Frame()
	for i := range l.Vertices {
		var p mesh.Vec
		for k := range p {
			p[k] = float64(int16(uint16(raw[8*i+2*k]) | uint16(raw[8*i+2*k+1])<<8))
		}
		positions = append(positions, frame.Point(p))
	}
	count := 0
	for _, p := range l.Primitives {
		count += p.Count
	}
	index, err := meshopt.UnpackTriangles(b[l.Packed[0]+l.Packed[1]:], count)
	require.NoError(t, err)
	for i := 0; i < len(index); i += 3 {
		triangles = append(triangles, [3]uint32(index[i:]))
	}
	return positions, triangles
}

// Every position comes back within the layout's error, which is an eighth of the
// deviation or what a mesh of that size may be off.
func TestGridErrorIsKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		radius := math.Pow(10, rapid.Float64Range(-4, 0.5).Draw(t, "radius"))
		m := solid.Cylinder(radius, radius*rapid.Float64Range(0.1, 3).Draw(t, "height"), rapid.IntRange(3, 60).Draw(t, "sides"), false)
		at := mesh.Vec{rapid.Float64Range(-10, 10).Draw(t, "x"), rapid.Float64Range(-10, 10).Draw(t, "y"), 0}
		for i := range m.Positions {
			m.Positions[i] = m.Positions[i].Add(at)
		}
		deviation := radius * rapid.SampledFrom([]float64{0, 1e-9, 1e-4, 0.01, 0.1}).Draw(t, "deviation")
		b, l := CompressMesh(m, mesh.Vec{}, deviation)
		if l.Step == 0 {
			require.Greater(t, m.Bounds().Diagonal(), 3.0)
			return
		}
		positions, triangles := onGrid(t, b, l)
		require.Len(t, triangles, len(m.Triangles))
		most := max(deviation/8, min(5e-5, m.Bounds().Diagonal()/4096), m.Bounds().Diagonal()/60000)
		require.LessOrEqual(t, l.Error(), most)
		nearest := make([]bool, len(m.Positions))
		for _, p := range positions {
			least := math.Inf(1)
			for i, q := range m.Positions {
				if d := p.Distance(q); d <= l.Error()*(1+1e-12) {
					nearest[i] = true
					least = 0
				}
			}
			require.Zero(t, least, "no position of the mesh is near %v", p)
		}
		require.NotContains(t, nearest, false)
	})
}

// Where two meshes of one frame share a border and have grids of one step, they go on
// sharing it.
func TestSharedBordersStayShared(t *testing.T) {
	side := 0.1 / 3
	a := solid.Box(mesh.Vec{}, mesh.Vec{side, side, side})
	b := solid.Box(mesh.Vec{side, 0, 0}, mesh.Vec{0.1, side, side})
	shared := map[mesh.Vec]int{}
	for _, m := range []*mesh.Mesh{a, b} {
		data, l := CompressMesh(m, mesh.Vec{}, 0.0003)
		positions, _ := onGrid(t, data, l)
		seen := map[mesh.Vec]bool{}
		for _, p := range positions {
			seen[p] = true
		}
		for p := range seen {
			shared[p]++
		}
	}
	twice := 0
	for _, n := range shared {
		if n == 2 {
			twice++
		}
	}
	require.Equal(t, 4, twice)
}

func TestGridStep(t *testing.T) {
	box := func(size float64) mesh.Box { return mesh.Box{Max: mesh.Vec{size, size, size}} }
	require.Equal(t, math.Ldexp(7, -17), gridStep(box(0.2), 0))    // 53.4 µm, off by 46.2 µm
	require.Equal(t, math.Ldexp(4, -22), gridStep(box(0.002), 0))  // 0.95 µm: a small part
	require.Equal(t, math.Ldexp(4, -14), gridStep(box(0.2), 2e-3)) // 0.24 mm, off by 0.21 mm
	require.Zero(t, gridStep(box(100), 0))                         // sixteen bits are 1.5 mm
	require.Equal(t, math.Ldexp(5, -11), gridStep(box(100), 0.02)) // and good enough here
	require.Equal(t, math.Ldexp(7, -16), gridStep(box(6), 0))      // all of sixteen bits
	require.Zero(t, gridStep(mesh.EmptyBox(), 0))
	require.Zero(t, gridStep(box(0), 0))
}

func TestLargeMeshKeepsFloats(t *testing.T) {
	m := solid.Box(mesh.Vec{}, mesh.Vec{100, 1, 1})
	centre := mesh.Vec{1.0 / 3, 1.0 / 7, 60}
	b, l := CompressMesh(m, centre, 0)
	require.Zero(t, l.Step)
	require.Equal(t, centre, l.Centre)
	worst := 0.0
	for i := range m.Positions {
		var off mesh.Vec
		for k, x := range m.Positions[i].Sub(centre) {
			off[k] = x - float64(float32(x))
		}
		worst = max(worst, off.Length())
	}
	require.Positive(t, worst)
	require.LessOrEqual(t, worst, l.Error())
	require.Less(t, l.Error(), 10*worst)
	raw, err := meshopt.UnpackAttributes(b[:l.Packed[0]], l.Vertices, 12)
	require.NoError(t, err)
	plain, _ := EncodeMesh(m, centre)
	require.Equal(t, plain[:12*l.Vertices], raw)
}

func BenchmarkCompressMesh(b *testing.B) {
	m := solid.Sphere(1, 500, 500)
	plain, _ := EncodeMesh(m, mesh.Vec{})
	b.SetBytes(int64(len(plain)))
	for b.Loop() {
		CompressMesh(m, mesh.Vec{}, 0.001)
	}
}
