package glb

import (
	"math"
	"strconv"

	"planfold/convert/mesh"
)

// Document collects a scene. Its methods return the indices that others take.
// The zero value is empty and ready.
type Document struct {
	wire      wireDocument
	geometry  map[string]geometry // by URI
	meshes    map[meshKey]int
	materials map[mesh.Material]int
	fallback  int // one more than the index of the buffer that stands for what is compressed
}

// meshKey tells meshes of one document apart; materials is their list as text.
type meshKey struct{ name, uri, materials string }

// Node is one node to be added. A matrix that is not zero takes the place of
// translation, rotation and scale; zero rotation and scale change nothing.
type Node struct {
	Name        string
	Translation mesh.Vec
	Rotation    Quat
	Scale       mesh.Vec
	Matrix      mesh.Mat
	Mesh        int // one more than the mesh's index; 0 for none
	Camera      int // one more than the camera's index; 0 for none
}

// Root as a parent makes a node a root of the scene.
const Root = -1

// Plain is the look of a surface of which nothing is known: light grey, rather matt.
// glTF's own default is a white metal, which is black where nothing is mirrored.
var Plain = mesh.Material{Color: [4]float64{0.8, 0.8, 0.8, 1}, Roughness: 0.6, Metallic: 0.1}

// Node adds a node below another, or as a root.
func (d *Document) Node(parent int, n Node) int {
	i := len(d.wire.Nodes)
	w := wireNode{Name: n.Name}
	if n.Matrix != (mesh.Mat{}) && n.Matrix != mesh.Identity() {
		w.Matrix = [16]float64(n.Matrix)
		clean(w.Matrix[:])
	} else if n.Matrix == (mesh.Mat{}) {
		w.Translation = [3]float64(n.Translation)
		if n.Rotation != (Quat{0, 0, 0, 1}) {
			w.Rotation = [4]float64(n.Rotation)
		}
		if n.Scale != (mesh.Vec{1, 1, 1}) {
			w.Scale = [3]float64(n.Scale)
		}
		clean(w.Translation[:])
		clean(w.Rotation[:])
	}
	if n.Mesh > 0 {
		w.Mesh = new(n.Mesh - 1)
	}
	if n.Camera > 0 {
		w.Camera = new(n.Camera - 1)
	}
	d.wire.Nodes = append(d.wire.Nodes, w)
	if parent == Root {
		if d.wire.Scenes == nil {
			d.wire.Scenes = make([]wireScene, 1)
		}
		d.wire.Scenes[0].Nodes = append(d.wire.Scenes[0].Nodes, i)
	} else {
		p := &d.wire.Nodes[parent]
		p.Children = append(p.Children, i)
	}
	return i
}

// clean turns negative zeros into plain ones.
func clean(x []float64) {
	for i := range x {
		if x[i] == 0 {
			x[i] = 0
		}
	}
}

// Mesh adds what the buffer at uri holds, in the given materials (by group; Plain
// where there are fewer). A mesh that is there already, by name too, is used again,
// and so are the accessors of a buffer under other names or materials. It returns
// -1 if the buffer draws nothing.
func (d *Document) Mesh(name, uri string, l Layout, materials []mesh.Material) int {
	var used []wirePrimitive
	key := meshKey{name: name, uri: uri}
	for i, p := range l.Primitives {
		if !l.shows(p) {
			continue
		}
		look := Plain
		if g := p.Group - l.first; g < len(materials) {
			look = materials[g]
		}
		material := d.material(look)
		used = append(used, wirePrimitive{Indices: i, Material: material})
		key.materials += strconv.Itoa(i) + ":" + strconv.Itoa(material) + ","
	}
	if len(used) == 0 {
		return -1
	}
	if i, ok := d.meshes[key]; ok {
		return i
	}
	g := d.buffer(uri, l)
	for i := range used {
		used[i].Attributes = g.attributes
		used[i].Indices += g.firstIndices
	}
	if d.meshes == nil {
		d.meshes = map[meshKey]int{}
	}
	d.meshes[key] = len(d.wire.Meshes)
	d.wire.Meshes = append(d.wire.Meshes, wireMesh{Name: name, Primitives: used})
	return len(d.wire.Meshes) - 1
}

// material adds a material unless an equal one is there.
func (d *Document) material(m mesh.Material) int {
	if i, ok := d.materials[m]; ok {
		return i
	}
	if d.materials == nil {
		d.materials = map[mesh.Material]int{}
	}
	w := wireMaterial{Name: m.Name, DoubleSided: m.TwoSided}
	for k, c := range m.Color {
		w.Roughness.BaseColor[k] = within01(c)
	}
	w.Roughness.Metallic, w.Roughness.Roughness = within01(m.Metallic), within01(m.Roughness)
	if w.Roughness.BaseColor[3] < 1 {
		w.AlphaMode = "BLEND"
	}
	d.materials[m] = len(d.wire.Materials)
	d.wire.Materials = append(d.wire.Materials, w)
	return len(d.wire.Materials) - 1
}

// within01 puts a factor into the range that the specification allows; what is not
// a number becomes 1, the default.
func within01(x float64) float64 {
	if math.IsNaN(x) {
		return 1
	}
	if x <= 0 {
		return 0
	}
	return min(x, 1)
}

// Camera is a perspective camera: vertical field of view in radians, distances in
// metres.
type Camera struct {
	Name              string
	FieldOfView       float64
	ZNear, ZFar       float64
	Position, Towards mesh.Vec // Towards is a point ahead
	Up                mesh.Vec // roughly; must not be parallel to the view
}

// Camera adds a camera and the node that holds it, below parent.
func (d *Document) Camera(parent int, c Camera) int {
	d.wire.Cameras = append(d.wire.Cameras, wireCamera{
		Name: c.Name, Type: "perspective",
		Perspective: wirePerspective{Yfov: c.FieldOfView, Znear: c.ZNear, Zfar: c.ZFar},
	})
	// A camera looks along its -Z with +Y up.
	back := c.Position.Sub(c.Towards).Unit()
	right := c.Up.Cross(back).Unit()
	up := back.Cross(right)
	m := mesh.Mat{right[0], right[1], right[2], 0, up[0], up[1], up[2], 0, back[0], back[1], back[2], 0, 0, 0, 0, 1}
	return d.Node(parent, Node{Name: c.Name, Translation: c.Position, Rotation: Rotation(m), Camera: len(d.wire.Cameras)})
}
