package view

import (
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"

	"planfold/convert/bundle"
)

// Export writes the page with all that the tree lists, so that it opens from a disk. A
// browser lets a page from a disk read no file but scripts and pictures: what the page
// reads itself stands in scripts that hand it over. Files that are not as they were
// issued are left out and returned.
func (t *Tree) Export(write func(name string, data []byte) error) (damaged []*DamagedError, err error) {
	for _, name := range []string{"index.html", "page.js", "page.css"} {
		data, err := site.ReadFile("site/" + name)
		if err == nil {
			err = write(name, data)
		}
		if err != nil {
			return nil, fmt.Errorf("export the page: %w", err)
		}
	}
	names, err := t.names()
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		var not *DamagedError
		err := t.exportFile(name, write)
		if errors.As(err, &not) {
			damaged = append(damaged, not)
		} else if err != nil {
			return nil, err
		}
	}
	return damaged, nil
}

// names are all files of the tree that the page shows, each once.
func (t *Tree) names() ([]string, error) {
	catalog, err := bundle.ReadCatalog(t.fs)
	if err != nil {
		return nil, err
	}
	names, seen := []string{"catalog.json"}, map[string]bool{}
	for _, folder := range editionsOf(catalog) {
		for _, name := range t.readSums(folder) {
			if !seen[name] {
				seen[name] = true
				names = append(names, name)
			}
		}
	}
	return names, nil
}

func (t *Tree) exportFile(name string, write func(string, []byte) error) error {
	data, err := t.ReadFile(name)
	if err != nil {
		return damage(name, err)
	}
	switch path.Ext(name) {
	case ".json", ".gltf", ".bin":
		quoted, err := json.Marshal(name)
		if err != nil {
			return fmt.Errorf("export %q: %w", name, err)
		}
		name, data = name+".js", fmt.Appendf(nil, "planfold(%s,\"%s\")\n", quoted, base64.StdEncoding.EncodeToString(data))
	}
	return write("tree/"+name, data)
}

// damage is why a file that an edition refers to cannot be shown.
func damage(name string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return &DamagedError{name, "is missing"}
	}
	return err
}
