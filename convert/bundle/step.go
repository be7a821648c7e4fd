package bundle

import (
	"planfold/convert/diag"
	"planfold/convert/step"
)

// Step is step.json.
type Step struct {
	Format       string             `json:"format"`
	Precedence   string             `json:"precedence"` // what stands above the instruction
	Plan         PlanHead           `json:"plan"`
	Revision     string             `json:"revision"`
	Operation    *step.Operation    `json:"operation"`
	ID           step.Text          `json:"id"`
	IDFrom       string             `json:"idFrom,omitempty"`
	Number       step.Text          `json:"number,omitzero"`
	Effectivity  []step.Effectivity `json:"effectivity,omitempty"`
	Alternative  step.Text          `json:"alternative,omitzero"`
	Sequence     int                `json:"sequence"`
	Predecessors []string           `json:"predecessors,omitempty"`
	Title        step.Texts         `json:"title,omitempty"`
	Text         step.Texts         `json:"text,omitempty"`
	Hazards      []step.Hazard      `json:"hazards,omitempty"`
	Parts        []Part             `json:"parts,omitempty"`
	Tools        []step.Tool        `json:"tools,omitempty"`

	Tightening      []step.Tightening     `json:"tightening,omitempty"`
	Characteristics []step.Characteristic `json:"characteristics,omitempty"`
	SignOffs        []step.SignOff        `json:"signOffs,omitempty"`
	Evidence        []step.Evidence       `json:"evidence,omitempty"`
	Attachments     []Attachment          `json:"attachments,omitempty"`
	Scene           *Scene                `json:"scene"`
	Picture         *Picture              `json:"picture,omitempty"`
	Locator         *Locator              `json:"locator,omitempty"`
	Registration    *Registration         `json:"registration,omitempty"`
	Resources       []Resource            `json:"resources"`
	NotCarried      []NotCarried          `json:"notCarried,omitempty"`
}

// Precedence stands in every step: an instruction made from a plan is not above the
// rules of the place and the trade. It is no hazard statement; those are the plan's.
const Precedence = "Local codes and licensed practice prevail over this instruction."

// PlanHead is what a step says of its plan.
type PlanHead struct {
	ID       step.Text  `json:"id"`
	Title    step.Texts `json:"title,omitempty"`
	Status   step.Text  `json:"status,omitzero"`
	Approver step.Text  `json:"approver,omitzero"`
}

// Part is a part's row, with what its item says of itself.
type Part struct {
	step.Part
	ItemRevision step.Text    `json:"itemRevision,omitzero"`
	ItemTitle    step.Texts   `json:"itemTitle,omitempty"`
	Class        step.Text    `json:"class,omitzero"`
	Material     step.Text    `json:"material,omitzero"`
	ItemTotal    step.Text    `json:"itemTotal,omitzero"`
	ItemNotes    []step.Texts `json:"itemNotes,omitempty"`
	Documents    []Attachment `json:"documents,omitempty"`
}

// Attachment is a document with the blob that holds it. Where the document is
// missing the row stays, without a blob.
type Attachment struct {
	File        step.Text          `json:"file"`
	Title       step.Texts         `json:"title,omitempty"`
	Type        string             `json:"type,omitempty"` // media type, by content
	URI         string             `json:"uri,omitempty"`
	Bytes       int64              `json:"bytes,omitempty"`
	SHA256      string             `json:"sha256,omitempty"`
	Effectivity []step.Effectivity `json:"effectivity,omitempty"`
}

// Resource is a file that a device needs to show the step.
type Resource struct {
	URI    string `json:"uri"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Picture is the step as its scene's camera sees it, before the parts move: a PNG.
type Picture struct {
	URI    string `json:"uri"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Scene is what step.json says of scene.gltf. Origin is in metres and the plan's
// axes, Deviation in mm.
type Scene struct {
	URI       string      `json:"uri"`
	Triangles int         `json:"triangles"`
	Bytes     int64       `json:"bytes"`
	SHA256    string      `json:"sha256"`
	Deviation float64     `json:"deviation"`
	Origin    [3]float64  `json:"origin"`
	Layout    string      `json:"layout"`
	Views     []string    `json:"views,omitempty"`
	Clips     []string    `json:"clips,omitempty"`
	Motions   []Motion    `json:"motions,omitempty"`
	Nodes     []SceneNode `json:"nodes"`
	Hidden    []string    `json:"hidden,omitempty"`

	Enclosed          []string `json:"enclosed,omitempty"` // left out, since nothing of them is seen from outside
	EnclosedTriangles int      `json:"enclosedTriangles,omitempty"`
}

// SceneNode is a node of the scene that shows a part or an occurrence. Part
// indexes the step's parts and is absent for context.
type SceneNode struct {
	Name       string  `json:"name"`
	Occurrence string  `json:"occurrence,omitempty"`
	Item       string  `json:"item,omitempty"`
	Part       *int    `json:"part,omitempty"`
	Role       string  `json:"role"`
	Triangles  int     `json:"triangles"`
	Deviation  float64 `json:"deviation"`
}

// Locator marks the step's place in the locator, a light mesh of the whole product: a box
// around its parts, lower and upper corner, metres, in the axes of the file's scene. Of a
// sub-assembly that goes to several places it is the first of so many.
type Locator struct {
	URI    string        `json:"uri"`
	Box    [2][3]float64 `json:"box"`
	Places int           `json:"places,omitempty"`
}

// Registration is what the overlay is aligned by: an occurrence, with a light mesh of it
// and its sharp edges as lines. Position is where the zero of that file's scene stands in
// the step's, metres; deviation is in mm.
type Registration struct {
	step.Registration
	ItemTitle step.Texts  `json:"itemTitle,omitempty"`
	URI       string      `json:"uri,omitempty"`
	Position  *[3]float64 `json:"position,omitempty"`
	Triangles int         `json:"triangles,omitempty"`
	Deviation float64     `json:"deviation,omitempty"`
	Edges     int         `json:"edges,omitempty"`
}

// Motion is how an occurrence travels home in the clip. Those of one group travel
// together; groups count from 0 in the order that they play.
type Motion struct {
	Occurrence string `json:"occurrence"`
	From       string `json:"from"` // "view", "rule" or "inferred"
	Group      int    `json:"group"`
	Through    string `json:"through,omitempty"` // an occurrence that it leads through, though it is given
	Along      string `json:"along,omitempty"`   // what its way is an axis of, if it is inferred
}

// NotCarried tells the floor what is missing from the step.
type NotCarried struct {
	Code    string `json:"code"`
	Line    int    `json:"line,omitempty"`
	Message string `json:"message"`
}

// NotCarriedOf lists what a step lost; remarks that lost nothing are left out.
func NotCarriedOf(list diag.List) []NotCarried {
	var out []NotCarried
	for _, d := range list {
		if d.Severity > diag.Info {
			out = append(out, NotCarried{d.Code, d.Position.Line, d.Message})
		}
	}
	return out
}
