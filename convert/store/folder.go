package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// Folder is a folder in the making: it appears under its name whole, or not at all.
type Folder struct {
	store *Store
	path  string
}

// NewFolder begins a folder.
func (s *Store) NewFolder() (*Folder, error) {
	f := &Folder{s, s.temporary()}
	if err := os.Mkdir(f.path, 0o777); err != nil {
		return nil, fmt.Errorf("begin folder: %w", err)
	}
	return f, nil
}

// Write adds a file to the folder. It is synced when the folder is committed, so
// that one that is discarded costs no sync.
func (f *Folder) Write(name string, data []byte) error {
	path := filepath.Join(f.path, filepath.FromSlash(name))
	err := os.MkdirAll(filepath.Dir(path), 0o777)
	if err == nil {
		err = os.WriteFile(path, data, 0o666)
	}
	if err != nil {
		return fmt.Errorf("write %q: %w", name, err)
	}
	return nil
}

// Commit gives the folder its name. Where a folder of that name stands already it
// stays as it is, and this one is left for Discard.
func (f *Folder) Commit(name string) error {
	target := f.store.path(name)
	if _, err := os.Stat(target); err == nil {
		return nil
	}
	err := f.syncAll()
	if err == nil {
		err = os.MkdirAll(filepath.Dir(target), 0o777)
	}
	if err == nil {
		err = os.Rename(f.path, target)
	}
	if err == nil {
		err = errors.Join(syncPath(filepath.Dir(target)), syncPath(filepath.Dir(filepath.Dir(target))))
	}
	if err != nil {
		return fmt.Errorf("commit %q: %w", name, err)
	}
	return nil
}

func (f *Folder) syncAll() error {
	return filepath.WalkDir(f.path, func(path string, _ os.DirEntry, err error) error {
		if err == nil {
			err = syncPath(path)
		}
		return err
	})
}

// Discard removes the folder in the making; one that was committed is no longer in it.
func (f *Folder) Discard() error { return os.RemoveAll(f.path) }
