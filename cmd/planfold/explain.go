package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"planfold/convert/diag"
	"planfold/rules"
	"planfold/rules/document"
)

type explainOptions struct {
	rules             []string
	effective         string
	step, part, value string
	format            string
}

func explainCommand() *cobra.Command {
	var o explainOptions
	c := &cobra.Command{
		Use:   "explain -r RULES PLAN | CODE",
		Short: "Say why each value is what it is, or what a diagnostic's code means",
		Long: "With -r RULES and a plan: each value with its place in the plan and the rule\n" +
			"that set it, what that rule overrode, which rules did not fire and the operand\n" +
			"that made them false. Of the plan itself, or of what is asked for. Geometry is\n" +
			"not read: what rules ask of it is not known.\n\n" +
			"With a diagnostic's code: what it means and what to do about it. With nothing:\n" +
			"all codes.",
		Example: "  planfold explain -r rules.yaml plan.xml --step S-20-2\n" +
			"  planfold explain -r rules.yaml plan.xml --step S-20-2 --value nominal\n" +
			"  planfold explain FILE_MISSING",
		Annotations: statuses("  0 explained\n  1 could not run, or was stopped\n  2 wrong usage, rules that do not compile, or there is no such code, step, part or value\n" +
			"  3 the plan is refused; what is wrong is named"),
		RunE: func(c *cobra.Command, args []string) error { return runExplain(c, o, args) },
	}
	f := c.Flags()
	f.StringArrayVarP(&o.rules, "rules", "r", nil, rulesUsage)
	f.StringVar(&o.step, "step", "", "explain the step of this id, with its operation and the items that it consumes")
	f.StringVar(&o.part, "part", "", "explain this item and where it is consumed; with --step that part alone, by item or find number")
	f.StringVar(&o.value, "value", "", "explain the values of this name alone, such as quantity, motion or hazards, and say where there is none what was tried")
	f.StringVar(&o.effective, "effective", "", effectiveUsage)
	f.StringVar(&o.format, "format", "text", "how to report: text, or json")
	return c
}

func runExplain(c *cobra.Command, o explainOptions, args []string) error {
	switch {
	case len(o.rules) == 0 && c.Flags().NFlag() > 0:
		return usage("explain needs -r RULES for a plan; see planfold explain --help")
	case len(o.rules) == 0:
		return explainCode(c, args)
	case len(args) != 1:
		return usage("explain takes one plan; see planfold explain --help")
	}
	if err := checkFormat(o.format); err != nil {
		return err
	}
	if names := rules.ValueNames(); o.value != "" && !slices.Contains(names, o.value) {
		return usage("there is no value %q%s", o.value, orElse(o.value, names, "; there are "+strings.Join(names, ", ")))
	}
	return explainPlan(c, o, args[0])
}

// orElse names the known one that is nearest, or says what else there is to say.
func orElse(name string, known []string, otherwise string) string {
	if near := document.Nearest(name, known); near != "" {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return otherwise
}

func explainCode(c *cobra.Command, args []string) error {
	if len(args) > 1 {
		return usage("explain takes one code; see planfold explain --help")
	}
	out := c.OutOrStdout()
	for _, code := range diag.Codes() {
		switch {
		case len(args) == 0:
			fmt.Fprintf(out, "%-28s %-8s %s\n", code.Name, code.Severity, code.Meaning)
		case strings.EqualFold(code.Name, args[0]):
			fmt.Fprintf(out, "%s (%s)\n  what is wrong:   %s\n  what was done:   %s\n  what you can do: %s\n", code.Name, code.Severity, code.Meaning, code.Done, code.Mend)
			return nil
		}
	}
	if len(args) == 0 {
		return nil
	}
	return usage("there is no code %q; planfold explain lists them all, and explains a plan with -r RULES", args[0])
}
