package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"planfold/convert/bundle"
	"planfold/schema"
)

func verifyCommand() *cobra.Command {
	format := "text"
	c := &cobra.Command{
		Use:   "verify OUT",
		Short: "Check an issued tree: digests, schemas, references, files listed nowhere",
		Long: "Reads every file of an issued tree and names each one that is damaged, missing,\n" +
			"altered, of the wrong shape, or listed nowhere. Writes nothing.",
		Annotations: statuses("  0 the tree is as it was issued\n  1 could not read it\n  2 wrong usage\n  4 something differs; each file is named"),
		Args:        exactly(1, "one folder"),
		RunE:        func(c *cobra.Command, args []string) error { return runVerify(c, args[0], format) },
	}
	c.Flags().StringVar(&format, "format", format, "how to report: text, or json")
	return c
}

func runVerify(c *cobra.Command, dir, format string) error {
	if err := checkFormat(format); err != nil {
		return err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return fmt.Errorf("open the tree: %w", err)
	}
	defer root.Close()
	problems, err := bundle.Verify(root.FS())
	if err != nil {
		return fmt.Errorf("read the tree: %w", err)
	}
	if err := printProblems(c, problems, format); err != nil {
		return err
	}
	if len(problems) > 0 {
		return &statusError{status: statusDiffers}
	}
	return nil
}

func printProblems(c *cobra.Command, problems []bundle.Problem, format string) error {
	if format == "json" {
		text, err := schema.Encode(append([]bundle.Problem{}, problems...))
		if err != nil {
			return err
		}
		_, err = c.OutOrStdout().Write(text)
		return err
	}
	for _, p := range problems {
		fmt.Fprintln(c.OutOrStdout(), p)
	}
	if len(problems) == 0 {
		fmt.Fprintln(c.OutOrStdout(), "the tree is as it was issued")
	}
	return nil
}
