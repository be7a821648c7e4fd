// Package view makes pages for people: the report of a run as one HTML file that
// needs nothing from outside.
package view

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"

	"planfold/convert"
	"planfold/convert/diag"
)

//go:embed report.html
var reportPage string

var report = template.Must(template.New("report").Funcs(template.FuncMap{
	"size":    size,
	"counted": counted,
	"few":     few,
	"beyond":  beyond,
	"mend":    mend,
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

// counted says how many diagnostics of each severity there are.
func counted(list diag.List) string {
	var n [diag.Error + 1]int
	for _, d := range list {
		n[d.Severity]++
	}
	return fmt.Sprintf("errors %d, warnings %d, remarks %d", n[diag.Error], n[diag.Warning], n[diag.Info])
}

// mostOfACode is how many diagnostics of one code the page shows of a plan: a
// browser does not show a hundred thousand.
const mostOfACode = 1000

// few are the first diagnostics of each code.
func few(list diag.List) diag.List {
	count := map[string]int{}
	var out diag.List
	for _, d := range list {
		if count[d.Code]++; count[d.Code] <= mostOfACode {
			out.Add(d)
		}
	}
	return out
}

// beyond says how many diagnostics few leaves out.
func beyond(list diag.List) string {
	if n := len(list) - len(few(list)); n > 0 {
		return fmt.Sprintf("… and %d more; run.json lists them", n)
	}
	return ""
}
