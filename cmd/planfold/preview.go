package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"planfold/convert/store"
	"planfold/convert/view"
)

type previewOptions struct {
	port                    int
	export, print, language string
}

func previewCommand() *cobra.Command {
	var o previewOptions
	c := &cobra.Command{
		Use:   "preview OUT",
		Short: "Look at editions in a browser, offline",
		Long: "Serves a page that shows the editions of an issued tree as the floor will see them, on\n" +
			"127.0.0.1 alone, until it is interrupted; the address is printed. Only what the tree\n" +
			"lists is shown, and only while it is as it was issued. Nothing is loaded from elsewhere.\n" +
			"With --export the page and all it shows are written to a folder, and open from there\n" +
			"without a server (index.html). With --print the steps of each plan's current edition are\n" +
			"written as pages for A4 paper: a folder takes an HTML file a plan, FILE.html a tree's only plan.",
		Annotations: statuses("  0 interrupted, or written\n  1 could not serve, read or write\n  2 wrong usage, or the folder is no issued tree\n  4 something exported or printed is not as it was issued, and was left out; it is named"),
		Args:        exactly(1, "one folder"),
		RunE:        func(c *cobra.Command, args []string) error { return runPreview(c, args[0], o) },
	}
	c.Flags().IntVar(&o.port, "port", o.port, "port to serve on (0: a free one)")
	c.Flags().StringVar(&o.export, "export", o.export, "write the page to this folder, to open from disk")
	c.Flags().StringVar(&o.print, "print", o.print, "write the steps as pages to print, to this folder or .html file")
	c.Flags().StringVar(&o.language, "language", "en", "language of what is printed, where the plan has it")
	return c
}

func runPreview(c *cobra.Command, dir string, o previewOptions) error {
	if o.port < 0 || o.port > 65535 {
		return usage("--port takes a number from 0 to 65535, not %d", o.port)
	}
	if o.export != "" && o.print != "" {
		return usage("--export and --print exclude each other")
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return fmt.Errorf("open the tree: %w", err)
	}
	defer root.Close()
	if _, err := root.Stat("catalog.json"); err != nil {
		return usage("%q is no issued tree: it has no catalog.json", dir)
	}
	tree := view.NewTree(root.FS())
	if target := o.export + o.print; target != "" {
		if err := outside(dir, target); err != nil {
			return err
		}
	}
	if o.print != "" {
		return printCards(c, tree, o)
	}
	if !view.HasPage() {
		return errors.New("this program was built without its page: install Node and build it with make build")
	}
	if o.export != "" {
		return exportPage(c, tree, o.export)
	}
	return serve(c.Context(), tree, o.port, func(address string) { fmt.Fprintln(c.OutOrStdout(), address) })
}

// serve serves until ctx ends, which is no error. Started is told the address.
func serve(ctx context.Context, tree *view.Tree, port int, started func(address string)) error {
	listener, err := net.Listen("tcp4", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if err != nil {
		return fmt.Errorf("serve the page: %w", err)
	}
	_, at, _ := net.SplitHostPort(listener.Addr().String())
	server := &http.Server{
		Handler:           view.Preview(tree, hosts(at)),
		ReadHeaderTimeout: 10 * time.Second,
	}
	stop := context.AfterFunc(ctx, func() { server.Close() })
	defer stop()
	started("http://127.0.0.1:" + at + "/")
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serve the page: %w", err)
	}
	return nil
}

// hosts are the names that the server is called by; at port 80 browsers leave the port out.
func hosts(port string) []string {
	all := []string{"127.0.0.1:" + port, "localhost:" + port}
	if port == "80" {
		all = append(all, "127.0.0.1", "localhost")
	}
	return all
}

// printCards writes a document a plan.
func printCards(c *cobra.Command, tree *view.Tree, o previewOptions) (err error) {
	plans, editions, err := tree.Plans()
	if err != nil {
		return err
	}
	to := func(string) string { return o.print }
	write := func(_ string, page []byte) error { return store.WriteFile(o.print, page) }
	if filepath.Ext(o.print) == ".html" {
		if len(plans) != 1 {
			return usage("the tree has %d plans, and one file takes one; name a folder", len(plans))
		}
	} else {
		out, openErr := store.Open(o.print)
		if openErr != nil {
			return openErr
		}
		defer func() { err = errors.Join(err, out.Close()) }()
		write = out.Write
		to = func(plan string) string { return filepath.Join(o.print, plan+".html") }
	}
	var damaged []*view.DamagedError
	for i, edition := range editions {
		page, not, err := tree.Print(edition, o.language)
		if err == nil && page != nil {
			err = write(plans[i]+".html", page)
		}
		if err != nil {
			return err
		}
		damaged = append(damaged, not...)
		if page == nil {
			continue
		}
		fmt.Fprintf(c.OutOrStdout(), "wrote %s: the steps of %s\n", to(plans[i]), edition)
		if err := sayUnspoken(c, tree, edition, o.language); err != nil {
			return err
		}
	}
	if len(plans) == 0 {
		fmt.Fprintln(c.OutOrStdout(), "the tree has no plans: nothing was written")
	}
	return leftOut(c, damaged)
}

// sayUnspoken says which languages there are where the one that was asked for is not
// among them.
func sayUnspoken(c *cobra.Command, tree *view.Tree, edition, language string) error {
	if !c.Flags().Changed("language") {
		return nil
	}
	languages, err := tree.Languages(edition)
	if err != nil || view.Speaks(languages, language) {
		return err
	}
	there := "its texts name no language"
	if len(languages) > 0 {
		there = "its languages are " + strings.Join(languages, ", ")
	}
	fmt.Fprintf(c.ErrOrStderr(), "planfold: %s says nothing in %q, %s; each text is printed as it is given first\n", edition, language, there)
	return nil
}

// leftOut names what is not as it was issued.
func leftOut(c *cobra.Command, damaged []*view.DamagedError) error {
	for _, d := range damaged {
		fmt.Fprintln(c.ErrOrStderr(), d)
	}
	if len(damaged) > 0 {
		return &statusError{statusDiffers, fmt.Errorf("%s left out", many(len(damaged), "file"))}
	}
	return nil
}

func exportPage(c *cobra.Command, tree *view.Tree, dir string) (err error) {
	out, err := store.Open(dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	files := 0
	damaged, err := tree.Export(func(name string, data []byte) error {
		files++
		return out.Write(name, data)
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(c.OutOrStdout(), "wrote %s to %s; open %s\n", many(files, "file"), dir, filepath.Join(dir, "index.html"))
	return leftOut(c, damaged)
}
