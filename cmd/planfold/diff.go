package main

import (
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"planfold/convert/compare"
)

func diffCommand() *cobra.Command {
	format := "text"
	c := &cobra.Command{
		Use:   "diff OLD NEW",
		Short: "Compare two editions, or the current editions of two trees, by meaning",
		Long: "Compares two editions (folders with a bundle.json), or the current editions of two\n" +
			"trees (folders with a catalog.json; of a plan with held editions alone, the last), and\n" +
			"reports what was added (+), removed (-), changed (~) or moved (>): by plan, operation\n" +
			"and step, safety first, with the place in the plan that each value comes from. Words taken out of a text stand as [-word-], words\n" +
			"put in as {+word+}. Ids that changed everywhere, sizes and URIs are no differences.\n" +
			"Files are held against SHA256SUMS, geometry and attachments (blobs) are not: run verify\n" +
			"where those may be damaged.",
		Annotations: statuses("  0 no difference\n  1 could not read them\n  2 wrong usage, or a folder is neither an edition nor a tree\n  4 they differ, or a file is damaged"),
		Args:        exactly(2, "an old and a new folder"),
		RunE:        func(c *cobra.Command, args []string) error { return runDiff(c, args[0], args[1], format) },
	}
	c.Flags().StringVar(&format, "format", format, "how to report: text, or json (see schema/diff.schema.json)")
	return c
}

func runDiff(c *cobra.Command, old, new, format string) error {
	if err := checkFormat(format); err != nil {
		return err
	}
	var issued [2]compare.Issued
	for i, dir := range []string{old, new} {
		root, err := os.OpenRoot(dir)
		if err != nil {
			return fmt.Errorf("open the folder: %w", err)
		}
		defer root.Close()
		issued[i] = compare.Issued{FS: root.FS(), Name: dir}
	}
	out := newDifferences(c, format, false)
	err := compare.Issues(issued[0], issued[1], out.add)
	var neither *compare.NeitherError
	if errors.As(err, &neither) {
		return usage("%w", neither)
	}
	if err != nil {
		return err
	}
	return out.close()
}

// differences hands results to a report, and knows whether there were any.
type differences struct {
	command *cobra.Command
	report  interface {
		Add(*compare.Result) error
		Close() error
	}
	differ bool
}

func newDifferences(c *cobra.Command, format string, byRule bool) *differences {
	if format == "json" {
		return &differences{command: c, report: compare.NewJSON(c.OutOrStdout(), byRule)}
	}
	return &differences{command: c, report: compare.NewText(c.OutOrStdout(), byRule)}
}

func (d *differences) add(r *compare.Result) error {
	d.differ = d.differ || !r.Same()
	printList(d.command.ErrOrStderr(), r.Diagnostics)
	return d.report.Add(r)
}

// close ends the report and says by the status whether anything differs.
func (d *differences) close() error {
	err := d.report.Close()
	if err == nil && d.differ {
		return &statusError{status: statusDiffers}
	}
	return err
}
