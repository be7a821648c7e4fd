package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"planfold/convert/diag"
)

func explainCommand() *cobra.Command {
	return &cobra.Command{
		Use:         "explain CODE",
		Short:       "Say what a diagnostic's code means and what to do about it",
		Long:        "Explains a diagnostic's code. Without one, lists all codes.",
		Annotations: statuses("  0 explained\n  2 wrong usage, or there is no such code"),
		RunE:        runExplain,
	}
}

func runExplain(c *cobra.Command, args []string) error {
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
	return usage("there is no code %q; planfold explain lists them all", args[0])
}
