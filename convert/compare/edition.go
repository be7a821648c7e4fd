package compare

import (
	"reflect"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/convert/store"
)

// edition is one side: an issued edition, or what rules make of a plan.
type edition struct {
	head    head
	whole   string // digest of the whole's scene
	locator string // digest
	steps   []entry
	skipped []bundle.Skipped
	list    diag.List                                 // what was found wrong with the plan
	open    func(i int) (*document, *diag.Diagnostic) // the document of a step, anew for each call; neither: its damage is told
	leftOut func(i int) []step.Part                   // parts that rules took out of a step; nil: not known
	side    Side
}

// entry is what is known of a step without its document.
type entry struct {
	operation, id string
	sequence      int
	digest        string // of the document; "" if it is not known
}

// derived reports whether the id was made from the step's place, so that it says
// nothing about which step it is.
func (e entry) derived() bool {
	n, ok := strings.CutPrefix(e.id, e.operation+".")
	return ok && n != "" && strings.Trim(n, "0123456789") == ""
}

// document is a step's instruction, and what shows in its scene alone where there is
// no scene to compare.
type document struct {
	step    *bundle.Step
	drawing drawing
}

// drawing is what rules and the plan say of a step's scene.
type drawing struct {
	View    step.Text
	Budget  step.Count
	Roles   []step.RoleChange
	Motions []step.Motion
}

// head is what there is once in an edition.
type head struct {
	Plan      bundle.PlanHead
	Revision  string
	Held      bool
	Effective string
	Profile   string
	Whole     *bundle.WholeEntry
	Locator   *bundle.WholeEntry
	Model     *step.Plan // of a mapping
}

// summary is what a step is found again by if its id does not tell.
type summary struct {
	content string // digest of what it says
	words   map[string]int
	title   string // of its operation
	builds  string
}

// saying are the members that make up what a step says.
var saying = []string{"title", "text", "hazards", "parts", "tools", "tightening", "characteristics", "signOffs", "evidence", "attachments"}

func summarize(s *bundle.Step) summary {
	own := *s
	own.Parts = slices.DeleteFunc(slices.Clone(s.Parts), func(p bundle.Part) bool { return p.PartsOf == "operation" })
	k, v := types()[reflect.TypeFor[bundle.Step]()], reflect.ValueOf(own)
	var all, words strings.Builder
	for _, name := range saying {
		m := k.member(name)
		said := flat(m.typ.describe(m.of(v)))
		all.WriteString(said)
		all.WriteByte(0)
		if name == "title" || name == "text" {
			words.WriteString(said + " ")
		}
	}
	return summary{store.Digest([]byte(all.String())), bag(words.String()), s.Operation.Title.First(), s.Operation.Builds.Value}
}
