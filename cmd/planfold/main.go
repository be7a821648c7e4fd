// Command planfold turns process plans into per-step work-instruction bundles.
//
// This package holds flags, signals and exit statuses, and wires the rules into
// the run; each command has a file.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"github.com/spf13/cobra"

	"planfold/convert/bundle"
)

// Exit statuses, the same for every command.
const (
	statusDone    = 0
	statusMachine = 1 // could not run: machine, disk, lock
	statusUsage   = 2 // wrong usage, or rules that do not compile
	statusLeftOut = 3 // finished, but something was left out or held
	statusDiffers = 4 // what was checked is damaged, differs or is not as expected
)

// version is part of what an edition says of its making.
const version = "0.1.0"

var tool = bundle.Tool{Name: "planfold", Version: version}

// statusError ends the program with a status; a nil cause prints nothing more.
type statusError struct {
	status int
	cause  error
}

func (e *statusError) Error() string { return fmt.Sprint(e.cause) }
func (e *statusError) Unwrap() error { return e.cause }

func usage(format string, args ...any) error {
	return &statusError{statusUsage, fmt.Errorf(format, args...)}
}

func main() {
	lean()
	os.Exit(run(os.Args[1:]))
}

// lean keeps memory down: most of what a run holds it holds to the end, so that a
// smaller share of garbage costs little time. GOGC in the environment wins.
func lean() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(75)
	}
}

// run is main without the exit, so that tests can call it.
func run(args []string) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	root := rootCommand()
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return statusDone
	}
	var s *statusError
	if !errors.As(err, &s) {
		s = &statusError{statusMachine, err}
	}
	if s.cause != nil {
		fmt.Fprintln(os.Stderr, "planfold: "+s.cause.Error())
	}
	return s.status
}

func rootCommand() *cobra.Command {
	root := &cobra.Command{
		Use:   "planfold",
		Short: "Turn process plans into per-step work-instruction bundles",
		Long: "planfold turns a process plan exported as XML, with its CAD geometry and\n" +
			"attachments, into light, per-step work-instruction bundles, by rules.",
		SilenceUsage: true, SilenceErrors: true, Version: version,
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: true},
		Args:              func(_ *cobra.Command, args []string) error { return unknownCommand(args) },
		RunE:              func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetHelpTemplate(helpPage)
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return usage("%w; see planfold %s --help", err, c.Name())
	})
	root.AddCommand(convertCommand(), checkCommand(), explainCommand(), diffCommand(), verifyCommand(), reduceCommand(), packCommand(), tryCommand(), previewCommand(), demoCommand())
	return root
}

func unknownCommand(args []string) error {
	if len(args) > 0 {
		return usage("there is no command %q; see planfold --help", args[0])
	}
	return nil
}

// statuses ends a command's help.
func statuses(lines string) map[string]string { return map[string]string{"statuses": lines} }

const helpPage = `{{with or .Long .Short}}{{.}}

{{end}}{{.UsageString}}{{with .Annotations.statuses}}
Exit status:
{{.}}
{{end}}`

// exactly refuses any other number of arguments, naming what is wanted.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) != n {
			return usage("%s takes %s; see planfold %s --help", c.Name(), what, c.Name())
		}
		return nil
	}
}
