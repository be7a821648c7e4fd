package action

import (
	"fmt"
	"maps"
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
		"or these with a language, such as `hazard.de`; the first two are filled in every row, in each language that it has",
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
	if t == nil || key == nil {
		return Action{}
	}
	all, good := c.statements(t, n.Get("table"))
	if !good {
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
		h := all.hazard(row, by)
		says := k + ": " + h.SignalWord.First() + " " + h.Hazard.First()
		return add(o, says, func(c *step.Content) *[]step.Hazard { return &c.Hazards }, h, func(x step.Hazard) bool {
			return len(x.Effectivity) == 0 && sameHazard(x, h)
		})
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
	names := slices.Sorted(maps.Keys(c.Tables)) // the order shows in the message
	c.Faults.Add(diag.RuleTableUnknown, n, "there is no table %q%s", name, document.Instead(name, "tables:", names))
	return nil
}

// statements are the hazard statements of a table: the columns of each of hazardParts.
type statements [][]column

// column of one part of a statement, in one language.
type column struct {
	at   int
	lang string
}

// statements checks that each row of a table is a hazard statement.
func (c *Compiler) statements(t *tables.Table, n *document.Node) (all statements, good bool) {
	good = true
	for _, p := range hazardParts {
		all = append(all, c.columns(t, p.column, n))
		if len(all[len(all)-1]) == 0 {
			c.Faults.Add(diag.RuleHazardIncomplete, n, "the table %q has no column %q; a hazard statement has a signal word, the hazard, its consequence and how to avoid it", n.Text, p.column)
			good = false
		}
	}
	for _, row := range t.Rows {
		if lacks := all.lacks(row); good && lacks != "" {
			c.Faults.Raise(diag.RuleHazardIncomplete.At(row.Place, "the hazard statement %q has no %s", row.Key, lacks))
			return all, false
		}
	}
	return all, good
}

// lacks is the column that a row should have filled: in each language in which it
// says anything, a statement has a signal word and the hazard.
func (s statements) lacks(row *tables.Row) string {
	said := map[string]string{} // a filled column, by language
	for i, p := range hazardParts {
		for _, c := range s[i] {
			if row.Cells[c.at] != "" && c.lang != "" {
				said[c.lang] = p.column
			}
		}
	}
	for i, p := range hazardParts {
		if !p.needed {
			continue
		}
		texts := s.part(i, row, step.Origin{})
		if len(texts) == 0 {
			return p.column
		}
		for _, lang := range slices.Sorted(maps.Keys(said)) {
			if !slices.ContainsFunc(texts, func(l step.Localized) bool { return l.Lang == lang }) {
				return fmt.Sprintf("%s in the language %q, in which it has its %s", p.column, lang, said[lang])
			}
		}
	}
	return ""
}

// columns lists those of one part: with its bare name, in the language of the rule
// file, or with a language behind a point.
func (c *Compiler) columns(t *tables.Table, part string, n *document.Node) []column {
	var out []column
	for i, name := range t.Columns {
		name, lang, said := strings.Cut(name, ".")
		if name != part {
			continue
		}
		if lang = c.Tag(n, lang); !said {
			lang = c.Language
		}
		if slices.ContainsFunc(out, func(o column) bool { return strings.EqualFold(o.lang, lang) }) {
			c.Faults.Add(diag.RuleValueInvalid, n, "the table %q has two columns of %q in one language", n.Text, part)
		}
		out = append(out, column{i, lang})
	}
	return out
}

// part is the texts of one part of a row's statement.
func (s statements) part(part int, row *tables.Row, by step.Origin) step.Texts {
	var out step.Texts
	for _, c := range s[part] {
		if row.Cells[c.at] != "" {
			out = append(out, step.Localized{Lang: c.lang, Text: step.Text{Value: row.Cells[c.at], Origin: by}})
		}
	}
	return out
}

func (s statements) hazard(row *tables.Row, by step.Origin) step.Hazard {
	h := step.Hazard{ID: step.Text{Value: row.Key, Origin: by}, Origin: by}
	for i, p := range hazardParts {
		*p.at(&h) = s.part(i, row, by)
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
