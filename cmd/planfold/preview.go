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
		return printCards(c, tree, o.print, o.language)
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
func printCards(c *cobra.Command, tree *view.Tree, path, language string) (err error) {
	plans, editions, err := tree.Plans()
	if err != nil {
		return err
	}
	write := func(_ string, page []byte) error { return store.WriteFile(path, page) }
	if filepath.Ext(path) == ".html" {
		if len(plans) != 1 {
			return usage("the tree has %d plans, and one file takes one; name a folder", len(plans))
		}
	} else {
		out, openErr := store.Open(path)
		if openErr != nil {
			return openErr
		}
		defer func() { err = errors.Join(err, out.Close()) }()
		write = out.Write
	}
	var damaged []*view.DamagedError
	for i, edition := range editions {
		page, not, err := tree.Print(edition, language)
		if err == nil && page != nil {
			err = write(plans[i]+".html", page)
		}
		if err != nil {
			return err
		}
		damaged = append(damaged, not...)
	}
	return leftOut(c, damaged)
}

// leftOut names what is not as it was issued.
func leftOut(c *cobra.Command, damaged []*view.DamagedError) error {
	for _, d := range damaged {
		fmt.Fprintln(c.ErrOrStderr(), d)
	}
	if len(damaged) > 0 {
		return &statusError{statusDiffers, fmt.Errorf("%d files were left out", len(damaged))}
	}
	return nil
}

func exportPage(c *cobra.Command, tree *view.Tree, dir string) (err error) {
	out, err := store.Open(dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	damaged, err := tree.Export(out.Write)
	if err != nil {
		return err
	}
	return leftOut(c, damaged)
}
