package main

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"planfold/cmd/planfold/demo"
	"planfold/convert/store"
)

func demoCommand() *cobra.Command {
	plans := 0
	c := &cobra.Command{
		Use:   "demo DIR",
		Short: "Write the demo: a plan, rules, geometry and files to convert",
		Long: "Writes the plan of a two-stage helical gear reducer with its rules, geometry and\n" +
			"documents, all made by code. With --plans N, a catalogue of N variants.",
		Annotations: statuses("  0 written\n  1 could not write\n  2 wrong usage"),
		Args:        exactly(1, "one folder"),
		RunE:        func(c *cobra.Command, args []string) error { return runDemo(c, args[0], plans) },
	}
	c.Flags().IntVar(&plans, "plans", plans, "write a catalogue of so many plans")
	return c
}

func runDemo(c *cobra.Command, dir string, plans int) error {
	if plans < 0 {
		return usage("--plans takes a number from 0, not %d", plans)
	}
	files := 0
	err := demo.Write(plans, func(name string, data []byte) error {
		files++
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			return err
		}
		return store.WriteFile(path, data)
	})
	if err != nil {
		return fmt.Errorf("write the demo: %w", err)
	}
	what, plan := "plan.xml", filepath.Join(dir, "plan.xml")
	if plans > 1 {
		what, plan = fmt.Sprintf("%d plans", plans), filepath.Join(dir, "plans")+" -g "+dir+" -a "+dir
	}
	fmt.Fprintf(c.OutOrStdout(), "wrote %s and %d other files to %s; convert with\n  planfold convert -r %s -o %s %s\n",
		what, files-max(plans, 1), dir, filepath.Join(dir, "rules.yaml"), filepath.Join(dir, "out"), plan)
	return nil
}
