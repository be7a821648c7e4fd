package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const root = "../.."

// floors orders the folders: a package imports its own folder and lower ones.
var floors = []string{"schema", "convert", "rules", "cmd"}

// parsedFile is one file of the program, parsed. Test files are left out.
type parsedFile struct {
	folder string // from the root, with slashes
	file   *ast.File
	lines  int
	name   string
}

func parsed(t *testing.T) []parsedFile {
	t.Helper()
	var out []parsedFile
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && name != root) {
			return cmpOr(err, fs.SkipDir)
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, text, parser.ParseComments|parser.SkipObjectResolution)
		rel, _ := filepath.Rel(root, name)
		out = append(out, parsedFile{path.Dir(filepath.ToSlash(rel)), f, strings.Count(string(text), "\n"), rel})
		return err
	})
	require.NoError(t, err)
	require.NotEmpty(t, out)
	return out
}

func cmpOr(err, other error) error {
	if err != nil {
		return err
	}
	return other
}

func floor(folder string) int {
	top, _, _ := strings.Cut(folder, "/")
	return slices.Index(floors, top)
}

func imports(f *ast.File) []string {
	var out []string
	for _, i := range f.Imports {
		out = append(out, strings.Trim(i.Path.Value, `"`))
	}
	return out
}

func TestImportsPointDown(t *testing.T) {
	for _, s := range parsed(t) {
		for _, i := range imports(s.file) {
			if to, ours := strings.CutPrefix(i, "planfold/"); ours {
				assert.GreaterOrEqual(t, floor(s.folder), floor(to), "%s imports %s", s.name, i)
			}
		}
	}
}

// What touches the machine has one room each.
func TestMachineIsTouchedInOnePlace(t *testing.T) {
	allowed := map[string][]string{
		"os":                          {"cmd/planfold", "convert/store"},
		"path/filepath":               {"cmd/planfold", "convert/store"},
		"net":                         {"cmd/planfold"},
		"os/exec":                     {},
		"math/rand":                   {},
		"math/rand/v2":                {},
		"golang.org/x/sync/errgroup":  {"convert"},
		"golang.org/x/sync/semaphore": {"convert"},
		"planfold/rules":              {"cmd/planfold"},
		"unsafe":                      {},
	}
	for _, s := range parsed(t) {
		for _, i := range imports(s.file) {
			if folders, limited := allowed[i]; limited {
				assert.Contains(t, folders, s.folder, "%s imports %s", s.name, i)
			}
		}
	}
}

func TestOnlyTheRunStartsGoroutines(t *testing.T) {
	for _, s := range parsed(t) {
		ast.Inspect(s.file, func(n ast.Node) bool {
			if _, starts := n.(*ast.GoStmt); starts {
				assert.Contains(t, []string{"convert", "cmd/planfold"}, s.folder, "%s starts a goroutine", s.name)
			}
			return true
		})
	}
}

func TestNoFileIsTooLong(t *testing.T) {
	for _, s := range parsed(t) {
		assert.LessOrEqual(t, s.lines, 700, "%s: one concept a file", s.name)
	}
}

func TestEachPackageOpensWithItsComment(t *testing.T) {
	documented := map[string]bool{}
	for _, s := range parsed(t) {
		documented[s.folder] = documented[s.folder] || s.file.Doc != nil
	}
	for folder, ok := range documented {
		assert.True(t, ok, "package %s has no package comment", folder)
	}
}
