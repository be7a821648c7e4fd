package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

func checkCommand() *cobra.Command {
	var names []string
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
			if _, err := compileRules(names); err != nil {
				return err
			}
			fmt.Fprintln(c.OutOrStdout(), "the rules compile")
			return nil
		},
	}
	c.Flags().StringArrayVarP(&names, "rules", "r", nil, "rule file; repeat to layer files, later ones over earlier ones")
	return c
}
