package scene

import (
	"planfold/convert/diag"
	"planfold/convert/mesh"
	"planfold/convert/step"
)

// Limits of a structure: far beyond what a person assembles, and small enough that
// a hostile plan cannot fill the memory by nesting doubled sub-assemblies.
const (
	maxDepth       = 64
	maxOccurrences = 200_000
)

// Structure is all that stands in one item, depth first: each occurrence follows
// the one it stands in, and what stands in it follows at once.
type Structure struct {
	Occurrences []Occurrence
	byPath      map[string]int
	insight     insight // grows as steps are made
}

// Occurrence is one occurrence with its whole path resolved.
type Occurrence struct {
	Path      string // ids joined by "/"
	Item      string
	Parent    int      // -1 at the top
	End       int      // one beyond the last occurrence that stands in it
	Placement mesh.Mat // to the frame of what is built, metres
	Placed    bool     // it and all that it stands in have a placement
	Hide      bool     // by rule: it is never drawn, nor what stands in it
}

// Find is the index of a path.
func (s *Structure) Find(path string) (int, bool) {
	i, ok := s.byPath[path]
	return i, ok
}

// Expand lists all occurrences below the item built; "" is the product. Faults of
// the structure are reported once for each occurrence of the plan, not for each path.
func Expand(p *step.Plan, builds string) (*Structure, diag.List) {
	e := expander{plan: p, out: &Structure{byPath: map[string]int{}}, open: map[string]bool{}, told: map[*step.Occurrence]bool{}}
	if builds == "" {
		builds = p.Product.Value
	}
	e.within(builds, "", -1, mesh.Identity(), true, 1)
	return e.out, e.list
}

type expander struct {
	plan *step.Plan
	out  *Structure
	open map[string]bool // items that stand around
	told map[*step.Occurrence]bool
	full bool
	list diag.List
}

func (e *expander) within(item, path string, parent int, frame mesh.Mat, placed bool, depth int) {
	e.open[item] = true
	defer delete(e.open, item)
	for _, o := range e.plan.Within(item) {
		if len(e.out.Occurrences) >= maxOccurrences || depth > maxDepth {
			e.limit(o)
			return
		}
		if e.open[o.Item.Value] && o.Item.Given() {
			e.tell(o, diag.SceneStructureCycle, "occurrence %q: item %q stands within itself", o.ID.Value, o.Item.Value)
			continue
		}
		e.add(o, path, parent, frame, placed, depth)
	}
}

func (e *expander) add(o *step.Occurrence, path string, parent int, frame mesh.Mat, placed bool, depth int) {
	if path != "" {
		path += "/"
	}
	path += o.ID.Value
	if _, ok := e.out.byPath[path]; ok {
		e.tell(o, diag.SceneOccurrenceTwice, "occurrence %q stands in item %q twice", o.ID.Value, o.Within.Value)
		return
	}
	if o.Placement != nil && e.usable(o) {
		frame = frame.Mul(o.Placement.Matrix)
	} else {
		placed = false
	}
	i := len(e.out.Occurrences)
	e.out.byPath[path] = i
	e.out.Occurrences = append(e.out.Occurrences, Occurrence{Path: path, Item: o.Item.Value, Parent: parent, Placement: frame, Placed: placed, Hide: o.Hide.Given() || hides(e.plan, o.Item.Value)})
	e.within(o.Item.Value, path, i, frame, placed, depth+1)
	e.out.Occurrences[i].End = len(e.out.Occurrences)
	e.told[o] = true
}

// hides reports whether a rule keeps an item from being drawn.
func hides(p *step.Plan, item string) bool {
	i := p.Items[item]
	return i != nil && i.Hide.Given()
}

// usable judges a placement, and says what is unusual about it.
func (e *expander) usable(o *step.Occurrence) bool {
	s := stretchOf(o.Placement.Matrix)
	switch {
	case s.flat:
		e.tell(o, diag.ScenePlacementFlat, "occurrence %q: the placement flattens item %q", o.ID.Value, o.Item.Value)
		return false
	case e.told[o]:
		return true
	case s.sheared:
		e.raise(o, diag.ScenePlacementSheared, "occurrence %q: the placement changes the angles of item %q", o.ID.Value, o.Item.Value)
	case s.scaled:
		e.raise(o, diag.ScenePlacementScaled, "occurrence %q: the placement scales item %q by %.6g to %.6g",
			o.ID.Value, o.Item.Value, s.smallest, s.largest)
	}
	if s.mirrored {
		e.raise(o, diag.ScenePlacementMirrored, "occurrence %q: the placement mirrors item %q", o.ID.Value, o.Item.Value)
	}
	return true
}

func (e *expander) tell(o *step.Occurrence, c *diag.Code, format string, args ...any) {
	if !e.told[o] {
		e.told[o] = true
		e.raise(o, c, format, args...)
	}
}

func (e *expander) raise(o *step.Occurrence, c *diag.Code, format string, args ...any) {
	at := o.ID.Origin
	if o.Placement != nil && o.Placement.Origin.Line > 0 {
		at = o.Placement.Origin
	}
	e.list.Add(c.At(at.At(e.plan.Position.File), format, args...))
}

func (e *expander) limit(o *step.Occurrence) {
	if !e.full {
		e.full = true
		e.raise(o, diag.SceneStructureLimit, "occurrence %q lies beyond %d levels or %d occurrences", o.ID.Value, maxDepth, maxOccurrences)
	}
}
