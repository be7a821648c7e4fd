package main

import (
	"runtime"

	"github.com/spf13/cobra"

	"planfold/convert"
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules"
)

type checkOptions struct {
	rules     []string
	effective string
	format    string
	coverage  int // least per cent; -1: not asked for
	print     bool
	sketch    bool
}

func checkCommand() *cobra.Command {
	var o checkOptions
	c := &cobra.Command{
		Use:   "check -r RULES [PLAN...] | --sketch PLAN",
		Short: "Compile rules, find what does nothing in them, and hold their expectations",
		Long: "Compiles rule files and reports every fault with file, line and column, and what\n" +
			"can do nothing. With plans (XML files, folders of them, or - for standard input)\n" +
			"maps each, without geometry, and reports what is wrong with it, which expectations\n" +
			"fail, and which rules did nothing.",
		Annotations: statuses("  0 nothing is wrong; rules that do nothing are listed\n" +
			"  1 could not run, or was stopped\n" +
			"  2 wrong usage, or rules that do not compile; each fault is named\n" +
			"  3 a plan has errors, and something of it would be left out or held\n" +
			"  4 an expectation fails, or coverage is under its floor"),
		RunE: func(c *cobra.Command, args []string) error { return runCheck(c, o, args) },
	}
	f := c.Flags()
	f.StringArrayVarP(&o.rules, "rules", "r", nil, rulesUsage)
	f.StringVar(&o.effective, "effective", "", effectiveUsage)
	f.StringVar(&o.format, "format", "text", "how to report: text, json (a line for each message) or sarif (2.1.0)")
	f.IntVar(&o.coverage, "coverage", -1, "list how often each rule did something, and what of the plans no rule looks at; =N fails under N per cent")
	f.Lookup("coverage").NoOptDefVal = "0"
	f.BoolVar(&o.sketch, "sketch", false, "propose reading rules for one plan, from the structure of its XML, and do nothing else")
	f.BoolVar(&o.print, "print", false, "print the rule file, to copy from it, and do nothing else")
	return c
}

func runCheck(c *cobra.Command, o checkOptions, args []string) error {
	switch {
	case o.sketch:
		return runSketch(c, args)
	case len(o.rules) == 0:
		return usage("check needs -r RULES; see planfold check --help")
	case o.format != "text" && o.format != "json" && o.format != "sarif":
		return usage("--format takes text, json or sarif, not %q", o.format)
	case c.Flags().Changed("coverage") && (o.coverage < 0 || o.coverage > 100 || len(args) == 0 || o.format == "sarif"):
		return usage("--coverage needs plans, takes a floor from 0 to 100 as --coverage=N, and reports as text or json")
	}
	if o.print {
		return printRules(c.OutOrStdout(), o.rules, args)
	}
	files, err := ruleFiles(o.rules)
	if err != nil {
		return err
	}
	plans, err := sources(args, "", "", c.InOrStdin())
	if err != nil {
		return err
	}
	out := newCheckReport(c, o, files, plans)
	set, faults := rules.Compile(files)
	out.add(faults)
	if err := refused(faults); err != nil {
		return out.end(err)
	}
	out.add(set.Lint())
	survey := set.For(o.effective).Survey()
	if err := checkPlans(c, survey, plans, o, out); err != nil {
		return err
	}
	out.add(survey.Findings())
	if o.coverage >= 0 {
		out.coverage(survey.Coverage(), o.coverage)
	} else {
		out.unread(survey.Coverage().Plans)
	}
	return out.end(out.status())
}

// checked is what came of mapping one plan.
type checked struct {
	File       string `json:"file"`
	Plan       string `json:"plan,omitempty"`
	Revision   string `json:"revision,omitempty"`
	Operations int    `json:"operations"`
	Steps      int    `json:"steps"`
	LeftOut    int    `json:"leftOut,omitempty"` // steps
	Parts      int    `json:"parts"`
	source     convert.Source
	whole      *convert.Checked
	found      diag.List
	failed     diag.List // expectations
}

// checkPlans maps each plan and reports in their order.
func checkPlans(c *cobra.Command, survey *rules.Survey, plans []convert.Source, o checkOptions, out *checkReport) error {
	results := make([]checked, len(plans))
	err := convert.Each(c.Context(), runtime.NumCPU(), len(plans), func(i int) error {
		results[i] = checkPlan(survey.Plan(), plans[i], o.effective)
		if results[i].Plan != "" {
			return survey.Look(plans[i].Open, plans[i].Name)
		}
		return nil
	})
	if err != nil {
		return err
	}
	plansTogether(results)
	for _, r := range results {
		nameFile(r.source, r.found)
		nameFile(r.source, r.failed)
		out.plan(r)
	}
	return nil
}

// plansTogether adds what is wrong with plans since others are there.
func plansTogether(results []checked) {
	var all []*convert.Checked
	for _, r := range results {
		all = append(all, r.whole)
	}
	convert.CheckTwice(all)
	for i := range results {
		results[i].found = append(results[i].found, all[i].Diagnostics...)
	}
}

func checkPlan(under *rules.Surveyed, s convert.Source, effective string) checked {
	r := checked{File: s.Name, source: s}
	whole, err := convert.Check(under, s, effective, func(p *step.Plan, o *step.Operation) error {
		under.Operation(p, o)
		r.Operations++
		r.Parts += len(o.Common.Parts)
		for _, t := range o.Steps {
			if t.Skip.Given() {
				r.LeftOut++
				continue
			}
			r.Steps++
			r.Parts += len(t.Parts)
		}
		return nil
	})
	r.whole, r.failed = whole, under.End(whole.Plan)
	switch {
	case err != nil:
		r.found.Add(s.Unreadable(err))
	case whole.Plan != nil:
		r.Plan, r.Revision = whole.Plan.ID.Value, whole.Plan.Revision.Value
	}
	return r
}

// nameFile gives diagnostics of a plan its file as the user named it: others of the
// run may have the same name in other folders.
func nameFile(s convert.Source, list diag.List) {
	name := func(p *diag.Position) {
		if p.File == s.Base {
			p.File = s.Name
		}
	}
	for i := range list {
		name(&list[i].Position)
		for j := range list[i].Related {
			name(&list[i].Related[j].Position)
		}
	}
}
