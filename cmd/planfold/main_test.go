package main

import (
	"errors"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(cleaning{m}, map[string]func(){"planfold": main})
}

// cleaning removes the shared conversions when all tests are done.
type cleaning struct{ *testing.M }

func (c cleaning) Run() int {
	defer func() {
		for _, dir := range kept {
			os.RemoveAll(dir)
		}
	}()
	return c.M.Run()
}

var editions = map[string]edition{}

// shared makes a conversion once. Its folder goes when all tests are done,
// not with the first that asked for it.
func shared(t testing.TB, name string, convert func(out string) edition) edition {
	t.Helper()
	if e, ok := editions[name]; ok {
		return e
	}
	out, err := os.MkdirTemp("", "planfold-"+name)
	if err != nil {
		t.Fatal(err)
	}
	kept = append(kept, out)
	editions[name] = convert(out)
	return editions[name]
}

var kept []string // folders to remove at the end

func TestCommands(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:             "testdata/script",
		UpdateScripts:   os.Getenv("UPDATE") != "",
		ContinueOnError: true,
		Cmds:            map[string]func(*testscript.TestScript, bool, []string){"status": checkStatus},
	})
}

// checkStatus runs a command and asserts its exit status: status 3 planfold …
func checkStatus(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N command …")
	}
	err := ts.Exec(args[1], args[2:]...)
	if got := exitCode(err); got != args[0] {
		ts.Fatalf("exit status %s, want %s: %v", got, args[0], err)
	}
}

func exitCode(err error) string {
	if err == nil {
		return "0"
	}
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return strconv.Itoa(exit.ExitCode())
	}
	return err.Error()
}
