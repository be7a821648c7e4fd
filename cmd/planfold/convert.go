package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"planfold/convert"
	"planfold/convert/diag"
	"planfold/convert/profile"
	"planfold/convert/store"
	"planfold/convert/view"
	"planfold/rules"
	"planfold/schema"
)

type convertOptions struct {
	rules       []string
	out         string
	geometry    string
	attachments string
	profile     string
	effective   string
	only        string
	cache       string
	format      string
	workers     int
	dryRun      bool
}

func convertCommand() *cobra.Command {
	var o convertOptions
	c := &cobra.Command{
		Use:   "convert -r RULES -o OUT PLAN...",
		Short: "Issue editions for plans",
		Long: "Converts plans (XML files, folders of them, or - for standard input) into\n" +
			"editions below OUT. What did not change is not written again.\n\n" +
			"A profile file is JSON with all of these members; what is built in:\n" + builtInProfiles(),
		Annotations: statuses("  0 all done\n  1 could not run, or was stopped\n  2 wrong usage, or rules that do not compile\n  3 finished, but something was left out or held; the report names it"),
		RunE:        func(c *cobra.Command, args []string) error { return runConvert(c, o, args) },
	}
	f := c.Flags()
	f.StringArrayVarP(&o.rules, "rules", "r", nil, rulesUsage)
	f.StringVarP(&o.out, "out", "o", "", "folder of the issued tree")
	f.StringVarP(&o.geometry, "geometry", "g", "", "root of geometry references (default: the plan's folder)")
	f.StringVarP(&o.attachments, "attachments", "a", "", "root of attachment references (default: the plan's folder)")
	f.StringVar(&o.profile, "profile", "handheld", "what the device takes: handheld, headset, or a profile file")
	f.StringVar(&o.effective, "effective", "", effectiveUsage)
	f.StringVar(&o.only, "only", "", "convert the plan with this id alone")
	f.StringVar(&o.cache, "cache", "", "folder of what need not be made again (default: OUT/.cache)")
	f.StringVar(&o.format, "format", "text", "how to report: text, or json (run.json on standard output)")
	f.IntVarP(&o.workers, "jobs", "j", runtime.NumCPU(), "jobs at a time")
	f.BoolVar(&o.dryRun, "dry-run", false, "report what would be issued, and issue nothing; OUT is left as it was, but for its cache")
	return c
}

func builtInProfiles() string {
	var b strings.Builder
	for _, name := range []string{"handheld", "headset"} {
		p, _ := profile.Named(name)
		text, err := json.Marshal(p)
		if err != nil {
			panic(err) // texts, numbers and a flag
		}
		fmt.Fprintf(&b, "  %s\n", text)
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func runConvert(c *cobra.Command, o convertOptions, args []string) error {
	switch {
	case len(o.rules) == 0 || o.out == "" || len(args) == 0:
		return usage("convert needs -r RULES, -o OUT and at least one PLAN; see planfold convert --help")
	case o.workers < 1:
		return usage("-j takes a number of jobs from 1, not %d", o.workers)
	}
	if err := checkFormat(o.format); err != nil {
		return err
	}
	set, err := compileRules(o.rules)
	if err != nil {
		return err
	}
	prof, err := loadProfile(o.profile)
	if err != nil {
		return err
	}
	plans, err := sources(args, o.geometry, o.attachments, c.InOrStdin())
	if err != nil {
		return err
	}
	s, err := store.Open(o.out)
	if err != nil {
		return err
	}
	defer s.Close()
	cache, err := s.Cache(o.cache)
	if err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	bar := newProgress(c.ErrOrStderr())
	report, err := convert.Run(c.Context(), convert.Options{
		Store: s, Cache: cache, Mapper: set.For(o.effective).Counting(), Profile: prof, Effective: o.effective, Tool: tool,
		Plans: plans, Only: o.only, DryRun: o.dryRun, Workers: o.workers, Clock: time.Now, Progress: bar.show,
	})
	bar.done()
	switch {
	case o.dryRun:
		err = errors.Join(err, s.Forget())
	case err == nil:
		err = writePage(s, report)
	}
	return finishConvert(c, o, plans, report, err)
}

// writePage writes the report for people beside the one for machines.
func writePage(s *store.Store, report *convert.Report) error {
	page, err := view.Report(report)
	if err != nil {
		return err
	}
	return s.Write("run.html", page)
}

func finishConvert(c *cobra.Command, o convertOptions, plans []convert.Source, report *convert.Report, err error) error {
	var other *convert.TreeError
	switch {
	case errors.As(err, &other):
		return usage("%w", other)
	case err != nil:
		return err
	case o.only != "" && report.Finished && len(report.Plans) == 0:
		return usage("no plan has the id %q", o.only)
	}
	if o.format == "json" {
		text, err := schema.Encode(report)
		if err != nil {
			return err
		}
		if _, err := c.OutOrStdout().Write(text); err != nil {
			return err
		}
	} else {
		printReport(c.OutOrStdout(), c.ErrOrStderr(), o, plans, report)
	}
	if report.Status != statusDone {
		return &statusError{status: report.Status}
	}
	return nil
}

// checkFormat refuses what no command can report in.
func checkFormat(format string) error {
	if format != "text" && format != "json" {
		return usage("--format takes text or json, not %q", format)
	}
	return nil
}

// compileRules reads and compiles rule files; every fault is printed.
func compileRules(names []string) (*rules.Set, error) {
	files, err := ruleFiles(names)
	if err != nil {
		return nil, err
	}
	set, list := rules.Compile(files)
	printing{w: os.Stderr, files: ruleTexts(files)}.list(list)
	return set, refused(list)
}

// refused turns faults of rules into the end of the program.
func refused(faults diag.List) error {
	if !faults.HasError() {
		return nil
	}
	return &statusError{statusUsage, fmt.Errorf("the rules do not compile: %s", many(len(faults), "fault"))}
}

func loadProfile(name string) (profile.Profile, error) {
	if p, ok := profile.Named(name); ok {
		return p, nil
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return profile.Profile{}, usage("there is no profile %q, and no such file; named profiles are handheld and headset", name)
	}
	p, list := profile.Parse(name, data)
	printList(os.Stderr, list)
	if list.HasError() {
		return p, usage("profile %q cannot be used", name)
	}
	return p, nil
}

func printList(w io.Writer, list diag.List) {
	for _, d := range list {
		fmt.Fprintln(w, d)
	}
}
