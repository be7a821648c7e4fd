// Package sarif writes diagnostics as a log that code-review services and editors
// read. It writes one run with the codes that were raised, from the one table of
// codes; it knows no file and no option.
//
// Rests on: Static Analysis Results Interchange Format (SARIF) Version 2.1.0,
// OASIS Standard.
package sarif

import (
	"cmp"
	"net/url"
	"path"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/schema"
)

type log struct {
	Schema  string `json:"$schema"`
	Version string `json:"version"`
	Runs    []run  `json:"runs"`
}

type run struct {
	Tool struct {
		Driver driver `json:"driver"`
	} `json:"tool"`
	ColumnKind string   `json:"columnKind"`
	Results    []result `json:"results"`
}

type driver struct {
	Name    string       `json:"name"`
	Version string       `json:"semanticVersion"`
	Rules   []descriptor `json:"rules"`
}

// descriptor is a row of the table of codes (3.49).
type descriptor struct {
	ID      string `json:"id"`
	Short   text   `json:"shortDescription"`
	Full    text   `json:"fullDescription"`
	Help    text   `json:"help"`
	Default struct {
		Level string `json:"level"`
	} `json:"defaultConfiguration"`
}

type text struct {
	Text string `json:"text"`
}

type result struct {
	RuleID    string     `json:"ruleId"`
	RuleIndex int        `json:"ruleIndex"`
	Level     string     `json:"level"`
	Message   text       `json:"message"`
	Locations []location `json:"locations,omitempty"`
	Related   []location `json:"relatedLocations,omitempty"`
}

type location struct {
	ID       *int      `json:"id,omitempty"`
	Physical *physical `json:"physicalLocation,omitempty"`
	Message  *text     `json:"message,omitempty"`
}

type physical struct {
	Artifact struct {
		URI string `json:"uri"`
	} `json:"artifactLocation"`
	Region *region `json:"region,omitempty"`
}

type region struct {
	Line   int    `json:"startLine,omitempty"`
	Column int    `json:"startColumn,omitempty"`
	Offset *int64 `json:"byteOffset,omitempty"`
}

// Encode writes a log of the diagnostics, in their order. Names of files are taken
// to be relative to the folder that the reader of the log knows, unless absolute.
func Encode(name, version string, list diag.List) ([]byte, error) {
	var r run
	// Columns of diagnostics count characters (3.14.17).
	r.ColumnKind, r.Results = "unicodeCodePoints", []result{}
	rules := raised(list)
	r.Tool.Driver = driver{Name: name, Version: version, Rules: rules}
	for _, d := range list {
		at, _ := slices.BinarySearchFunc(rules, d.Code, func(r descriptor, id string) int { return cmp.Compare(r.ID, id) })
		r.Results = append(r.Results, resultOf(d, at))
	}
	return schema.Encode(log{
		Schema:  "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
		Version: "2.1.0", Runs: []run{r},
	})
}

// raised are the codes of the list, by name.
func raised(list diag.List) []descriptor {
	rules := []descriptor{}
	for _, c := range diag.Codes() {
		if !slices.ContainsFunc(list, func(d diag.Diagnostic) bool { return d.Code == c.Name }) {
			continue
		}
		d := descriptor{ID: c.Name, Short: text{sentence(c.Meaning)}, Full: text{sentence(c.Meaning) + " What was done: " + sentence(c.Done)}, Help: text{sentence(c.Mend)}}
		d.Default.Level = level(c.Severity)
		rules = append(rules, d)
	}
	return rules
}

func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

func resultOf(d diag.Diagnostic, rule int) result {
	r := result{RuleID: d.Code, RuleIndex: rule, Level: level(d.Severity), Message: text{d.Message}}
	if p := place(d.Position); p != nil {
		r.Locations = []location{{Physical: p}}
	}
	for i, other := range d.Related {
		r.Related = append(r.Related, location{ID: &i, Physical: place(other.Position), Message: &text{other.Message}})
	}
	return r
}

func level(s diag.Severity) string {
	if s == diag.Info {
		return "note"
	}
	return s.String()
}

func place(p diag.Position) *physical {
	if p.File == "" {
		return nil
	}
	out := &physical{}
	out.Artifact.URI = uri(p.File)
	switch {
	case p.Binary:
		out.Region = &region{Offset: &p.Offset}
	case p.Line > 0:
		out.Region = &region{Line: p.Line, Column: p.Column}
	}
	return out
}

// uri is a file's name as a reference (RFC 3986, 4.1), without dot segments.
func uri(name string) string {
	name = path.Clean(strings.ReplaceAll(name, `\`, "/"))
	u := url.URL{Path: name}
	if path.IsAbs(name) {
		u.Scheme = "file"
	}
	return u.String()
}
