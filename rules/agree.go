package rules

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/action"
)

// What a plan says of one thing in two places must agree; where it does not, neither is
// preferred, and it is said.

// countUnits are those in which a quantity counts pieces (UN/ECE Recommendation 20).
var countUnits = []string{"", "C62", "EA", "H87"}

// checkLimits compares the limits of characteristics, and the nominal with them.
func (m *mapping) checkLimits(list []step.Characteristic, who string) {
	for _, c := range list {
		name := cmp.Or(c.ID.Value, c.Title.First())
		switch err := action.Ordered(c.Lower.Value, c.Upper.Value); {
		case err != nil:
			m.fault(diag.MapLimitsCross, c.Lower.Origin, "%s, characteristic %q: %v", who, name, err)
		case action.Ordered(c.Lower.Value, c.Nominal.Value) != nil:
			m.fault(diag.MapNominalOutside, c.Nominal.Origin, "%s, characteristic %q: its nominal %s is below its lower limit %s", who, name, c.Nominal.Value, c.Lower.Value)
		case action.Ordered(c.Nominal.Value, c.Upper.Value) != nil:
			m.fault(diag.MapNominalOutside, c.Nominal.Origin, "%s, characteristic %q: its nominal %s is above its upper limit %s", who, name, c.Nominal.Value, c.Upper.Value)
		}
	}
}

// checkQuantity holds a part's quantity against the occurrences that it names.
func (m *mapping) checkQuantity(p *step.Part, who string) {
	q := p.Quantity
	if strings.HasPrefix(q.Value, "-") && strings.Trim(q.Value, "-0.") != "" {
		m.fault(diag.MapQuantityInvalid, q.Origin, "%s consumes %s of %q, which is less than nothing", who, q.Value, p.Item.Value)
		p.Quantity = step.Text{}
		return
	}
	n := len(p.Occurrences)
	if n > 0 && q.Given() && slices.Contains(countUnits, p.Unit.Value) && !isCount(q.Value, n) {
		m.fault(diag.MapQuantityDiffers, q.Origin, "%s consumes %s of %q and names %d of its occurrences", who, q.Value, p.Item.Value, n)
	}
}

// checkTightening holds a tightening sequence against itself and the step's parts. Where it
// goes round more than once, it names each as often as the others.
func (m *mapping) checkTightening(s *step.Step, who string) {
	doubt := func(at step.Origin, format string, args ...any) {
		m.fault(diag.MapTighteningDoubtful, at, who+": "+format, args...)
	}
	times, numbered := map[string]int{}, map[string]string{}
	least := len(s.Tightening)
	for _, t := range s.Tightening {
		times[t.Occurrence.Value]++
		number := strings.TrimLeft(t.Order.Value, "0")
		if other, twice := numbered[number]; twice {
			doubt(t.Order.Origin, "%q and %q have one number in the tightening sequence, %s", other, t.Occurrence.Value, t.Order.Value)
		}
		numbered[number] = t.Occurrence.Value
	}
	for _, n := range times {
		least = min(least, n)
	}
	seen := map[string]int{}
	for _, t := range s.Tightening {
		if seen[t.Occurrence.Value]++; seen[t.Occurrence.Value] == least+1 {
			doubt(t.Occurrence.Origin, "the tightening sequence names %q again, and not each of the others", t.Occurrence.Value)
		}
	}
	for _, p := range s.Parts {
		var missing []string
		for _, path := range p.Occurrences {
			if times[path.Value] == 0 {
				missing = append(missing, strconv.Quote(path.Value))
			}
		}
		if len(missing) > 0 && len(missing) < len(p.Occurrences) {
			doubt(p.Origin, "the tightening sequence does not name %s, and others of this part", strings.Join(missing, ", "))
		}
	}
}

// isCount reports whether a decimal is the whole number n.
func isCount(decimal string, n int) bool {
	return action.Ordered(decimal, strconv.Itoa(n)) == nil && action.Ordered(strconv.Itoa(n), decimal) == nil
}

// checkOccurrence holds the item of a part against that of an occurrence it names.
func (m *mapping) checkOccurrence(p *step.Part, path step.Text, of *step.Occurrence, who string) {
	if of == nil || !p.Item.Given() || of.Item.Value == p.Item.Value || p.Alternative.Given() {
		return // an alternative is the item only if it is chosen
	}
	if !slices.ContainsFunc(p.Substitutes, func(s step.Text) bool { return s.Value == of.Item.Value }) {
		m.fault(diag.MapOccurrenceDiffers, path.Origin, "%s consumes %q at the occurrence %q, which is of the item %q", who, p.Item.Value, path.Value, of.Item.Value)
	}
}
