// Package scene makes the scene of one step: which parts are shown in which role,
// at which level of detail, where, from which view, and how they move home.
//
// Roles are given to occurrences of the expanded structure; what is to be drawn
// becomes pieces; levels are chosen for them within the budget; the pieces are
// written as a glTF document that refers to blobs by URI. Nothing is reduced here
// and no file is read: the Library says what levels there are, and Mesh shows them.
//
// Nodes of a scene, from the root down: one node that turns the plan's up axis to
// glTF's Y; for each occurrence a node with translation and rotation only, which an
// animation or a device may move, standing in the middle of the part; below it a
// node named by the occurrence's path, whose place is the placement; below that the
// item's shapes. All stand about the scene's origin (see Scene.Origin), which is
// taken off each placement in double precision, so that a device that multiplies
// matrices in single precision draws a product that is kilometres from its datum
// as sharply as any other.
package scene

import (
	"planfold/convert/diag"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/profile"
	"planfold/convert/raster"
	"planfold/convert/step"
)

// Blob is a stored buffer. Equal bytes show solids of several sizes and places: it is the
// layout that says how large a step of the grid is, and where its centre. Printed, a blob is
// a key to what Mesh makes of it.
type Blob struct {
	SHA256 string     `json:"sha256"`
	Bytes  int64      `json:"bytes"`
	Layout glb.Layout `json:"layout"`
}

// Level is one member of a ladder.
type Level struct {
	Triangles int     `json:"triangles"`
	Deviation float64 `json:"deviation"` // from the source, metres
	Blob      Blob    `json:"blob"`
}

// Ladder is the levels of one mesh, finest first.
type Ladder struct {
	Bounds mesh.Box `json:"bounds"`
	Levels []Level  `json:"levels"`
}

// Shape is one drawn mesh of an item.
type Shape struct {
	Name      string
	Ladder    *Ladder
	Transform mesh.Mat        // to the item's frame
	Materials []mesh.Material // by group
	Patches   []Patch         // nodes that each draw some of the groups; nil for one that draws all
	// File tells shapes apart whose places relative to each other are not known:
	// the tray sets shapes of different files side by side. Where the plan places
	// an item's files, all of its shapes have one File.
	File string
}

// Patch is what one node of a file shows of a mesh that was joined from several.
type Patch struct {
	Name         string
	First, Count int // groups
}

// Library is the shapes of items, by item id; an item without geometry is absent.
type Library map[string][]Shape

// Input is what a scene is made of. It is only read, but for what the structure learns of
// what nobody sees.
type Input struct {
	Plan      *step.Plan
	Operation *step.Operation
	Step      *step.Step
	Structure *Structure
	Present   []string          // occurrence paths that are already there
	ToCome    []string          // those that other steps bring
	Built     map[string]string // by operation: the item it builds; may be nil
	Library   Library
	Profile   profile.Profile
	BlobURI   func(sha256 string) string
	// Mesh is a stored level as a device makes it, in the frame of its shape, metres; nil
	// where it cannot be had. It is only read.
	Mesh func(Blob) *mesh.Mesh
	// Once is for what Build takes long to make: v points to what make assigns to, or is
	// filled with what was made before under the same key, which says all that it depends on.
	Once func(key string, v any, make func())
	// Normals are those that the level is shown with, for pictures.
	Normals func(Blob) raster.Normals
}

// Roles of nodes.
const (
	Focus   = "focus"   // what the step is about
	Context = "context" // what is already there
	Hidden  = "hidden"
)

// Node says what one named node of the scene shows.
type Node struct {
	Name       string
	Occurrence string // path; "" on the tray
	Item       string
	Part       int // index into the parts that the step shows (step.AllParts), or -1
	Role       string
	Triangles  int
	Deviation  float64 // mm, an upper bound
}

// Motion says how an occurrence comes to travel home in the clip. Those of one group
// travel together; groups count from 0 in the order that they play.
type Motion struct {
	Occurrence string
	From       string
	Group      int
	Through    string // an occurrence that a given motion leads through; "" if it is free
	Along      string // what an inferred one's way is an axis of: the part's "cylinder" or "plane", "up", the "assembly", the "placement"
}

// Where motions come from.
const (
	FromView = "view"     // a displaced placement of the saved view
	FromRule = "rule"     // a direction and a distance
	Inferred = "inferred" // the geometry: a way that is free
)

// Scene is a written scene and what there is to say about it. GLTF is nil if there
// is nothing to show; the diagnostics stand all the same.
type Scene struct {
	GLTF      []byte
	Triangles int
	Deviation float64    // mm, the largest of any node
	Layout    string     // "placed", "mixed" or "tray"
	Origin    [3]float64 // where the scene's zero stands, metres, plan axes
	Aligned   string     // path of the occurrence that the overlay is aligned by, or ""
	Focus     *mesh.Box  // around the parts of the step that stand in place, in the frame of what is built
	Nodes     []Node
	Views     []string // names of cameras
	Clips     []string // names of animations
	Motions   []Motion // in playing order
	Blobs     []Blob   // all that GLTF refers to, each once
	Keyframes []byte   // of the animation, to be stored by the caller: the last of Blobs; nil without one
	Hidden    []string // occurrence paths left out for the budget
	// EnclosedTriangles is what they would have drawn at least.
	EnclosedTriangles int
	Enclosed          []string // occurrence paths left out because nobody sees them
	Diagnostics       diag.List
	Picture           func() *raster.Picture `json:"-"` // of what GLTF shows; to be drawn where it is not known yet
	Aim               string                 `json:"-"` // where Picture is seen from, and its arrows: GLTF does not say
}

// Layouts of a scene.
const (
	Placed = "placed" // parts stand where they go
	Mixed  = "mixed"  // some do, and those that nothing places lie beside them
	Tray   = "tray"   // the step's parts lie side by side, since nothing says where they go
)

// Build makes the scene of a step.
func Build(in Input) *Scene {
	c := newComposer(in)
	c.parts = in.Step.AllParts(in.Operation)
	c.view()
	c.cast()
	c.collect()
	c.findFocus()
	c.leaveEnclosed()
	c.layTray()
	budget := in.Profile.StepTriangles
	if in.Step.Budget.Value > 0 {
		budget = in.Step.Budget.Value
	}
	return c.finish(budget)
}

// Whole makes the scene of all that the structure holds: everything is context.
func Whole(in Input) *Scene { return wholeOf(in).finish(in.Profile.WholeTriangles) }

func wholeOf(in Input) *composer {
	in.Step = &step.Step{}
	c := newComposer(in)
	for i := range c.roles {
		c.roles[i] = Context
	}
	c.hide()
	c.collect()
	return c
}
