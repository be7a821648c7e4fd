package action

import (
	"errors"
	"fmt"
	"math/big"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/step"
	units "planfold/convert/unit"
	"planfold/rules/document"
)

var characteristicRow = &Row{
	Name: "characteristic", For: []string{"operation", "step", "part"}, safety: true,
	Takes:   "{id: text, title: texts, nominal?: text, lower?: text, upper?: text, unit?: text, point?: hold or witness}",
	Does:    "adds what must be measured, with exact decimal limits; instead of an earlier rule's of that id, never of the plan's",
	compile: characteristic,
}

// limits of a characteristic, as its numbers are called together.
var limits = []string{"nominal", "lower", "upper"}

func characteristic(n *document.Node, c *Compiler) Action {
	if !c.Faults.Keys(n, "characteristic", "id", "title", "nominal", "lower", "upper", "unit", "point") {
		return Action{}
	}
	id, title := c.needed(n, "id", "characteristic"), c.texts(c.Faults.Need(n, "title", "characteristic"), "characteristic.title")
	numbers, good := c.numbers(n)
	unit, point := c.Text(n.Get("unit"), "characteristic.unit"), c.Faults.OneOf(n.Get("point"), "characteristic.point", "hold", "witness")
	if id == nil || title == nil || !good {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		m := made{o: o, by: by}
		x := step.Characteristic{ID: m.text(id), Title: m.texts(title), Unit: m.text(unit)}
		x.UnitSymbol, _ = units.Symbol(x.Unit.Value)
		if point != "" {
			x.Point = step.Text{Value: point, Origin: by}
		}
		for i, to := range []*step.Text{&x.Nominal, &x.Lower, &x.Upper} {
			if *to = m.text(numbers[i]); m.err == nil && to.Given() {
				var ok bool
				if to.Value, ok = c.Decimal(to.Value); !ok {
					m.err = fmt.Errorf("its %s is %q, which is not a decimal number", limits[i], m.text(numbers[i]).Value)
				}
			}
		}
		if m.err == nil {
			m.err = Ordered(x.Lower.Value, x.Upper.Value)
		}
		if m.err != nil {
			return Done{}, m.err
		}
		content, err := contentOf(o)
		if err != nil {
			return Done{}, err
		}
		return measured(content, x)
	}}
}

// numbers are the texts of the limits. Those that are fixed are checked at once.
func (c *Compiler) numbers(n *document.Node) (numbers [3]*Text, good bool) {
	good = true
	for i, key := range limits {
		at := n.Get(key)
		t := c.Text(at, "characteristic."+key)
		if t != nil && t.Make == nil {
			if _, ok := c.Decimal(t.Fixed); !ok {
				c.Faults.Add(diag.RuleValueInvalid, at, "characteristic.%s is %q, which is not a decimal number", key, t.Fixed)
				good = false
			}
		}
		numbers[i], good = t, good && (at == nil || t != nil)
	}
	return numbers, good
}

// Ordered checks that the limits are not turned round.
func Ordered(lower, upper string) error {
	l, isLower := new(big.Rat).SetString(lower)
	u, isUpper := new(big.Rat).SetString(upper)
	if isLower && isUpper && l.Cmp(u) > 0 {
		return fmt.Errorf("its lower limit %s is above its upper limit %s", lower, upper)
	}
	return nil
}

// measured puts a characteristic behind the others, instead of one of that id that a
// rule added.
func measured(content *step.Content, x step.Characteristic) (Done, error) {
	same := func(e step.Characteristic) bool { return e.ID.Value == x.ID.Value }
	if i := slices.IndexFunc(content.Characteristics, same); i >= 0 && content.Characteristics[i].ID.Origin.Line > 0 {
		return Done{}, errors.New("the plan has a characteristic of that id, which no rule may change")
	}
	kept, was := without(content.Characteristics, same)
	content.Characteristics = append(kept, x)
	return Done{saysOf(x), saysOf(was), was.ID.Origin}, nil
}

// saysOf is a characteristic in words: "torque: 25 from 23 to 27 NU".
func saysOf(c step.Characteristic) string {
	if !c.ID.Given() {
		return ""
	}
	says := c.ID.Value + ":"
	for _, part := range []struct {
		before string
		text   step.Text
	}{{" ", c.Nominal}, {" from ", c.Lower}, {" to ", c.Upper}, {" ", c.Unit}} {
		if part.text.Given() {
			says += part.before + part.text.Value
		}
	}
	return says
}
