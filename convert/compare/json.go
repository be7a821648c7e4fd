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
	err         error
	began       bool
	plans       []jsonPlan
	diagnostics diag.List
	totals      Totals
	effects     effects // nil: not asked for
}

type jsonPlan struct {
	Plan string `json:"plan"`
	Old  Side   `json:"old"`
	New  Side   `json:"new"`
}

// NewJSON begins a document. With byRule it also says what each rule did.
func NewJSON(w io.Writer, byRule bool) *JSON {
	return &JSON{w: w, plans: []jsonPlan{}, effects: gather(byRule)}
}

// Add writes the changes of a plan; one that is the same is not listed.
func (j *JSON) Add(r *Result) error {
	if r.Same() {
		return j.err
	}
	j.plans = append(j.plans, jsonPlan{r.Plan, r.Old, r.New})
	j.diagnostics.Add(r.Diagnostics...)
	j.totals.add(r.Changes)
	if j.effects != nil {
		j.effects.add(r)
	}
	for _, c := range r.Changes {
		j.change(c)
	}
	return j.err
}

func (j *JSON) write(s string) {
	if j.err == nil {
		_, j.err = io.WriteString(j.w, s)
	}
}

func (j *JSON) begin() {
	if !j.began {
		j.began = true
		j.write("{\n  \"format\": \"planfold/diff/1\",\n  \"changes\": [")
		return
	}
	j.write(",")
}

func (j *JSON) change(c Change) {
	j.begin()
	j.write("\n    ")
	j.encode(c)
}

func (j *JSON) encode(v any) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil && j.err == nil {
		j.err = err
	}
	j.write(string(bytes.TrimSpace(b.Bytes())))
}

// Close ends the document.
func (j *JSON) Close() error {
	if !j.began {
		j.begin()
	} else {
		j.write("\n  ")
	}
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
	j.write("],\n" + string(text[2:])) // after the brace and its line's end
	return j.err
}
