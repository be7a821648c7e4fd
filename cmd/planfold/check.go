package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

func checkCommand() *cobra.Command {
	var names []string
	var print bool
	c := &cobra.Command{
		Use:         "check -r RULES",
		Short:       "Compile rules and report every fault at once",
		Long:        "Compiles rule files and reports every fault with file, line and column.",
		Annotations: statuses("  0 the rules compile\n  2 they do not; each fault is named"),
		Args:        exactly(0, "no argument but -r RULES"),
		RunE: func(c *cobra.Command, _ []string) error {
			if len(names) == 0 {
				return usage("check needs -r RULES; see planfold check --help")
			}
			if print {
				return printRules(c.OutOrStdout(), names)
			}
			if _, err := compileRules(names); err != nil {
				return err
			}
			fmt.Fprintln(c.OutOrStdout(), "the rules compile")
			return nil
		},
	}
	c.Flags().BoolVar(&print, "print", false, "print the rule file, to copy from it, and do nothing else")
	c.Flags().StringArrayVarP(&names, "rules", "r", nil, rulesUsage)
	return c
}
