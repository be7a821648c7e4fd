package rules

import (
	"planfold/convert/diag"
	"planfold/convert/step"
)

// The tables of fields. The order of the rows is the order in which fields are
// set and shown.

var planKind = &kind{name: "plan", make: fresh[step.Plan], needed: []string{"id"}, fields: []*field{
	put("id", text, func(p *step.Plan) *step.Text { return &p.ID }),
	put("revision", text, func(p *step.Plan) *step.Text { return &p.Revision }),
	put("title", texts, func(p *step.Plan) *step.Texts { return &p.Title }),
	put("status", text, func(p *step.Plan) *step.Text { return &p.Status }),
	put("approver", text, func(p *step.Plan) *step.Text { return &p.Approver }),
	put("product", text, func(p *step.Plan) *step.Text { return &p.Product }),
}}

var itemKind = &kind{name: "item", make: fresh[step.Item], needed: []string{"id"}, missing: diag.MapIDMissing, fields: []*field{
	put("id", text, func(i *step.Item) *step.Text { return &i.ID }),
	put("revision", text, func(i *step.Item) *step.Text { return &i.Revision }),
	put("class", text, func(i *step.Item) *step.Text { return &i.Class }),
	put("title", texts, func(i *step.Item) *step.Texts { return &i.Title }),
	put("material", text, func(i *step.Item) *step.Text { return &i.Material }),
	put("total", decimal, func(i *step.Item) *step.Text { return &i.Total }).or(diag.MapQuantityInvalid).stated(),
	put("notes", notes, func(i *step.Item) *[]step.Texts { return &i.Notes }),
	within("attachments", attachmentKind, func(i *step.Item) *[]step.Attachment { return &i.Attachments }),
	within("geometry", geometryKind, func(i *step.Item) *[]step.Geometry { return &i.Geometry }),
}}

var geometryKind = &kind{name: "geometry", make: fresh[step.Geometry], needed: []string{"file"}, missing: diag.MapFileMissing, fields: []*field{
	put("file", text, func(g *step.Geometry) *step.Text { return &g.File }),
	put("node", text, func(g *step.Geometry) *step.Text { return &g.Node }),
	put("use", text, func(g *step.Geometry) *step.Text { return &g.Use }).oneOf("all", "alternative").or(diag.MapValueUnknown),
	put("placement", placement, func(g *step.Geometry) **step.Placement { return &g.Placement }),
}}

var occurrenceKind = &kind{name: "occurrence", make: fresh[step.Occurrence], needed: []string{"id", "item"}, missing: diag.MapIDMissing, fields: []*field{
	put("id", text, func(o *step.Occurrence) *step.Text { return &o.ID }),
	put("item", text, func(o *step.Occurrence) *step.Text { return &o.Item }).reference(),
	put("within", text, func(o *step.Occurrence) *step.Text { return &o.Within }),
	put("placement", placement, func(o *step.Occurrence) **step.Placement { return &o.Placement }),
	effectivity(func(r *step.Occurrence) *[]step.Effectivity { return &r.Effectivity }),
}}

// view is a saved view while it is read: a camera stands only when it is whole.
type view struct {
	step.View
	position, target, up *[3]float64
	fieldOfView          float64
	displaced            []displaced
}

var viewKind = &kind{name: "view", make: fresh[view], needed: []string{"id"}, missing: diag.MapIDMissing, check: cameraWhole, fields: []*field{
	put("id", text, func(v *view) *step.Text { return &v.ID }),
	put("position", position, func(v *view) **[3]float64 { return &v.position }),
	put("target", position, func(v *view) **[3]float64 { return &v.target }),
	put("up", direction, func(v *view) **[3]float64 { return &v.up }),
	put("fieldOfView", degrees, func(v *view) *float64 { return &v.fieldOfView }),
	put("visible", list, func(v *view) *[]step.Text { return &v.Visible }),
	within("displaced", displacedKind, func(v *view) *[]displaced { return &v.displaced }),
}}

// displaced is an exploded placement while it is read.
type displaced struct {
	step.Displaced
	placement *step.Placement
}

var displacedKind = &kind{name: "displaced", make: fresh[displaced], needed: []string{"occurrence", "placement"}, missing: diag.MapViewInvalid, check: displacedWhole, fields: []*field{
	put("occurrence", text, func(d *displaced) *step.Text { return &d.Occurrence }),
	put("placement", placement, func(d *displaced) **step.Placement { return &d.placement }),
}}

var operationKind = &kind{name: "operation", make: fresh[step.Operation], fields: append([]*field{
	put("id", text, func(o *step.Operation) *step.Text { return &o.ID }),
	put("number", text, func(o *step.Operation) *step.Text { return &o.Number }),
	put("title", texts, func(o *step.Operation) *step.Texts { return &o.Title }),
	put("parent", text, func(o *step.Operation) *step.Text { return &o.Parent }),
	put("order", decimal, func(o *step.Operation) *step.Text { return &o.Order }).or(diag.MapOrderInvalid),
	put("alternative", text, func(o *step.Operation) *step.Text { return &o.Alternative }),
	put("builds", text, func(o *step.Operation) *step.Text { return &o.Builds }),
	put("quantity", decimal, func(o *step.Operation) *step.Text { return &o.Quantity }).or(diag.MapQuantityInvalid),
	put("workCentre", text, func(o *step.Operation) *step.Text { return &o.WorkCentre }),
	put("equipment", list, func(o *step.Operation) *[]step.Text { return &o.Equipment }),
	put("qualification", text, func(o *step.Operation) *step.Text { return &o.Qualification }),
	put("plannedDuration", text, func(o *step.Operation) *step.Text { return &o.Duration }).duration(),
	put("predecessors", list, func(o *step.Operation) *[]step.Text { return &o.Predecessors }),
	put("notes", notes, func(o *step.Operation) *[]step.Texts { return &o.Notes }),
	stepsField,
	effectivity(func(r *step.Operation) *[]step.Effectivity { return &r.Effectivity }),
}, contentFields(func(o *step.Operation) *step.Content { return &o.Common })...)}

// stepsField differs from within: steps stand behind pointers.
var stepsField = &field{
	name: "steps", typ: records, of: stepKind,
	extend: func(o, s any, _ int) { o.(*step.Operation).Steps = append(o.(*step.Operation).Steps, s.(*step.Step)) },
	entries: func(o any) []any {
		var out []any
		for _, s := range o.(*step.Operation).Steps {
			out = append(out, s)
		}
		return out
	},
}

var stepKind = &kind{name: "step", make: fresh[step.Step], fields: append([]*field{
	put("id", text, func(s *step.Step) *step.Text { return &s.ID }),
	put("number", text, func(s *step.Step) *step.Text { return &s.Number }),
	put("order", decimal, func(s *step.Step) *step.Text { return &s.Order }).or(diag.MapOrderInvalid),
	put("alternative", text, func(s *step.Step) *step.Text { return &s.Alternative }),
	put("title", texts, func(s *step.Step) *step.Texts { return &s.Title }),
	put("text", texts, func(s *step.Step) *step.Texts { return &s.Text }),
	put("predecessors", list, func(s *step.Step) *[]step.Text { return &s.Predecessors }),
	put("view", text, func(s *step.Step) *step.Text { return &s.View }),
	within("tightening", tighteningKind, func(s *step.Step) *[]step.Tightening { return &s.Tightening }),
	effectivity(func(r *step.Step) *[]step.Effectivity { return &r.Effectivity }),
}, contentFields(func(s *step.Step) *step.Content { return &s.Content })...)}

// contentFields are the lists that a step has, and an operation for all its steps.
func contentFields[T any](at func(*T) *step.Content) []*field {
	return []*field{
		within("hazards", hazardKind, func(r *T) *[]step.Hazard { return &at(r).Hazards }),
		within("parts", partKind, func(r *T) *[]step.Part { return &at(r).Parts }),
		within("tools", toolKind, func(r *T) *[]step.Tool { return &at(r).Tools }),
		within("characteristics", characteristicKind, func(r *T) *[]step.Characteristic { return &at(r).Characteristics }),
		within("signOffs", signOffKind, func(r *T) *[]step.SignOff { return &at(r).SignOffs }),
		within("evidence", evidenceKind, func(r *T) *[]step.Evidence { return &at(r).Evidence }),
		within("attachments", attachmentKind, func(r *T) *[]step.Attachment { return &at(r).Attachments }),
	}
}

var partKind = &kind{name: "part", make: fresh[step.Part], check: partFrom, fields: []*field{
	put("item", text, func(p *step.Part) *step.Text { return &p.Item }).reference(),
	put("operation", text, func(p *step.Part) *step.Text { return &p.Operation }).reference(),
	put("quantity", decimal, func(p *step.Part) *step.Text { return &p.Quantity }).or(diag.MapQuantityInvalid),
	put("unit", text, func(p *step.Part) *step.Text { return &p.Unit }),
	put("findNumber", text, func(p *step.Part) *step.Text { return &p.Find }),
	put("alternative", text, func(p *step.Part) *step.Text { return &p.Alternative }),
	put("purpose", texts, func(p *step.Part) *step.Texts { return &p.Purpose }),
	put("referenceDesignators", list, func(p *step.Part) *[]step.Text { return &p.Designators }),
	put("occurrences", list, func(p *step.Part) *[]step.Text { return &p.Occurrences }),
	put("capture", text, func(p *step.Part) *step.Text { return &p.Capture }).oneOf("lot", "serial").or(diag.MapValueUnknown),
	put("substitutes", list, func(p *step.Part) *[]step.Text { return &p.Substitutes }),
	put("shelfLife", text, func(p *step.Part) *step.Text { return &p.ShelfLife }).duration(),
	put("notes", notes, func(p *step.Part) *[]step.Texts { return &p.Notes }),
	effectivity(func(r *step.Part) *[]step.Effectivity { return &r.Effectivity }),
}}

var hazardKind = &kind{name: "hazard", make: fresh[step.Hazard], check: hazardSaid, fields: []*field{
	put("id", text, func(h *step.Hazard) *step.Text { return &h.ID }),
	put("signalWord", texts, func(h *step.Hazard) *step.Texts { return &h.SignalWord }),
	put("hazard", texts, func(h *step.Hazard) *step.Texts { return &h.Hazard }),
	put("consequence", texts, func(h *step.Hazard) *step.Texts { return &h.Consequence }),
	put("avoidance", texts, func(h *step.Hazard) *step.Texts { return &h.Avoidance }),
	effectivity(func(r *step.Hazard) *[]step.Effectivity { return &r.Effectivity }),
}}

var toolKind = &kind{name: "tool", make: fresh[step.Tool], fields: []*field{
	put("id", text, func(t *step.Tool) *step.Text { return &t.ID }),
	put("title", texts, func(t *step.Tool) *step.Texts { return &t.Title }),
	effectivity(func(r *step.Tool) *[]step.Effectivity { return &r.Effectivity }),
}}

var tighteningKind = &kind{name: "tightening", make: fresh[step.Tightening], needed: []string{"order", "occurrence"}, missing: diag.MapOrderInvalid, check: tighteningOrdered, fields: []*field{
	put("order", text, func(t *step.Tightening) *step.Text { return &t.Order }),
	put("occurrence", text, func(t *step.Tightening) *step.Text { return &t.Occurrence }),
}}

var characteristicKind = &kind{name: "characteristic", make: fresh[step.Characteristic], check: characteristicUnit, fields: []*field{
	put("id", text, func(c *step.Characteristic) *step.Text { return &c.ID }),
	put("title", texts, func(c *step.Characteristic) *step.Texts { return &c.Title }),
	put("nominal", decimal, func(c *step.Characteristic) *step.Text { return &c.Nominal }).or(diag.MapCharacteristicInvalid),
	put("lower", decimal, func(c *step.Characteristic) *step.Text { return &c.Lower }).or(diag.MapCharacteristicInvalid),
	put("upper", decimal, func(c *step.Characteristic) *step.Text { return &c.Upper }).or(diag.MapCharacteristicInvalid),
	put("unit", text, func(c *step.Characteristic) *step.Text { return &c.Unit }),
	put("point", text, func(c *step.Characteristic) *step.Text { return &c.Point }).oneOf("hold", "witness").or(diag.MapCharacteristicInvalid),
	put("notes", notes, func(c *step.Characteristic) *[]step.Texts { return &c.Notes }),
	effectivity(func(r *step.Characteristic) *[]step.Effectivity { return &r.Effectivity }),
}}

var signOffKind = &kind{name: "signOff", make: fresh[step.SignOff], needed: []string{"role"}, missing: diag.MapSignOffEmpty, fields: []*field{
	put("role", text, func(s *step.SignOff) *step.Text { return &s.Role }),
	effectivity(func(r *step.SignOff) *[]step.Effectivity { return &r.Effectivity }),
}}

var evidenceKind = &kind{name: "evidence", make: fresh[step.Evidence], needed: []string{"kind"}, missing: diag.MapEvidenceInvalid, fields: []*field{
	put("kind", text, func(e *step.Evidence) *step.Text { return &e.Kind }).oneOf("photo", "value").or(diag.MapEvidenceInvalid),
	put("title", texts, func(e *step.Evidence) *step.Texts { return &e.Title }),
	effectivity(func(r *step.Evidence) *[]step.Effectivity { return &r.Effectivity }),
}}

var attachmentKind = &kind{name: "attachment", make: fresh[step.Attachment], needed: []string{"file"}, missing: diag.MapFileMissing, fields: []*field{
	put("file", text, func(a *step.Attachment) *step.Text { return &a.File }),
	put("title", texts, func(a *step.Attachment) *step.Texts { return &a.Title }),
	effectivity(func(r *step.Attachment) *[]step.Effectivity { return &r.Effectivity }),
}}

// kinds lists every kind of record, outermost first.
func kinds() []*kind {
	return []*kind{
		planKind, itemKind, geometryKind, occurrenceKind, viewKind, displacedKind, operationKind, stepKind,
		partKind, hazardKind, toolKind, tighteningKind, characteristicKind, signOffKind, evidenceKind, attachmentKind, effectivityKind,
	}
}
