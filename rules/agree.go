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
