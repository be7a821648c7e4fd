package rules

// fieldSays says in a sentence what each field is, for the reference and the JSON
// Schema: by kind of record, then by field. A field with the same meaning in
// several kinds stands once, under "".
var fieldSays = map[string]map[string]string{
	"": {
		"id":              "what others refer to it by",
		"title":           "its name for people",
		"number":          "the number people know it by",
		"notes":           "remarks for people, each kept on its own",
		"predecessors":    "ids of what must be done before",
		"hazards":         "hazard statements",
		"parts":           "what is consumed",
		"tools":           "what is needed and not consumed",
		"characteristics": "what is measured",
		"signOffs":        "who confirms that it is done",
		"evidence":        "what must be recorded",
		"attachments":     "documents shown as they are: pictures, PDF, film",
		"revision":        "its revision, as the plan writes it",
		"unit":            "unit of the numbers, a code of UN/ECE Recommendation 20",
		"placement":       "position and orientation, as a matrix",
		"occurrence":      "the occurrence, by its path",
		"order":           "a number that sorts it among its siblings",
		"effectivity":     "ranges of serial numbers or dates for which it holds; none: always",
		"alternative":     "name of the group that it is one of, to choose from",
	},
	"plan": {
		"status":   "state of release, as the plan writes it",
		"approver": "who released it",
		"product":  "the item that is built; its structure is the whole",
	},
	"item": {
		"class":    "what sort of thing it is; conditions choose by it",
		"material": "what it is made of",
		"total":    "the quantity that the item itself states for the product",
		"geometry": "its CAD files",
	},
	"geometry": {
		"file": "path of the file, below the geometry folder",
		"node": "the node of the file that is meant; absent: the whole file",
		"use":  "whether all such files together are the item, or each one is",
	},
	"occurrence": {
		"id":     "its name, unique within what it stands in",
		"item":   "the item that it is one of",
		"within": "the item that it stands in; absent: the plan's product",
	},
	"view": {
		"position":    "where the camera stands",
		"target":      "what the camera looks at",
		"up":          "what points up in the picture",
		"fieldOfView": "vertical angle of the picture",
		"visible":     "occurrences that are shown",
		"displaced":   "occurrences that are shown away from their place",
	},
	"effectivity": {
		"from": "the first serial number, or date (YYYY-MM-DD); absent: from the beginning",
		"to":   "the last serial number, or date; absent: without end",
	},
	"operation": {
		"parent":          "the operation it belongs to; absent: the nearest around it",
		"builds":          "the item that it builds",
		"quantity":        "how often it is done for one product",
		"workCentre":      "where it is done",
		"equipment":       "machines and fixtures it is done on",
		"qualification":   "what who does it must have learnt",
		"plannedDuration": "time planned, ISO 8601: PT20M",
		"steps":           "the least units of instruction",
	},
	"step": {
		"text":       "the instruction",
		"view":       "the saved view that shows it",
		"tightening": "the order in which fasteners are tightened",
	},
	"part": {
		"item":                 "the item that is consumed",
		"operation":            "the operation whose result is consumed, instead of an item",
		"quantity":             "how many or how much",
		"findNumber":           "its number in the drawing's list",
		"purpose":              "what it is for; a part that has one is shown with preparation and consumables",
		"referenceDesignators": "names of its places",
		"occurrences":          "which occurrences they are, by paths within what the operation builds",
		"capture":              "what of it must be recorded",
		"substitutes":          "items that may stand in for it",
		"shelfLife":            "how long it keeps, ISO 8601: P24M",
	},
	"hazard": {
		"signalWord":  "DANGER, WARNING, CAUTION or NOTICE, as the plan has it",
		"hazard":      "what can hurt",
		"consequence": "what happens then",
		"avoidance":   "how to avoid it",
	},
	"tightening": {
		"order": "whole number: lower is tightened first",
	},
	"characteristic": {
		"nominal": "the value aimed at",
		"lower":   "the least value allowed",
		"upper":   "the greatest value allowed",
		"point":   "whether work stops for it (hold) or someone looks on (witness)",
	},
	"signOff":  {"role": "who signs"},
	"evidence": {"kind": "what is recorded"},
	"attachment": {
		"file": "path of the document, below the attachment folder",
	},
}

// said is what a field is, in a sentence.
func (f *field) said(k *kind) string {
	if s := fieldSays[k.name][f.name]; s != "" {
		return s
	}
	return fieldSays[""][f.name]
}
