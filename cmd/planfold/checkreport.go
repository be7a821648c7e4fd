package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"planfold/convert"
	"planfold/convert/diag"
	"planfold/convert/diag/sarif"
	"planfold/rules"
)

// checkReport writes what check finds, in the format that was asked for: text and
// lines of JSON as they come, SARIF at the end, which is one document.
type checkReport struct {
	out      io.Writer
	format   string
	faults   printing
	all      diag.List // for SARIF
	plans    int
	withErrs int
	failed   int   // expectations
	under    bool  // the floor of coverage
	told     bool  // of more than remarks, in text
	err      error // of writing
}

func newCheckReport(c *cobra.Command, o checkOptions, files []rules.File, plans []convert.Source) *checkReport {
	at := ruleTexts(files)
	for _, p := range plans {
		at[p.Name] = p.Open
	}
	return &checkReport{
		out: c.OutOrStdout(), format: o.format,
		faults: printing{w: c.ErrOrStderr(), files: at, rest: "--format json lists them"},
	}
}

func (r *checkReport) add(list diag.List) { r.addFrom(diag.Info, list) }

// addFrom leaves out of the text what is below a severity.
func (r *checkReport) addFrom(least diag.Severity, list diag.List) {
	switch r.format {
	case "text":
		r.told = r.told || slices.ContainsFunc(list, func(d diag.Diagnostic) bool { return d.Severity > diag.Info })
		faults := r.faults
		faults.least = least
		faults.list(list)
		if least > diag.Info {
			faults.remarks(list)
		}
	case "json":
		for _, d := range list {
			r.line(d)
		}
	default:
		r.all.Add(list...)
	}
}

// line writes a line of JSON.
func (r *checkReport) line(v any) {
	e := json.NewEncoder(r.out)
	e.SetEscapeHTML(false)
	r.err = cmp.Or(r.err, e.Encode(v))
}

func (r *checkReport) plan(p checked) {
	r.plans++
	r.failed += len(p.failed)
	if p.found.HasError() {
		r.withErrs++
	}
	r.addFrom(diag.Warning, append(p.found, p.failed...))
	switch {
	case r.format == "text" && p.Plan == "":
		fmt.Fprintf(r.out, "refused  %s\n", p.File)
	case r.format == "text":
		steps := many(p.Steps, "step")
		if p.LeftOut > 0 {
			steps += fmt.Sprintf(" (%d left out)", p.LeftOut)
		}
		fmt.Fprintf(r.out, "%s  %s  %s, %s, %s  %s\n", p.Plan, orDash(p.Revision),
			many(p.Operations, "operation"), steps, many(p.Parts, "part"), p.File)
	case r.format == "json":
		r.line(p)
	}
}

// coverage lists what did least, and holds it against the floor.
func (r *checkReport) coverage(c rules.Coverage, floor int) {
	r.under = c.Percent() < floor
	if r.format == "json" {
		r.line(map[string]any{"coverage": c, "percent": c.Percent(), "floor": floor})
		return
	}
	fmt.Fprintf(r.out, "rules that fired: %d of %d (%d %%)\n", c.Rules.Did, c.Rules.Total, c.Rules.Percent())
	r.entries(c.Rules)
	fmt.Fprintf(r.out, "fields that were found: %d of %d (%d %%)\n", c.Reading.Did, c.Reading.Total, c.Reading.Percent())
	r.entries(c.Reading)
	fmt.Fprintf(r.out, "elements and attributes of the plans that rules look at: %d of %d (%d %%)\n", c.Plans.Did, c.Plans.Total, c.Plans.Percent())
	const mostPaths = 40
	for i, u := range c.Plans.Unread {
		if i == mostPaths {
			fmt.Fprintf(r.out, "          … and %d more paths; --format json lists them\n", len(c.Plans.Unread)-i)
			break
		}
		fmt.Fprintf(r.out, "%8d  %s", u.Times, u.Path)
		if u.Within > 0 {
			fmt.Fprintf(r.out, "  and %d in it", u.Within)
		}
		fmt.Fprintf(r.out, "  %s\n", u.First)
	}
	if r.under {
		fmt.Fprintf(r.out, "coverage is %d %%, under the floor of %d %%\n", c.Percent(), floor)
	}
}

// unread says in a line that there is something of the plans that no rule looks at.
func (r *checkReport) unread(l rules.Looked) {
	if n := l.Total - l.Did; r.format == "text" && n > 0 {
		fmt.Fprintf(r.out, "no rule looks at %d of %d elements and attributes of the plans; --coverage lists them\n", n, l.Total)
	}
}

// entries are those that did nothing, and then as many as there is room for.
func (r *checkReport) entries(c rules.Covered) {
	const room = 12
	for i, e := range c.Entries {
		if i >= room && e.Times > 0 {
			fmt.Fprintf(r.out, "          … and %d more, each %d times or more; --format json lists them\n", len(c.Entries)-i, e.Times)
			return
		}
		fmt.Fprintf(r.out, "%8d  %s  %s\n", e.Times, e.Name, e.Position)
	}
}

func (r *checkReport) status() error {
	switch {
	case r.failed > 0 || r.under:
		return &statusError{status: statusDiffers}
	case r.withErrs > 0:
		return &statusError{status: statusLeftOut}
	}
	return nil
}

// end finishes the report and ends the program as the given error says.
func (r *checkReport) end(how error) error {
	if r.told {
		fmt.Fprintln(r.faults.w, whatToDo)
	}
	switch {
	case r.err != nil:
		return r.err
	case r.format == "sarif":
		log, err := sarif.Encode(tool.Name, tool.Version, r.all)
		if err != nil {
			return err
		}
		if _, err := r.out.Write(log); err != nil {
			return err
		}
	case r.format == "text" && r.plans == 0 && how == nil:
		fmt.Fprintln(r.out, "the rules compile")
	case r.format == "text" && r.plans > 0:
		fmt.Fprintf(r.out, "%s: %d with errors, %s failed\n", many(r.plans, "plan"), r.withErrs, many(r.failed, "expectation"))
	}
	return how
}
