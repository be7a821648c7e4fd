package rules

import (
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/convert/unit"
	"planfold/rules/document"
)

// units compiles the codes of the dialect's units.
func (c *compiler) units(n *document.Node) {
	if n == nil || !c.faults.Is(document.Mapping, n, "units") {
		return
	}
	c.set.units = map[string]string{}
	for i, k := range n.Keys {
		code := c.faults.Text(n.Values[i], "units."+k.Text)
		if _, known := unit.Symbol(code); !known && code != "" {
			c.faults.Add(diag.RuleValueInvalid, n.Values[i], "units.%s is a code of UN/ECE Recommendation 20 (C62, MMT, GRM, NU), not %q", k.Text, code)
		}
		c.set.units[k.Text] = code
	}
}

// coded turns a unit to its code, where the rules or the Recommendation know it, and
// finds its symbol. Another unit stays as it is.
func (m *mapping) coded(u *step.Text) (symbol string) {
	if !u.Given() {
		return ""
	}
	if code, ok := m.units[u.Value]; ok {
		u.Value = code
	}
	symbol, known := unit.Symbol(u.Value)
	if !known {
		m.fault(diag.MapUnitUnknown, u.Origin, "the unit %q is neither in the units of the rules nor a code of UN/ECE Recommendation 20", u.Value)
	}
	return symbol
}
