package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
	"golang.org/x/term"

	"planfold/convert"
	"planfold/convert/diag"
)

// printReport writes one line a plan to out, every warning and error to messages,
// and what it came to. Remarks that lost nothing stand in the report's files.
func printReport(out, messages io.Writer, o convertOptions, plans []convert.Source, r *convert.Report) {
	faults := printing{w: messages, files: planTexts(plans), least: diag.Warning, rest: "run.json and run.html list them"}
	remarks := 0
	for _, g := range r.Geometry {
		faults.list(g.Diagnostics)
		remarks += remarksIn(g.Diagnostics)
	}
	for _, p := range r.Plans {
		faults.list(p.Diagnostics)
		remarks += remarksIn(p.Diagnostics)
		fmt.Fprintf(out, "%-9s  %s  %s  %s", p.Outcome, orDash(p.ID), orDash(p.Revision), many(p.Steps, "step"))
		if p.Edition != "" {
			fmt.Fprintf(out, "  %s", filepath.Join(o.out, p.Edition))
		} else {
			fmt.Fprintf(out, "  %s", p.File)
		}
		if p.Outcome == "converted" {
			fmt.Fprintf(out, " (%s)", p.Cause)
		}
		fmt.Fprintln(out)
	}
	faults.list(r.Diagnostics)
	for _, line := range lookedFor(plans, r) {
		fmt.Fprintln(messages, line)
	}
	t := r.Totals
	if t.Errors+t.Warnings > 0 {
		fmt.Fprintln(messages, whatToDo)
	}
	fmt.Fprintf(out, "plans %d: %d converted, %d unchanged, %d held, %d refused; steps %d; geometry files %d, their triangles %d; errors %d, warnings %d, remarks %d; %.1f s\n",
		t.Plans, t.Converted, t.Unchanged, t.Held, t.Refused, t.Steps, t.GeometryFiles, t.SourceTriangles, t.Errors, t.Warnings, remarks, r.Seconds)
	if remarks > 0 && !o.dryRun {
		fmt.Fprintf(out, "the remarks stand in %s and run.json\n", filepath.Join(o.out, "run.html"))
	}
	if o.dryRun {
		fmt.Fprintln(out, "a dry run: nothing was issued"+keptBy(o))
	}
	if !r.Finished {
		fmt.Fprintf(messages, "planfold: stopped before the end; %s not reached; run it again to go on\n", many(t.Stopped, "plan"))
	}
}

// whatToDo ends a list of diagnostics: each says what is wrong, its code what mends it.
const whatToDo = "planfold explain CODE says what each of these means and what to do about it"

// keptBy says what a dry run leaves behind. A folder that was not there before it is gone.
func keptBy(o convertOptions) string {
	cache := cmp.Or(o.cache, filepath.Join(o.out, ".cache"))
	if _, err := os.Stat(cache); err != nil {
		return ""
	}
	return "; what need not be made again is kept in " + cache
}

// lookedFor says below which folders the files were looked for that are not there. The
// diagnostics do not: they are issued too, and nothing issued names a folder of a machine.
func lookedFor(plans []convert.Source, r *convert.Report) []string {
	below := map[string]string{} // by plan's file
	for _, s := range plans {
		below[s.Name] = fmt.Sprintf("files were looked for below %q (-g and -a name other folders)", s.Geometry.Name)
		if s.Geometry != s.Attachments {
			below[s.Name] = fmt.Sprintf("geometry was looked for below %q (-g), attachments below %q (-a)", s.Geometry.Name, s.Attachments.Name)
		}
	}
	var out []string
	for _, p := range r.Plans {
		missing := slices.ContainsFunc(p.Diagnostics, func(d diag.Diagnostic) bool { return d.Code == diag.FileMissing.Name })
		if missing && !slices.Contains(out, below[p.File]) {
			out = append(out, below[p.File])
		}
	}
	return out
}

func remarksIn(list diag.List) int {
	n := 0
	for _, d := range list {
		if d.Severity == diag.Info {
			n++
		}
	}
	return n
}

// mostOfACode is how many diagnostics of one code a list prints: a wrong rule can
// raise one for each of a hundred thousand steps.
const mostOfACode = 5

// printing writes diagnostics for people, with the line that each points at where
// its file is at hand.
type printing struct {
	w     io.Writer
	files texts
	least diag.Severity // what is below it is left out
	rest  string        // where to find those beyond mostOfACode
}

// list prints errors first: what follows from them is often a warning.
func (p printing) list(list diag.List) {
	count := map[string]int{}
	shown := list[:0:0]
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b diag.Diagnostic) int { return cmp.Compare(b.Severity, a.Severity) })
	for _, d := range list {
		if d.Severity < p.least {
			continue
		}
		if count[d.Code]++; count[d.Code] <= mostOfACode {
			shown = append(shown, d)
		}
	}
	lines := p.files.lines(shown)
	for _, d := range shown {
		fmt.Fprintln(p.w, d)
		printPlace(p.w, d.Position, lines)
		for _, r := range d.Related {
			fmt.Fprintln(p.w, "    "+related(r))
		}
	}
	for _, code := range slices.Sorted(maps.Keys(count)) {
		if more := count[code] - mostOfACode; more > 0 {
			fmt.Fprintf(p.w, "… and %d more %s; %s\n", more, code, p.rest)
		}
	}
}

// remarks prints a line for each code of what lost nothing, with the first of it.
func (p printing) remarks(list diag.List) {
	first, count := map[string]diag.Diagnostic{}, map[string]int{}
	for _, d := range list {
		if d.Severity > diag.Info {
			continue
		}
		if count[d.Code]++; count[d.Code] == 1 {
			first[d.Code] = d
		}
	}
	for _, code := range slices.Sorted(maps.Keys(first)) {
		more := ""
		if n := count[code] - 1; n > 0 {
			more = fmt.Sprintf(" … and %d more; %s", n, p.rest)
		}
		fmt.Fprintf(p.w, "%s%s\n", first[code], more)
	}
}

func related(r diag.Related) string {
	if at := r.Position.String(); at != "" {
		return at + ": " + r.Message
	}
	return r.Message
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// progress shows a bar for the phase under way, on a terminal only.
type progress struct {
	container *mpb.Progress
	bar       *mpb.Bar
	phase     string
}

func newProgress(w io.Writer) *progress {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return &progress{}
	}
	return &progress{container: mpb.New(mpb.WithOutput(f))}
}

func (p *progress) show(phase string, done, total int) {
	if p.container == nil || total == 0 {
		return
	}
	if phase != p.phase {
		p.finish()
		p.phase = phase
		p.bar = p.container.AddBar(int64(total), mpb.BarRemoveOnComplete(),
			mpb.PrependDecorators(decor.Name(phase, decor.WCSyncSpaceR)), mpb.AppendDecorators(decor.CountersNoUnit("%d / %d")))
	}
	p.bar.SetCurrent(int64(done))
}

func (p *progress) finish() {
	if p.bar != nil {
		p.bar.Abort(true)
		p.bar = nil
	}
}

func (p *progress) done() {
	if p.container != nil {
		p.finish()
		p.container.Wait()
	}
}

// many writes a count with its word.
func many(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
