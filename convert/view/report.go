// Package view makes pages for people: the report of a run as one HTML file that
// needs nothing from outside.
package view

import (
	"bytes"
	"cmp"
	_ "embed"
	"fmt"
	"html/template"
	"slices"

	"planfold/convert"
	"planfold/convert/diag"
)

//go:embed report.html
var reportPage string

var report = template.Must(template.New("report").Funcs(template.FuncMap{
	"size":    size,
	"counted": counted,
	"mend":    mend,
	"many":    many,
	"byCode":  byCode,
}).Parse(reportPage))

// Report is run.html.
func Report(r *convert.Report) ([]byte, error) {
	var b bytes.Buffer
	if err := report.Execute(&b, r); err != nil {
		return nil, fmt.Errorf("write the report's page: %w", err)
	}
	return b.Bytes(), nil
}

func size(bytes int64) string {
	switch {
	case bytes >= 1<<20:
		return fmt.Sprintf("%.1f MB", float64(bytes)/(1<<20))
	case bytes >= 1<<10:
		return fmt.Sprintf("%.0f kB", float64(bytes)/(1<<10))
	}
	return fmt.Sprintf("%d B", bytes)
}

// mend says what the reader can do about a code.
func mend(code string) string {
	for _, c := range diag.Codes() {
		if c.Name == code {
			return c.Meaning + "; " + c.Done + ". What you can do: " + c.Mend + "."
		}
	}
	return ""
}

// many writes a count with its word.
func many(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// Of one code so many lines stand open in a list, and so many more are folded: a
// browser does not show a hundred thousand.
const (
	openOfACode   = 3
	foldedOfACode = 1000
)

// ofCode are the diagnostics of one code; Beyond counts those that are not shown.
type ofCode struct {
	Code         string
	Open, Folded diag.List
	Beyond       int
}

// More is how many do not stand open.
func (g *ofCode) More() int { return len(g.Folded) + g.Beyond }

// byCode groups diagnostics, errors first, else in the order of the first of each code.
func byCode(list diag.List) []*ofCode {
	var out []*ofCode
	at := map[string]*ofCode{}
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b diag.Diagnostic) int { return cmp.Compare(b.Severity, a.Severity) })
	for _, d := range list {
		g := at[d.Code]
		if g == nil {
			g = &ofCode{Code: d.Code}
			at[d.Code], out = g, append(out, g)
		}
		switch {
		case len(g.Open) < openOfACode:
			g.Open.Add(d)
		case len(g.Folded) < foldedOfACode:
			g.Folded.Add(d)
		default:
			g.Beyond++
		}
	}
	return out
}

// counted says how many diagnostics of each severity there are.
func counted(list diag.List) string {
	var n [diag.Error + 1]int
	for _, d := range list {
		n[d.Severity]++
	}
	return fmt.Sprintf("errors %d, warnings %d, remarks %d", n[diag.Error], n[diag.Warning], n[diag.Info])
}
