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

// checkLimits compares the limits of characteristics.
func (m *mapping) checkLimits(list []step.Characteristic, who string) {
	for _, c := range list {
		if err := action.Ordered(c.Lower.Value, c.Upper.Value); err != nil {
			m.fault(diag.MapLimitsCross, c.Lower.Origin, "%s, characteristic %q: %v", who, cmp.Or(c.ID.Value, c.Title.First()), err)
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
