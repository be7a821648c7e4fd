package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"planfold/convert"
)

// folders opens each input folder once. An os.Root refuses what leads out of it,
// symbolic links included.
type folders map[string]*convert.Folder

func (f folders) open(dir string) (*convert.Folder, error) {
	if known, ok := f[dir]; ok {
		return known, nil
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, usage("open input folder: %w", err)
	}
	f[dir] = &convert.Folder{Name: dir, FS: root.FS()}
	return f[dir], nil
}

// sources turns the arguments into plans. Geometry and attachments are looked for
// below the given folders, or else below the plan's own.
func sources(args []string, geometry, attachments string, stdin io.Reader) ([]convert.Source, error) {
	open := folders{}
	seen := map[string]bool{}
	var out []convert.Source
	for _, arg := range args {
		names, err := planFiles(arg)
		if err != nil {
			return nil, err
		}
		for _, name := range names {
			if seen[filepath.Clean(name)] {
				continue // given twice
			}
			seen[filepath.Clean(name)] = true
			s, err := source(name, stdin)
			if err != nil {
				return nil, err
			}
			if s.Geometry, err = open.open(orFolderOf(geometry, name)); err != nil {
				return nil, err
			}
			if s.Attachments, err = open.open(orFolderOf(attachments, name)); err != nil {
				return nil, err
			}
			out = append(out, s)
		}
	}
	return out, nil
}

func orFolderOf(dir, name string) string {
	switch {
	case dir != "":
		return dir
	case name == "-":
		return "."
	}
	return filepath.Dir(name)
}

// planFiles lists the XML files that an argument means, in order.
func planFiles(arg string) ([]string, error) {
	if arg == "-" {
		return []string{arg}, nil
	}
	info, err := os.Stat(arg)
	if err != nil {
		return nil, usage("%w", err)
	}
	if !info.IsDir() {
		return []string{arg}, nil
	}
	var names []string
	entries, err := os.ReadDir(arg)
	if err != nil {
		return nil, fmt.Errorf("read plans: %w", err)
	}
	for _, e := range entries {
		if !e.IsDir() && strings.EqualFold(filepath.Ext(e.Name()), ".xml") {
			names = append(names, filepath.Join(arg, e.Name()))
		}
	}
	if len(names) == 0 {
		return nil, usage("folder %q holds no .xml file", arg)
	}
	return names, nil
}

func source(name string, stdin io.Reader) (convert.Source, error) {
	if name != "-" {
		return convert.Source{Name: name, Base: filepath.Base(name), Open: func() (io.ReadCloser, error) { return os.Open(name) }}, nil
	}
	data, err := io.ReadAll(stdin)
	if err != nil {
		return convert.Source{}, fmt.Errorf("read standard input: %w", err)
	}
	return convert.Source{Name: "standard input", Base: "stdin.xml", Open: func() (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(data)), nil
	}}, nil
}
