package main

import (
	"github.com/spf13/cobra"

	"planfold/rules/sketch"
)

// runSketch prints a rule file that reads one plan, as far as its structure says how.
func runSketch(c *cobra.Command, args []string) error {
	if c.Flags().NFlag() > 1 || len(args) != 1 {
		return usage("--sketch takes one plan, and no other flag")
	}
	plans, err := sources(args, "", "", c.InOrStdin())
	if err != nil {
		return err
	}
	if len(plans) != 1 {
		return usage("--sketch takes one plan, not %d", len(plans))
	}
	text, faults, err := sketch.Rules(plans[0].Open, plans[0].Name)
	if err != nil {
		return err
	}
	if len(faults) > 0 {
		(printing{w: c.ErrOrStderr(), files: planTexts(plans)}).list(faults)
		return &statusError{status: statusLeftOut}
	}
	_, err = c.OutOrStdout().Write(text)
	return err
}
