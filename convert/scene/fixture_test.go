package scene

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/qmuntal/gltf"
	"github.com/stretchr/testify/require"

	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/profile"
	"planfold/convert/raster"
	"planfold/convert/step"
	"planfold/testdata/solid"
)

// blobs of all fixtures, by digest; the tests of this package run one by one.
var blobs = map[string][]byte{}

// ladder encodes meshes, finest first, with the deviations given in metres.
func ladder(meshes []*mesh.Mesh, deviations []float64) *Ladder {
	l := &Ladder{Bounds: meshes[0].Bounds()}
	for i, m := range meshes {
		data, layout := glb.EncodeMesh(m, m.Bounds().Centre())
		sum := sha256.Sum256(data)
		id := hex.EncodeToString(sum[:])
		blobs[id] = data
		l.Levels = append(l.Levels, Level{Triangles: len(m.Triangles), Deviation: deviations[i], Blob: Blob{id, int64(len(data)), layout}})
	}
	return l
}

// rod is a cylinder along Z from zero in levels of 96, 48, 24, 12 and 6 sides; a
// level of n sides deviates from the circle by r (1 - cos π/n).
func rod(radius, height float64) *Ladder {
	var meshes []*mesh.Mesh
	var deviations []float64
	for _, sides := range []int{96, 48, 24, 12, 6} {
		meshes = append(meshes, solid.Cylinder(radius, height, sides, false))
		deviations = append(deviations, radius*(math.Cos(math.Pi/96)-math.Cos(math.Pi/float64(sides))))
	}
	return ladder(meshes, deviations)
}

func block(lo, hi mesh.Vec) *Ladder {
	return ladder([]*mesh.Mesh{solid.Box(lo, hi)}, []float64{0})
}

func text(s string) step.Text { return step.Text{Value: s, Origin: step.Origin{Line: 1, Column: 1}} }

func texts(s ...string) []step.Text {
	var out []step.Text
	for _, v := range s {
		out = append(out, text(v))
	}
	return out
}

func at(x, y, z float64) *step.Placement {
	return &step.Placement{Matrix: mesh.Translation(mesh.Vec{x, y, z}), Origin: step.Origin{Line: 2, Column: 2}}
}

// turned stands at a place, turned about an axis by so many turns.
func turned(axis mesh.Vec, turns, x, y, z float64) *step.Placement {
	return &step.Placement{Matrix: mesh.Translation(mesh.Vec{x, y, z}).Mul(rotationMatrix(glb.Turn(axis.Unit(), turns)))}
}

func occurrence(within, id, item string, p *step.Placement) *step.Occurrence {
	return &step.Occurrence{ID: text(id), Item: text(item), Within: text(within), Placement: p}
}

// press is a small product: a base plate, four bolts, and a head, a sub-assembly of a
// block and a ram that is used twice.
func press() (*step.Plan, Library) {
	p := &step.Plan{
		ID: text("GR-1"), Product: text("press"), Frame: step.Frame{Up: 'Z'},
		Items:     map[string]*step.Item{},
		Structure: map[string][]*step.Occurrence{},
		Views:     map[string]*step.View{},
	}
	p.Position.File = "plan.xml"
	for _, id := range []string{"plate", "bolt", "head", "block", "ram", "grease"} {
		p.Items[id] = &step.Item{ID: text(id), Title: step.Texts{{Lang: "en", Text: text("The " + id)}}}
	}
	p.Items["block"].Material3D = &step.Material{Color: [3]float64{0.2, 0.3, 0.4}}
	add := func(o *step.Occurrence) { p.Structure[o.Within.Value] = append(p.Structure[o.Within.Value], o) }
	add(occurrence("", "plate-1", "plate", at(0, 0, 0)))
	for i, xy := range [][2]float64{{0.04, 0.04}, {-0.04, 0.04}, {-0.04, -0.04}, {0.04, -0.04}} {
		add(occurrence("", "bolt-"+string(rune('1'+i)), "bolt", at(xy[0], xy[1], 0.01)))
	}
	add(occurrence("", "head-1", "head", at(0, 0, 0.01)))
	add(occurrence("", "head-2", "head", turned(mesh.Vec{0, 0, 1}, 0.25, 0.03, 0, 0.01)))
	add(occurrence("head", "block", "block", at(0, 0, 0)))
	add(occurrence("head", "ram", "ram", turned(mesh.Vec{0, 1, 0}, 0.25, 0, 0, 0.02)))
	steel := []mesh.Material{{Name: "steel", Color: [4]float64{0.5, 0.5, 0.55, 1}, Metallic: 0.9, Roughness: 0.4}}
	lib := Library{
		"plate": {{Name: "plate", Ladder: block(mesh.Vec{-0.05, -0.05, 0}, mesh.Vec{0.05, 0.05, 0.01}), Transform: mesh.Identity()}},
		"bolt": {
			{Name: "shank", Ladder: rod(0.003, 0.02), Transform: mesh.Translation(mesh.Vec{0, 0, -0.02}), Materials: steel},
			{Name: "cap", Ladder: rod(0.005, 0.004), Transform: mesh.Identity(), Materials: steel},
		},
		"block": {{Name: "block", Ladder: block(mesh.Vec{-0.01, -0.01, 0}, mesh.Vec{0.01, 0.01, 0.03}), Transform: mesh.Identity()}},
		"ram":   {{Name: "ram", Ladder: rod(0.004, 0.05), Transform: mesh.Identity(), Materials: steel}},
	}
	return p, lib
}

func input(p *step.Plan, lib Library, s *step.Step) Input {
	structure, _ := Expand(p, "")
	handheld, _ := profile.Named("handheld")
	if !s.ID.Given() {
		s.ID = text("S-1")
	}
	return Input{
		Plan: p, Operation: &step.Operation{}, Step: s, Structure: structure, Library: lib, Profile: handheld,
		BlobURI: func(id string) string { return "../blobs/" + id + ".bin" },
		Mesh: func(b Blob) *mesh.Mesh {
			m, _ := b.Layout.Decode(blobs[b.SHA256])
			return m
		},
		Normals: func(Blob) raster.Normals { return nil },
		Once:    func(_ string, _ any, make func()) { make() },
	}
}

func codes(s *Scene) []string {
	var out []string
	for _, d := range s.Diagnostics {
		out = append(out, d.Code)
	}
	return out
}

func decode(t testing.TB, s *Scene) *gltf.Document {
	t.Helper()
	require.NotNil(t, s.GLTF, "%v", s.Diagnostics)
	var doc gltf.Document
	require.NoError(t, json.Unmarshal(s.GLTF, &doc))
	return &doc
}

// local is a node's matrix; moved holds the values of animated nodes.
func local(n *gltf.Node, moved *pose) mesh.Mat {
	if n.MatrixOrDefault() != gltf.DefaultMatrix {
		return mesh.Mat(n.Matrix)
	}
	t, r := mesh.Vec(n.Translation), glb.Quat(n.RotationOrDefault())
	if moved != nil {
		t, r = moved.translation, moved.rotation
	}
	m := mesh.Translation(t).Mul(rotationMatrix(r))
	for k, s := range n.ScaleOrDefault() {
		for i := range 3 {
			m[4*k+i] *= s
		}
	}
	return m
}

type pose struct {
	translation mesh.Vec
	rotation    glb.Quat
}

// world lists the matrices of all nodes by index, and by name.
func world(doc *gltf.Document, poses map[int]*pose) ([]mesh.Mat, map[string]mesh.Mat) {
	all := make([]mesh.Mat, len(doc.Nodes))
	named := map[string]mesh.Mat{}
	var walk func(nodes []int, above mesh.Mat)
	walk = func(nodes []int, above mesh.Mat) {
		for _, i := range nodes {
			all[i] = above.Mul(local(doc.Nodes[i], poses[i]))
			named[doc.Nodes[i].Name] = all[i]
			walk(doc.Nodes[i].Children, all[i])
		}
	}
	walk(doc.Scenes[0].Nodes, mesh.Identity())
	return all, named
}

// drawnTriangles counts what the document draws, mesh by mesh and node by node.
func drawnTriangles(doc *gltf.Document) int {
	n := 0
	for _, node := range doc.Nodes {
		if node.Mesh != nil {
			for _, p := range doc.Meshes[*node.Mesh].Primitives {
				n += doc.Accessors[*p.Indices].Count / 3
			}
		}
	}
	return n
}

// poses reads the animation: the pose of each moved node at its first or last key.
func poses(t testing.TB, doc *gltf.Document, s *Scene, last bool) map[int]*pose {
	t.Helper()
	out := map[int]*pose{}
	for _, a := range doc.Animations {
		for _, c := range a.Channels {
			o := doc.Accessors[a.Samplers[c.Sampler].Output]
			width, at := o.Type.Components(), 0
			if last {
				at = o.Count - 1
			}
			var v [4]float64
			for k := range width {
				bits := binary.LittleEndian.Uint32(s.Keyframes[o.ByteOffset+4*(at*width+k):])
				v[k] = float64(math.Float32frombits(bits))
			}
			n := *c.Target.Node
			if out[n] == nil {
				out[n] = &pose{mesh.Vec(doc.Nodes[n].Translation), glb.Still}
			}
			if width == 3 {
				out[n].translation = mesh.Vec{v[0], v[1], v[2]}
			} else {
				out[n].rotation = v
			}
		}
	}
	return out
}

// save writes a scene and its blobs below dir and returns the scene's path.
func save(t testing.TB, dir, name string, s *Scene) string {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "blobs"), 0o755))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "steps"), 0o755))
	for i, b := range s.Blobs {
		data := blobs[b.SHA256]
		if s.Keyframes != nil && i == len(s.Blobs)-1 {
			data = s.Keyframes
		}
		require.EqualValues(t, b.Bytes, len(data))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "blobs", b.SHA256+".bin"), data, 0o644))
	}
	path := filepath.Join(dir, "steps", name+".gltf")
	require.NoError(t, os.WriteFile(path, s.GLTF, 0o644))
	return path
}

// turnZ is what the root of a plan with Z up does.
var turnZ = mesh.Mat{1, 0, 0, 0, 0, 0, -1, 0, 0, 1, 0, 0, 0, 0, 0, 1}

// requireSame compares matrices by what they do to points a metre out.
func requireSame(t testing.TB, want, got mesh.Mat, delta float64, message string) {
	t.Helper()
	for _, p := range []mesh.Vec{{}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
		require.LessOrEqual(t, want.Point(p).Distance(got.Point(p)), delta, message)
	}
}

func same(a, b *Scene) bool {
	x, _ := json.Marshal(a)
	y, _ := json.Marshal(b)
	return bytes.Equal(x, y)
}

// inSingle is the document as a device reads it that knows only single precision.
func inSingle(doc *gltf.Document) *gltf.Document {
	out := *doc
	out.Nodes = nil
	for _, n := range doc.Nodes {
		c := *n
		for i := range c.Matrix {
			c.Matrix[i] = float64(float32(c.Matrix[i]))
		}
		for i := range c.Translation {
			c.Translation[i] = float64(float32(c.Translation[i]))
		}
		out.Nodes = append(out.Nodes, &c)
	}
	return &out
}
