package action

import (
	"fmt"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/document"
	tables "planfold/rules/table"
)

// Parts of a hazard statement by ANSI Z535.6 and ISO 3864-2. Their words come from
// a table that someone answers for, never from a rule.

var hazardRow = &Row{
	Name: "hazard", For: []string{"operation", "step", "part"}, Takes: "{table: text, key: text}", safety: true,
	Does: "adds the hazard statement of a table's row, unless it is there; the table has the columns `signalWord`, `hazard`, `consequence` and `avoidance`, " +
		"or these with a language, such as `hazard.de`; the first two are filled in every row",
	adds:    true,
	compile: hazard,
}

var hazardParts = []struct {
	column string
	needed bool
	at     func(*step.Hazard) *step.Texts
}{
	{"signalWord", true, func(h *step.Hazard) *step.Texts { return &h.SignalWord }},
	{"hazard", true, func(h *step.Hazard) *step.Texts { return &h.Hazard }},
	{"consequence", false, func(h *step.Hazard) *step.Texts { return &h.Consequence }},
	{"avoidance", false, func(h *step.Hazard) *step.Texts { return &h.Avoidance }},
}

func hazard(n *document.Node, c *Compiler) Action {
	if !c.Faults.Keys(n, "hazard", "table", "key") {
		return Action{}
	}
	t, key := c.table(c.Faults.Need(n, "table", "hazard"), "hazard.table"), c.needed(n, "key", "hazard")
	if t == nil || key == nil || !c.statements(t, n.Get("table")) {
		return Action{}
	}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		k, err := key.of(o)
		if err != nil {
			return Done{}, err
		}
		row := t.Row(k)
		if row == nil {
			return Done{}, fmt.Errorf("table %q has no row %q", n.Get("table").Text, k)
		}
		h := c.statement(t, row, by)
		content := contentOf(o)
		if slices.ContainsFunc(content.Hazards, func(x step.Hazard) bool { return sameHazard(x, h) }) {
			return Done{}, nil
		}
		content.Hazards = append(content.Hazards, h)
		return Done{Says: k + ": " + h.SignalWord.First() + " " + h.Hazard.First()}, nil
	}}
}

// table is a table that the rules define.
func (c *Compiler) table(n *document.Node, where string) *tables.Table {
	name := c.Faults.Text(n, where)
	t, known := c.Tables[name]
	if known || name == "" {
		c.Uses(name)
		return t
	}
	var names []string
	for k := range c.Tables {
		names = append(names, k)
	}
	slices.Sort(names) // the order shows in the message
	hint := "; tables: " + strings.Join(names, ", ")
	if len(names) == 0 {
		hint = "; the rules define none"
	}
	if near := document.Nearest(name, names); near != "" {
		hint = "; did you mean \"" + near + "\"?"
	}
	c.Faults.Add(diag.RuleTableUnknown, n, "there is no table %q%s", name, hint)
	return nil
}

// statements checks that each row of a table is a hazard statement.
func (c *Compiler) statements(t *tables.Table, n *document.Node) bool {
	good := true
	for _, p := range hazardParts {
		if len(languages(t, p.column)) == 0 {
			c.Faults.Add(diag.RuleHazardIncomplete, n, "the table %q has no column %q; a hazard statement has a signal word, the hazard, its consequence and how to avoid it", n.Text, p.column)
			good = false
		}
	}
	for _, row := range t.Rows {
		for _, p := range hazardParts {
			if good && p.needed && len(cells(t, row, p.column, step.Origin{})) == 0 {
				c.Faults.Raise(diag.RuleHazardIncomplete.At(row.Place, "the hazard statement %q has no %s", row.Key, p.column))
				return false
			}
		}
	}
	return good
}

// languages lists the columns of one part of the statement: the bare name, or with
// a language behind a point.
func languages(t *tables.Table, column string) []int {
	var out []int
	for i, c := range t.Columns {
		if name, _, _ := strings.Cut(c, "."); name == column {
			out = append(out, i)
		}
	}
	return out
}

// cells are the texts of one part of a statement.
func cells(t *tables.Table, row *tables.Row, column string, by step.Origin) step.Texts {
	var out step.Texts
	for _, i := range languages(t, column) {
		_, lang, _ := strings.Cut(t.Columns[i], ".")
		if row.Cells[i] != "" {
			out = append(out, step.Localized{Lang: lang, Text: step.Text{Value: row.Cells[i], Origin: by}})
		}
	}
	return out
}

func (c *Compiler) statement(t *tables.Table, row *tables.Row, by step.Origin) step.Hazard {
	h := step.Hazard{ID: step.Text{Value: row.Key, Origin: by}, Origin: by}
	for _, p := range hazardParts {
		*p.at(&h) = cells(t, row, p.column, by)
		for i := range *p.at(&h) {
			if l := &(*p.at(&h))[i]; l.Lang == "" {
				l.Lang = c.Language
			}
		}
	}
	return h
}

// sameHazard holds for two statements that say the same.
func sameHazard(a, b step.Hazard) bool {
	for _, p := range hazardParts {
		if !slices.EqualFunc(*p.at(&a), *p.at(&b), func(x, y step.Localized) bool { return x.Lang == y.Lang && x.Text.Value == y.Text.Value }) {
			return false
		}
	}
	return true
}
