// Package step is the model that rules map a plan onto: the plan's head, its
// items and structure, and its operations with their steps.
//
// Every value carries its origin. The structures marshal to the members of the
// issued JSON documents; package bundle puts the documents together. Rules fill the
// model, scene and bundle use it; Outline brings its steps into sequence.
package step

import (
	"slices"

	"planfold/convert/diag"
)

// Plan is the head of a plan and all that its operations refer to. It stays in
// memory for the whole conversion; operations are streamed.
type Plan struct {
	ID, Revision Text
	Title        Texts
	Status       Text
	Approver     Text
	Product      Text // item built by an operation that names none
	Items        map[string]*Item
	Structure    map[string][]*Occurrence // by the item they stand in; "" is the product
	Views        map[string]*View
	Frame        Frame
	Position     diag.Position // of the file
	Hold         Text          // reason, by rule; given: the edition must not become current

	// RevisionOrder says which of two revisions is the newer: "issued" (the one
	// converted last), "text" (the one later in alphabetical order, numbers inside by
	// value), or "" when nothing says it.
	RevisionOrder string
}

// Newer reports whether a revision takes the place of another, and whether that
// is known at all.
func (p *Plan) Newer(revision, than string) (yes, known bool) {
	switch p.RevisionOrder {
	case "issued":
		return true, true
	case "text":
		return compareNatural(revision, than) > 0, true
	}
	return false, false
}

// Frame is how a dialect writes lengths and axes. Placements are already turned
// to metres; geometry files are turned when they are read.
type Frame struct {
	Up    byte               // 'X', 'Y' or 'Z'
	Units map[string]float64 // metres a unit, by geometry format ("stl", "obj"); absent: not declared
}

// Item is what a part number names.
type Item struct {
	ID          Text         `json:"id"`
	Revision    Text         `json:"revision,omitzero"`
	Class       Text         `json:"class,omitzero"`
	Title       Texts        `json:"title,omitempty"`
	Material    Text         `json:"material,omitzero"`
	Total       Text         `json:"total,omitzero"` // quantity that the item itself states for the product
	Notes       []Texts      `json:"notes,omitempty"`
	Attachments []Attachment `json:"attachments,omitempty"`
	Geometry    []Geometry   `json:"-"`
	Budget      Count        `json:"-"` // triangles allowed, by rule
	Material3D  *Material    `json:"-"` // look by rule; nil: as the file has it
	Hide        Text         `json:"-"` // reason, by rule; given: never drawn
}

// Effectivity is one range of serial numbers or dates, both ends included, for which
// something holds. Either end may be open.
type Effectivity struct {
	From    Text   `json:"from,omitzero"`
	To      Text   `json:"to,omitzero"`
	Unclear bool   `json:"-"` // it cannot be told what it holds for
	Origin  Origin `json:"-"`
}

func (e *Effectivity) String() string {
	switch {
	case !e.To.Given():
		return "from " + e.From.Value
	case !e.From.Given():
		return "to " + e.To.Value
	}
	return "from " + e.From.Value + " to " + e.To.Value
}

// Geometry names a file that shows an item: all of it, or what hangs below the
// named node.
type Geometry struct {
	File      Text
	Node      Text
	Use       Text // "all" or "alternative"; not given means all
	Placement *Placement
}

// Material is a look that a rule set: colour as linear red, green, blue, 0 to 1.
type Material struct {
	Color  [3]float64
	Origin Origin
}

// Within are the occurrences that stand in an item; the product's may be listed under its
// own id, under none, or under both.
func (p *Plan) Within(item string) []*Occurrence {
	if item == "" || item != p.Product.Value {
		return p.Structure[item]
	}
	top := p.Structure[""]
	return append(top[:len(top):len(top)], p.Structure[item]...)
}

// Occurrence is one placed instance of an item within another.
type Occurrence struct {
	ID          Text
	Item        Text
	Within      Text // the item in whose frame it stands; not given: the product
	Placement   *Placement
	Effectivity []Effectivity
	Hide        Text // reason, by rule; given: never drawn
}

// View is a saved view.
type View struct {
	ID        Text
	Camera    *Camera
	Visible   []Text // occurrence paths; empty: the roles decide
	Displaced []Displaced
}

// Camera of a view, in metres and the plan's axes of what the operation builds.
type Camera struct {
	Position, Target, Up [3]float64
	FieldOfView          float64 // vertical, radians; 0: not given
	Origin               Origin
}

// Displaced is the exploded placement of an occurrence.
type Displaced struct {
	Occurrence Text
	Placement  Placement
}

// Operation is a unit of routed work. Nested operations are separate and name
// their parent.
type Operation struct {
	ID            Text          `json:"id"`
	Number        Text          `json:"number,omitzero"`
	Title         Texts         `json:"title,omitempty"`
	Parent        Text          `json:"parent,omitzero"`
	Order         Text          `json:"-"`                    // decimal; sorts it among its siblings
	Alternative   Text          `json:"alternative,omitzero"` // name of the group that it is one of
	Builds        Text          `json:"builds,omitzero"`      // item assembled here; not given: the product
	Quantity      Text          `json:"quantity,omitzero"`    // how often it is done for one product
	WorkCentre    Text          `json:"workCentre,omitzero"`
	Equipment     []Text        `json:"equipment,omitempty"`
	Qualification Text          `json:"qualification,omitzero"`
	Duration      Text          `json:"plannedDuration,omitzero"` // ISO 8601
	Predecessors  []Text        `json:"predecessors,omitempty"`   // operations
	Notes         []Texts       `json:"notes,omitempty"`
	Effectivity   []Effectivity `json:"effectivity,omitempty"`
	Common        Content       `json:"-"` // holds for every step of the operation
	Steps         []*Step       `json:"-"`
	Sequence      int           `json:"-"` // its place in the plan's file, to keep document order
}

// Content is what a step needs; an operation may have it for all its steps.
type Content struct {
	Hazards         []Hazard         `json:"hazards,omitempty"`
	Parts           []Part           `json:"parts,omitempty"`
	Tools           []Tool           `json:"tools,omitempty"`
	Characteristics []Characteristic `json:"characteristics,omitempty"`
	SignOffs        []SignOff        `json:"signOffs,omitempty"`
	Evidence        []Evidence       `json:"evidence,omitempty"`
	Attachments     []Attachment     `json:"attachments,omitempty"`
	LeftOut         []Part           `json:"-"` // parts that a rule took out; Skip names it
}

// Step is the least unit of instruction.
type Step struct {
	ID           Text
	IDFrom       string // "order" if the plan gives none
	Number       Text
	Order        Text // decimal; sorts it among the operation's
	Alternative  Text // name of the group that it is one of
	Title        Texts
	Text         Texts
	Predecessors []Text // steps; empty: the step before in the operation
	View         Text
	Effectivity  []Effectivity
	Tightening   []Tightening
	Content

	// What rules assigned.
	Skip         Text // reason; given: the step is left out
	Chosen       Text // given: of its alternatives this one counts
	Budget       Count
	Registration Registration
	Roles        []RoleChange // later ones win
	Motions      []Motion

	Diagnostics diag.List // what could not be carried over
}

// Part is a line consumed by a step.
type Part struct {
	Item        Text          `json:"item,omitzero"`
	Operation   Text          `json:"operation,omitzero"` // built by that operation, instead of an item
	Quantity    Text          `json:"quantity,omitzero"`
	Unit        Text          `json:"unit,omitzero"` // UN/ECE Recommendation 20 code; as given where it is none
	UnitSymbol  string        `json:"unitSymbol,omitempty"`
	Find        Text          `json:"findNumber,omitzero"`
	Alternative Text          `json:"alternative,omitzero"` // name of the group that it is one of
	Purpose     Texts         `json:"purpose,omitempty"`    // what the line is for, in the plan's words
	Designators []Text        `json:"referenceDesignators,omitempty"`
	Occurrences []Text        `json:"occurrences,omitempty"` // paths within what the operation builds
	Capture     Text          `json:"capture,omitzero"`      // "lot" or "serial"
	Substitutes []Text        `json:"substitutes,omitempty"`
	ShelfLife   Text          `json:"shelfLife,omitzero"`
	Notes       []Texts       `json:"notes,omitempty"`
	Effectivity []Effectivity `json:"effectivity,omitempty"`
	PartsOf     string        `json:"partsOf,omitempty"` // "operation" if the plan says it only there
	Chosen      Text          `json:"-"`                 // by rule; given: of its alternatives this one counts
	Skip        Text          `json:"-"`                 // reason, by rule; given: the part is left out
	Role        Text          `json:"-"`                 // by rule: "focus", "context" or "hidden"
	Motion      *Motion       `json:"-"`                 // by rule, for each of its occurrences
	Budget      Count         `json:"-"`                 // triangles allowed for each of its occurrences, by rule; wins over the item's
	Origin      Origin        `json:"-"`
}

// Hazard is a hazard statement, in the plan's own words.
type Hazard struct {
	ID          Text          `json:"id,omitzero"`
	SignalWord  Texts         `json:"signalWord,omitempty"`
	Hazard      Texts         `json:"hazard,omitempty"`
	Consequence Texts         `json:"consequence,omitempty"`
	Avoidance   Texts         `json:"avoidance,omitempty"`
	Origin      Origin        `json:"-"`
	Effectivity []Effectivity `json:"effectivity,omitempty"`
}

// Tool is equipment that the step needs and does not consume.
type Tool struct {
	ID          Text          `json:"id,omitzero"`
	Title       Texts         `json:"title,omitempty"`
	Effectivity []Effectivity `json:"effectivity,omitempty"`
}

// Tightening is one entry of a tightening sequence.
type Tightening struct {
	Order      Text `json:"order"`
	Occurrence Text `json:"occurrence"`
}

// Characteristic is something measured. Limits are decimal text.
type Characteristic struct {
	ID          Text          `json:"id,omitzero"`
	Title       Texts         `json:"title,omitempty"`
	Nominal     Text          `json:"nominal,omitzero"`
	Lower       Text          `json:"lower,omitzero"`
	Upper       Text          `json:"upper,omitzero"`
	Unit        Text          `json:"unit,omitzero"` // as of a part
	UnitSymbol  string        `json:"unitSymbol,omitempty"`
	Point       Text          `json:"point,omitzero"` // "hold" or "witness"
	Notes       []Texts       `json:"notes,omitempty"`
	Effectivity []Effectivity `json:"effectivity,omitempty"`
	Skip        Text          `json:"-"` // reason, by rule; given: it is left out
}

// SignOff is a role's confirmation that the step is done.
type SignOff struct {
	Role        Text          `json:"role"`
	Effectivity []Effectivity `json:"effectivity,omitempty"`
}

// Evidence is a photograph or value that must be recorded.
type Evidence struct {
	Kind        Text          `json:"kind"` // "photo" or "value"
	Title       Texts         `json:"title,omitempty"`
	Effectivity []Effectivity `json:"effectivity,omitempty"`
}

// Attachment is a document shown as it is.
type Attachment struct {
	File        Text          `json:"file"`
	Title       Texts         `json:"title,omitempty"`
	Effectivity []Effectivity `json:"effectivity,omitempty"`
	Skip        Text          `json:"-"` // reason, by rule; given: it is left out
}

// Registration says what the overlay is aligned by: an occurrence, or the largest part
// that is there, of a class or of all.
type Registration struct {
	Occurrence Text `json:"occurrence,omitzero"` // path
	Class      Text `json:"-"`                   // of items, instead
	Largest    Text `json:"-"`                   // "true", instead
}

// By is what was given, or a Text that is not.
func (r Registration) By() Text {
	for _, t := range []Text{r.Occurrence, r.Class, r.Largest} {
		if t.Given() {
			return t
		}
	}
	return Text{}
}

// String says it in words: a path is itself.
func (r Registration) String() string {
	switch {
	case r.Class.Given():
		return "the largest " + r.Class.Value
	case r.Largest.Given():
		return "the largest part"
	}
	return r.Occurrence.Value
}

// RoleChange is a role that a rule gave to an occurrence, or to all of an item.
type RoleChange struct {
	Occurrence string // path, or ""
	Item       string // or ""
	Role       Text   // "focus", "context" or "hidden"
}

// Motion moves occurrences home along a straight line, turning if asked to.
type Motion struct {
	Occurrence string     // path; "" on a part: all of its occurrences
	Direction  [3]float64 // of travel towards home, plan axes, unit length
	Distance   float64    // metres
	Turns      float64    // about the direction, right-handed, on the whole way
	Origin     Origin
}

// Facts are what geometry taught about the items of a plan, by item id.
type Facts map[string]Fact

// Fact of one item. An item that is absent from Facts has no known geometry.
type Fact struct {
	Triangles int        // of the source
	Bounds    [3]float64 // size in mm, x, y, z
	Digest    string     // of its meshes, hexadecimal
}

// AllParts lists the parts that a step shows: its own, then those that the plan
// states for the operation as a whole. A nil operation has none.
func (s *Step) AllParts(o *Operation) []Part {
	if o == nil {
		return s.Parts
	}
	return slices.Concat(s.Parts, o.Common.Parts)
}
