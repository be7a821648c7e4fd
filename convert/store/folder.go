package store

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
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

// Stream adds a file as it is made, for what is too large to stand in memory, and
// returns its digest.
func (f *Folder) Stream(name string, write func(io.Writer) error) (digest string, err error) {
	path := filepath.Join(f.path, filepath.FromSlash(name))
	err = os.MkdirAll(filepath.Dir(path), 0o777)
	if err == nil {
		digest, err = stream(path, write)
	}
	if err != nil {
		return "", fmt.Errorf("write %q: %w", name, err)
	}
	return digest, nil
}

func stream(path string, write func(io.Writer) error) (string, error) {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return "", err
	}
	h := sha256.New()
	b := bufio.NewWriterSize(io.MultiWriter(file, h), 1<<16)
	if err = write(b); err == nil {
		err = b.Flush()
	}
	return hex.EncodeToString(h.Sum(nil)), errors.Join(err, file.Close())
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

// fewFiles are synced one by one. For more it is quicker to sync the whole file
// system at once, where that can be done: a file each takes a millisecond or more.
const fewFiles = 256

func (f *Folder) syncAll() error {
	var paths []string
	err := filepath.WalkDir(f.path, func(path string, _ os.DirEntry, err error) error {
		paths = append(paths, path)
		return err
	})
	if err != nil {
		return err
	}
	if len(paths) > fewFiles {
		if done, err := syncFileSystem(f.path); done || err != nil {
			return err
		}
	}
	for _, path := range paths {
		if err := syncPath(path); err != nil {
			return err
		}
	}
	return nil
}

// Discard removes the folder in the making; one that was committed is no longer in it.
func (f *Folder) Discard() error { return os.RemoveAll(f.path) }
