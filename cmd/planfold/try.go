package main

import (
	"cmp"
	"context"
	"runtime"

	"github.com/spf13/cobra"

	"planfold/convert"
	"planfold/convert/compare"
)

type tryOptions struct {
	rules     []string
	against   []string
	effective string
	format    string
	workers   int
}

func tryCommand() *cobra.Command {
	var o tryOptions
	c := &cobra.Command{
		Use:   "try -r RULES --against RULES PLAN...",
		Short: "What a rule change would alter, without writing anything",
		Long: "Maps plans (XML files, folders of them, or - for standard input) under two sets of\n" +
			"rules and reports what differs, by the rules that set the old and the new values.\n" +
			"-r gives the new set, --against the present one; both repeat to layer files. Geometry\n" +
			"and attachments are not read: what rules say of scenes is compared as the rules say it.",
		Annotations: statuses("  0 no difference\n  1 could not run, or was stopped\n  2 wrong usage, or rules that do not compile\n  4 something differs, or a plan could not be compared"),
		RunE:        func(c *cobra.Command, args []string) error { return runTry(c, o, args) },
	}
	f := c.Flags()
	f.StringArrayVarP(&o.rules, "rules", "r", nil, "the new set: "+rulesUsage)
	f.StringArrayVar(&o.against, "against", nil, "the present set, in the same way")
	f.StringVar(&o.effective, "effective", "", effectiveUsage)
	f.StringVar(&o.format, "format", "text", "how to report: text, or json (see schema/diff.schema.json)")
	f.IntVarP(&o.workers, "jobs", "j", runtime.NumCPU(), "jobs at a time")
	return c
}

func runTry(c *cobra.Command, o tryOptions, args []string) error {
	switch {
	case len(o.rules) == 0 || len(o.against) == 0 || len(args) == 0:
		return usage("try needs -r RULES (the new set), --against RULES (the present set) and at least one PLAN; see planfold try --help")
	case o.workers < 1:
		return usage("-j takes a number of jobs from 1, not %d", o.workers)
	}
	if err := checkFormat(o.format); err != nil {
		return err
	}
	old, err := compileRules(o.against)
	if err != nil {
		return err
	}
	new, err := compileRules(o.rules)
	if err != nil {
		return err
	}
	plans, err := sources(args, "", "", c.InOrStdin())
	if err != nil {
		return err
	}
	out := newDifferences(c, o.format, true)
	if err := tryPlans(c.Context(), o.workers, old.For(o.effective), new.For(o.effective), plans, out.add); err != nil {
		return err
	}
	return out.close()
}

// plansAtOnce is how many plans' results are held until their turn to be reported.
const plansAtOnce = 256

// tryPlans maps each plan under both sets, and hands the results over in the order of
// the plans.
func tryPlans(ctx context.Context, workers int, old, new convert.Mapper, plans []convert.Source, each func(*compare.Result) error) error {
	for len(plans) > 0 {
		n := min(len(plans), plansAtOnce)
		results := make([]*compare.Result, n)
		err := convert.Each(ctx, workers, n, func(i int) error {
			results[i] = compare.Mappings(convert.MapWhole(old, plans[i]), convert.MapWhole(new, plans[i]))
			results[i].Plan = cmp.Or(results[i].Plan, plans[i].Base)
			nameFile(plans[i], results[i].Diagnostics)
			return nil
		})
		if err != nil {
			return err
		}
		for _, r := range results {
			if err := each(r); err != nil {
				return err
			}
		}
		plans = plans[n:]
	}
	return nil
}
