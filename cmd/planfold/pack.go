package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"planfold/convert/bundle"
	"planfold/convert/pack"
	"planfold/convert/store"
)

func packCommand() *cobra.Command {
	out := ""
	c := &cobra.Command{
		Use:   "pack EDITION -o FILE",
		Short: "Make one self-contained file of an edition or of a step",
		Long: "Given a step's folder, writes its scene as one GLB, geometry, camera and motion\n" +
			"included. Given an edition's folder, writes a zip archive: the edition as it was\n" +
			"issued, a GLB beside each glTF document, and SHA256SUMS, which sha256sum -c\n" +
			"accepts where it is unpacked. Nothing is packed of an edition that is damaged.",
		Annotations: statuses("  0 done\n  1 could not run\n  2 wrong usage\n  3 the step has no scene; nothing was written\n  4 the edition is damaged; each problem is named, and nothing was written"),
		Args:        exactly(1, "the folder of an edition or of one of its steps"),
		RunE:        func(c *cobra.Command, args []string) error { return runPack(c, args[0], out) },
	}
	c.Flags().StringVarP(&out, "out", "o", "", "the file to write: .zip of an edition, .glb of a step")
	return c
}

// issued is where an edition stands, and which of its steps is meant, if one is.
type issued struct{ tree, folder, step string }

func runPack(c *cobra.Command, folder, out string) error {
	at, err := issuedAt(folder)
	if err != nil {
		return err
	}
	ext := ".zip"
	if at.step != "" {
		ext = ".glb"
	}
	switch {
	case out == "":
		return usage("pack needs -o FILE%s", ext)
	case !strings.EqualFold(filepath.Ext(out), ext):
		return usage("of this folder pack writes a %s file; name %q with that at its end", ext, out)
	}
	if err := outside(at.tree, out); err != nil {
		return err
	}
	root, err := os.OpenRoot(at.tree)
	if err != nil {
		return fmt.Errorf("open the tree: %w", err)
	}
	defer root.Close()
	manifest, sums, problems := bundle.VerifyEdition(root.FS(), at.folder)
	if len(problems) > 0 {
		if err := printProblems(c, problems, "text"); err != nil {
			return err
		}
		return &statusError{statusDiffers, fmt.Errorf("%q is damaged, and was not packed", folder)}
	}
	if manifest.Held {
		fmt.Fprintf(c.ErrOrStderr(), "planfold: this edition is held: its file %s says why\n", bundle.HeldName)
	}
	e := &pack.Edition{Tree: root.FS(), Folder: at.folder, Sums: sums}
	if at.step != "" {
		return packStep(c, e, at.step, out)
	}
	return packEdition(c, e, out)
}

// issuedAt tells a step's folder from an edition's by what stands in it.
func issuedAt(folder string) (issued, error) {
	edition, err := filepath.EvalSymlinks(folder)
	if err == nil {
		edition, err = filepath.Abs(edition)
	}
	if err != nil {
		return issued{}, usage("%w", err)
	}
	var at issued
	if _, err := os.Stat(filepath.Join(edition, "step.json")); err == nil {
		at.step = filepath.Base(edition)
		edition = filepath.Dir(filepath.Dir(edition))
	}
	plan := filepath.Dir(edition)
	plans := filepath.Dir(plan)
	if _, err := os.Stat(filepath.Join(edition, "bundle.json")); err != nil || filepath.Base(plans) != "plans" {
		return issued{}, usage("%q is not the folder of an edition, OUT/plans/PLAN/REVISION@EDITION, or of one of its steps", folder)
	}
	at.tree = filepath.Dir(plans)
	at.folder = "plans/" + filepath.Base(plan) + "/" + filepath.Base(edition)
	return at, nil
}

func packStep(c *cobra.Command, e *pack.Edition, step, out string) error {
	scene := "steps/" + step + "/scene.gltf"
	if _, there := e.Sums[scene]; !there {
		return &statusError{statusLeftOut, fmt.Errorf("step %q has no scene", step)}
	}
	data, err := e.GLB(scene)
	if err != nil {
		return fmt.Errorf("pack: %w", err)
	}
	if err := store.WriteFile(out, data); err != nil {
		return err
	}
	fmt.Fprintf(c.OutOrStdout(), "wrote the scene of step %s, %d bytes, to %s\n", step, len(data), out)
	return nil
}

func packEdition(c *cobra.Command, e *pack.Edition, out string) error {
	files := 0
	err := store.StreamFile(out, func(w io.Writer) (err error) {
		files, err = e.Archive(w)
		return err
	}, pack.Check)
	if err != nil {
		return fmt.Errorf("pack: %w", err)
	}
	fmt.Fprintf(c.OutOrStdout(), "wrote %s, %d files, to %s\n", e.Folder, files, out)
	return nil
}
