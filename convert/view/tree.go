package view

import (
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"
	"sync"

	"planfold/convert/bundle"
)

// Tree reads an issued tree: the files that it lists, and of those only what is as it
// was issued. It may be used by several goroutines.
type Tree struct {
	fs     fs.FS
	mutex  sync.Mutex
	sums   map[string]string // digest by path, of the editions read so far
	read   map[string]bool   // editions by folder
	intact map[string]fs.FileInfo
}

// NewTree reads the tree in folder.
func NewTree(folder fs.FS) *Tree {
	return &Tree{fs: folder, sums: map[string]string{}, read: map[string]bool{}, intact: map[string]fs.FileInfo{}}
}

// DamagedError says that a listed file is missing or is not what was issued.
type DamagedError struct{ Name, What string }

func (e *DamagedError) Error() string { return fmt.Sprintf("%q %s", e.Name, e.What) }

// Open opens a listed file and gives its digest. A file that nothing lists is
// fs.ErrNotExist, one that is not as it was issued a *DamagedError.
func (t *Tree) Open(name string) (file fs.File, digest string, err error) {
	if name != "catalog.json" {
		if digest, err = t.digestOf(name); err != nil {
			return nil, "", err
		}
	}
	file, err = t.fs.Open(name)
	if err != nil && digest != "" {
		return nil, "", &DamagedError{name, "is missing or cannot be read"}
	}
	if err != nil {
		return nil, "", err
	}
	if digest != "" {
		if err := t.check(file, name, digest); err != nil {
			file.Close()
			return nil, "", err
		}
	}
	return file, digest, nil
}

// ReadFile is a listed file's content.
func (t *Tree) ReadFile(name string) ([]byte, error) {
	f, _, err := t.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}

// check holds a file against its digest, once for as long as it stays unchanged, and
// leaves it at its beginning.
func (t *Tree) check(file fs.File, name, want string) error {
	info, err := file.Stat()
	if err != nil {
		return err
	}
	t.mutex.Lock()
	before := t.intact[name]
	t.mutex.Unlock()
	if before != nil && before.Size() == info.Size() && before.ModTime().Equal(info.ModTime()) {
		return nil
	}
	if err := bundle.Intact(file, want); err != nil {
		return &DamagedError{name, err.Error()}
	}
	t.mutex.Lock()
	t.intact[name] = info
	t.mutex.Unlock()
	_, err = file.(io.Seeker).Seek(0, io.SeekStart)
	return err
}

// digestOf finds the digest that an edition lists for a file. A blob belongs to any of
// them, so that editions are read until one lists it.
func (t *Tree) digestOf(name string) (string, error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if digest, known := t.sums[name]; known {
		return digest, nil
	}
	catalog, err := bundle.ReadCatalog(t.fs)
	if err != nil {
		return "", err
	}
	for _, folder := range editionsOf(catalog) {
		if t.read[folder] || !strings.HasPrefix(name, "blobs/") && !strings.HasPrefix(name, folder+"/") {
			continue
		}
		t.read[folder] = true
		t.readSums(folder)
		if digest, known := t.sums[name]; known {
			return digest, nil
		}
	}
	return "", &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// readSums takes in what an edition lists. Without SHA256SUMS it lists nothing.
func (t *Tree) readSums(folder string) []string {
	text, err := fs.ReadFile(t.fs, path.Join(folder, "SHA256SUMS"))
	if err != nil {
		return nil
	}
	var names []string
	for name, digest := range bundle.Listed(string(text)) {
		if digest != "" && (strings.HasPrefix(name, folder+"/") || strings.HasPrefix(name, "blobs/")) {
			t.sums[name] = digest
			names = append(names, name)
		}
	}
	return names
}

func editionsOf(c *bundle.Catalog) []string {
	var folders []string
	for _, p := range c.Plans {
		for _, e := range p.Editions {
			folders = append(folders, "plans/"+p.Folder+"/"+e.Folder)
		}
	}
	return folders
}
