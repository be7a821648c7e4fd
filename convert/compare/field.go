package compare

import (
	"reflect"

	"planfold/convert/bundle"
	"planfold/convert/step"
)

// field says what a change of a member touches, and what kind of id it holds, so
// that an id that changed everywhere is reported once.
type field struct {
	class  Class
	refers string
}

// Beside the classes: as what the member stands in, and no difference in itself.
const (
	holder  Class = ""
	follows Class = "-"
)

// Kinds of id that are followed from one side to the other.
const (
	toOperation = "operation"
	toStep      = "step"
	toItem      = "item"
	toPart      = "part" // an index into the step's parts
	inMessage   = "ids"  // in the quotes of a message
)

// fields is the table: by structure, each member by its JSON name (one that is not in
// JSON by its Go name with a small first letter). A test sees that none is missing and
// none is left over.
var fields = map[reflect.Type]map[string]field{
	reflect.TypeFor[bundle.Step](): {
		"format": {class: follows}, "precedence": {class: follows},
		"plan": {class: Content}, "revision": {class: Content}, "operation": {class: Content},
		"id": {Content, toStep}, "effectivity": {class: Safety}, "alternative": {class: Safety}, "idFrom": {class: Content}, "number": {class: Content},
		"sequence": {class: Safety}, "predecessors": {Safety, toStep},
		"title": {class: Content}, "text": {class: Content},
		"hazards": {class: Safety}, "parts": {class: Safety}, "tools": {class: Content},
		"tightening": {class: Safety}, "characteristics": {class: Safety}, "signOffs": {class: Safety}, "evidence": {class: Safety},
		"attachments": {class: Content}, "scene": {class: Geometry}, "picture": {class: follows}, "locator": {class: Presentation}, "registration": {class: Geometry},
		"resources":  {class: follows}, // the buffers among them are compared as the scene's geometry
		"notCarried": {class: Content}, // safety where the code holds an edition
	},
	reflect.TypeFor[step.Effectivity](): {
		"from": {}, "to": {}, "unclear": {},
	},
	reflect.TypeFor[bundle.PlanHead](): {
		"id": {class: Content}, "title": {class: Content}, "status": {class: Safety}, "approver": {class: Safety},
	},
	reflect.TypeFor[step.Operation](): {
		"id": {Content, toOperation}, "number": {class: Content}, "order": {class: follows}, "effectivity": {class: Safety}, "alternative": {class: Safety}, "title": {class: Content}, "parent": {Safety, toOperation},
		"builds": {Content, toItem}, "quantity": {class: Safety}, "workCentre": {class: Content}, "equipment": {class: Content},
		"qualification": {class: Safety}, "plannedDuration": {class: Content}, "predecessors": {Safety, toOperation}, "notes": {class: Content},
		"common": {class: follows}, "steps": {class: follows}, "sequence": {class: follows}, // they stand in the steps
	},
	reflect.TypeFor[step.Localized](): {
		"lang": {}, "text": {}, "rich": {class: Presentation},
	},
	reflect.TypeFor[step.Hazard](): {
		"id": {}, "signalWord": {}, "hazard": {}, "consequence": {}, "avoidance": {}, "effectivity": {},
	},
	reflect.TypeFor[bundle.Part](): {
		"itemRevision": {class: Safety}, "itemTitle": {class: Content}, "class": {class: Content}, "material": {class: Safety},
		"itemTotal": {class: Safety}, "itemNotes": {class: Content}, "documents": {class: Content},
	},
	reflect.TypeFor[step.Part](): {
		"item": {Safety, toItem}, "operation": {Safety, toOperation}, "quantity": {class: Safety}, "unit": {class: Safety}, "unitSymbol": {class: Safety}, "effectivity": {class: Safety}, "alternative": {class: Safety},
		"findNumber": {class: Content}, "purpose": {class: Content}, "referenceDesignators": {class: Content}, "occurrences": {class: Content},
		"capture": {class: Safety}, "substitutes": {Safety, toItem}, "shelfLife": {class: Safety}, "notes": {class: Content}, "partsOf": {class: Content},
		"skip": {class: follows}, "chosen": {class: follows}, // such a part is not there, or alone of its group
		"role": {class: Presentation}, "motion": {class: Presentation}, "budget": {class: Geometry},
	},
	reflect.TypeFor[step.Tool]():       {"id": {}, "title": {}, "effectivity": {class: Safety}},
	reflect.TypeFor[step.Tightening](): {"order": {}, "occurrence": {}},
	reflect.TypeFor[step.Characteristic](): {
		"id": {}, "title": {}, "nominal": {}, "lower": {}, "upper": {}, "unit": {}, "unitSymbol": {}, "point": {}, "notes": {class: Content}, "effectivity": {},
		"skip": {class: follows}, // such a characteristic is not there
	},
	reflect.TypeFor[step.SignOff]():  {"role": {}, "effectivity": {}},
	reflect.TypeFor[step.Evidence](): {"kind": {}, "title": {}, "effectivity": {}},
	reflect.TypeFor[bundle.Attachment](): {
		"file": {}, "title": {}, "type": {}, "sha256": {}, "effectivity": {class: Safety}, "uri": {class: follows}, "bytes": {class: follows},
	},
	reflect.TypeFor[bundle.Resource](): {"uri": {class: follows}, "bytes": {class: follows}, "sha256": {class: follows}},
	reflect.TypeFor[bundle.NotCarried](): {
		"code": {}, "message": {refers: inMessage}, "line": {class: follows}, // lines move with every edit of the plan
	},
	reflect.TypeFor[bundle.Scene](): {
		"uri": {class: follows}, "bytes": {class: follows},
		"sha256":    {class: follows}, // told where nothing else tells that the scene differs
		"triangles": {}, "deviation": {}, "origin": {}, "nodes": {}, "hidden": {}, "enclosed": {}, "enclosedTriangles": {class: follows},
		"layout": {class: Presentation}, "views": {class: Presentation}, "clips": {class: Presentation}, "motions": {class: Presentation},
	},
	reflect.TypeFor[bundle.Motion](): {"occurrence": {}, "from": {class: Presentation}, "group": {class: Presentation}, "through": {class: Presentation}, "along": {class: Presentation}},
	reflect.TypeFor[bundle.SceneNode](): {
		"name": {}, "occurrence": {}, "item": {refers: toItem}, "part": {Presentation, toPart}, "role": {class: Presentation},
		"triangles": {}, "deviation": {},
	},
	reflect.TypeFor[bundle.Registration](): {
		"itemTitle": {class: Content}, "uri": {}, "position": {class: Presentation}, "triangles": {}, "deviation": {}, "edges": {},
	},
	reflect.TypeFor[step.Registration](): {"occurrence": {}, "class": {}, "largest": {}},
	reflect.TypeFor[bundle.Locator]():    {"uri": {class: follows}, "box": {}, "places": {}},

	// What rules assign to a step that shows in its scene alone.
	reflect.TypeFor[drawing](): {
		"view": {class: Presentation}, "budget": {class: Geometry}, "roles": {class: Presentation}, "motions": {class: Presentation},
	},
	reflect.TypeFor[step.RoleChange](): {"occurrence": {}, "item": {refers: toItem}, "role": {}},
	reflect.TypeFor[step.Motion]():     {"occurrence": {}, "direction": {}, "distance": {}, "turns": {}},

	// The plan itself.
	reflect.TypeFor[head](): {
		"plan": {class: Content}, "revision": {class: Content}, "held": {class: Safety}, "effective": {class: Safety}, "profile": {class: Presentation}, "whole": {class: Geometry}, "locator": {class: Presentation},
		"model": {class: follows}, // walked from a root of its own
	},
	reflect.TypeFor[bundle.WholeEntry](): {"triangles": {}, "bytes": {class: follows}, "deviation": {}, "origin": {}},
	reflect.TypeFor[step.Plan](): {
		"id": {class: follows}, "revision": {class: follows}, "title": {class: follows}, "status": {class: follows}, "approver": {class: follows}, // they stand in the head
		"product": {Content, toItem}, "items": {class: Geometry}, "structure": {class: Geometry}, "views": {class: Presentation},
		"frame": {class: Geometry}, "hold": {class: Safety}, "revisionOrder": {class: Content},
	},
	reflect.TypeFor[step.Item](): {
		"id": {class: follows}, "revision": {class: follows}, "class": {class: follows}, "title": {class: follows}, "material": {class: follows},
		"total": {class: follows}, "notes": {class: follows}, "attachments": {class: follows}, // they stand in the parts
		"geometry": {}, "budget": {}, "hide": {}, "look": {class: Presentation},
	},
	reflect.TypeFor[step.Geometry]():   {"file": {}, "node": {}, "use": {}, "placement": {}},
	reflect.TypeFor[step.Placement]():  {"matrix": {}},
	reflect.TypeFor[step.Material]():   {"color": {}},
	reflect.TypeFor[step.Occurrence](): {"id": {}, "item": {refers: toItem}, "within": {refers: toItem}, "placement": {}, "hide": {}, "effectivity": {class: Safety}},
	reflect.TypeFor[step.View]():       {"id": {}, "camera": {}, "visible": {}, "displaced": {}},
	reflect.TypeFor[step.Camera]():     {"position": {}, "target": {}, "up": {}, "fieldOfView": {}},
	reflect.TypeFor[step.Displaced]():  {"occurrence": {}, "placement": {}},
	reflect.TypeFor[step.Frame]():      {"up": {}, "units": {}},
}

// identity says by what the entries of a list are found again: by the first of the
// keys that fits, all members of a key taken together. label is how a path names one.
type identity struct {
	said      string // one of them
	label     []string
	keys      [][]string
	unordered bool // their order means nothing
	exact     bool // two that say something else are never versions of one
}

var identities = map[reflect.Type]identity{
	reflect.TypeFor[step.Localized]():   {said: "a text", label: []string{"lang"}, keys: [][]string{{"lang"}, {"text"}}},
	reflect.TypeFor[step.Texts]():       {said: "a note"},
	reflect.TypeFor[step.Effectivity](): {said: "a range of effectivity", label: []string{"from", "to"}, keys: [][]string{{"from", "to"}}, unordered: true},
	reflect.TypeFor[step.Hazard](): {
		said: "a hazard statement", label: []string{"id", "hazard"},
		keys: [][]string{{"id"}, {"hazard", "consequence", "avoidance"}, {"hazard"}},
	},
	reflect.TypeFor[bundle.Part](): {
		said: "a part", label: []string{"item", "operation", "findNumber"},
		keys: [][]string{
			{"item", "operation", "findNumber", "occurrences"},
			{"item", "operation", "purpose"},
			{"item", "operation", "findNumber"},
			{"item", "operation"},
			{"findNumber", "occurrences"},
			{"occurrences"},
			{"itemTitle", "purpose"},
		},
	},
	reflect.TypeFor[step.Tool]():           {said: "a tool", label: []string{"id", "title"}, keys: [][]string{{"id"}, {"title"}}},
	reflect.TypeFor[step.Tightening]():     {said: "a place in the tightening sequence", label: []string{"occurrence"}, keys: [][]string{{"occurrence"}, {"order"}}},
	reflect.TypeFor[step.Characteristic](): {said: "a characteristic", label: []string{"id", "title"}, keys: [][]string{{"id"}, {"title"}, {"nominal", "lower", "upper", "unit"}}},
	reflect.TypeFor[step.SignOff]():        {said: "a sign-off", label: []string{"role"}, keys: [][]string{{"role"}}},
	reflect.TypeFor[step.Evidence]():       {said: "evidence", label: []string{"kind", "title"}, keys: [][]string{{"kind", "title"}, {"title"}}},
	reflect.TypeFor[bundle.Attachment]():   {said: "an attachment", label: []string{"file"}, keys: [][]string{{"file"}, {"sha256"}}},
	reflect.TypeFor[bundle.NotCarried]():   {said: "a gap", label: []string{"code"}, keys: [][]string{{"code", "message"}}, unordered: true, exact: true},
	reflect.TypeFor[bundle.Motion]():       {said: "a motion", label: []string{"occurrence"}, keys: [][]string{{"occurrence"}}},
	reflect.TypeFor[bundle.SceneNode]():    {said: "something shown", label: []string{"name"}, keys: [][]string{{"name"}, {"occurrence"}}, unordered: true},
	reflect.TypeFor[step.RoleChange]():     {said: "a role", label: []string{"occurrence", "item"}, keys: [][]string{{"occurrence", "item"}}},
	reflect.TypeFor[step.Motion]():         {said: "a motion", label: []string{"occurrence"}, keys: [][]string{{"occurrence"}}},
	reflect.TypeFor[step.Geometry]():       {said: "geometry", label: []string{"file", "node"}, keys: [][]string{{"file", "node"}}, unordered: true},
	reflect.TypeFor[*step.Occurrence]():    {said: "an occurrence", label: []string{"id"}, keys: [][]string{{"id"}}, unordered: true},
	reflect.TypeFor[step.Displaced]():      {said: "a displaced occurrence", label: []string{"occurrence"}, keys: [][]string{{"occurrence"}}, unordered: true},
}
