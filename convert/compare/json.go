package compare

import (
	"bytes"
	"encoding/json"
	"io"

	"planfold/convert/diag"
	"planfold/schema"
)

// JSON writes results as one document (schema/diff.schema.json) as they come: the
// changes, a line each, then what they amount to.
type JSON struct {
	w           io.Writer
	before      string // the next change
	plans       []jsonPlan
	diagnostics diag.List
	totals      Totals
	effects     effects // nil: not asked for
}

const opening = "{\n  \"format\": \"planfold/diff/1\",\n  \"changes\": ["

type jsonPlan struct {
	Plan string `json:"plan"`
	Old  Side   `json:"old"`
	New  Side   `json:"new"`
}

// NewJSON begins a document. With byRule it also says what each rule did.
func NewJSON(w io.Writer, byRule bool) *JSON {
	return &JSON{w: w, before: opening, plans: []jsonPlan{}, effects: gather(byRule)}
}

// Add writes the changes of a plan; of one that is the same, the remarks alone.
func (j *JSON) Add(r *Result) error {
	j.diagnostics.Add(r.Diagnostics...)
	if r.Same() {
		return nil
	}
	j.plans = append(j.plans, jsonPlan{r.Plan, r.Old, r.New})
	j.totals.add(r.Changes)
	if j.effects != nil {
		j.effects.add(r)
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	for _, c := range r.Changes {
		b.WriteString(j.before + "\n    ")
		if err := e.Encode(c); err != nil {
			return err
		}
		b.Truncate(b.Len() - 1) // the end of the line
		j.before = ","
	}
	_, err := j.w.Write(b.Bytes())
	return err
}

// Close ends the document.
func (j *JSON) Close() error {
	tail := struct {
		Plans       []jsonPlan `json:"plans"`
		Diagnostics diag.List  `json:"diagnostics"`
		Rules       []*effect  `json:"rules,omitempty"`
		Totals      Totals     `json:"totals"`
	}{j.plans, append(diag.List{}, j.diagnostics...), j.effects.list(), j.totals}
	text, err := schema.Encode(tail)
	if err != nil {
		return err
	}
	end := "\n  ],\n"
	if j.before == opening {
		end = opening + "],\n"
	}
	_, err = io.WriteString(j.w, end+string(text[2:])) // after the brace and its line's end
	return err
}
