// Package store is the only writer to disk: content-addressed blobs, folders that
// appear whole, files replaced whole, a cache that may vanish.
//
// Everything is written beside its target, synced, closed and renamed, so that a
// process killed at any instant leaves either the old or the new, never a part.
// What a killed run left in the making is swept away when the store is opened
// again. One process writes at a time: the folder is locked.
package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
	"syscall"
)

const (
	making   = ".making" // what is being written; swept on open
	lockName = ".lock"

	cacheName = ".cache"
)

// Store writes below one folder.
type Store struct {
	root  string
	lock  *os.File
	made  []string     // folders that Open made, innermost first
	count atomic.Int64 // numbers temporary files
}

// Open makes the folder if need be, locks it and sweeps what a killed run left.
// Where another process holds the lock the error is a *LockedError.
func Open(root string) (*Store, error) {
	made := absent(root)
	if err := os.MkdirAll(root, 0o777); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	lock, err := takeLock(filepath.Join(root, lockName))
	if err != nil {
		return nil, err
	}
	s := &Store{root: root, lock: lock, made: made}
	err = os.RemoveAll(s.path(making))
	if err == nil {
		err = os.Mkdir(s.path(making), 0o777)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("sweep store: %w", err), lock.Close())
	}
	return s, nil
}

// Close gives the lock back. The lock file stays, empty: removing it would let
// two processes hold a lock of one name.
func (s *Store) Close() error {
	os.Remove(filepath.Join(s.root, making))
	return errors.Join(s.lock.Truncate(0), s.lock.Close())
}

// absent are the folders of a path that are not there, innermost first.
func absent(path string) []string {
	var out []string
	for path = filepath.Clean(path); ; path = filepath.Dir(path) {
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			return out
		}
		if out = append(out, path); filepath.Dir(path) == path {
			return out
		}
	}
}

// Forget removes what Open made: where the folder was not there before, its cache, its
// lock, and then the folders, as far as nothing else stands in them. Close comes after it.
func (s *Store) Forget() error {
	if len(s.made) == 0 {
		return nil
	}
	for _, name := range []string{cacheName, making, lockName} {
		if err := os.RemoveAll(s.path(name)); err != nil {
			return fmt.Errorf("forget: %w", err)
		}
	}
	for _, dir := range s.made {
		if os.Remove(dir) != nil {
			return nil // something else stands in it
		}
	}
	return nil
}

// FS reads the folder.
func (s *Store) FS() fs.FS { return os.DirFS(s.root) }

func (s *Store) path(name string) string { return filepath.Join(s.root, filepath.FromSlash(name)) }

func (s *Store) temporary() string {
	return filepath.Join(s.root, making, fmt.Sprint(s.count.Add(1)))
}

// Write replaces the named file whole. A file that has these bytes already is left alone.
func (s *Store) Write(name string, data []byte) error {
	if old, err := os.ReadFile(s.path(name)); err == nil && string(old) == string(data) {
		return nil
	}
	return s.place(name, data)
}

// Stream replaces the named file whole by what write makes, for what is too large to
// stand in memory.
func (s *Store) Stream(name string, write func(io.Writer) error) error {
	tmp := s.temporary()
	_, err := stream(tmp, write)
	if err == nil {
		err = syncPath(tmp)
	}
	if err == nil {
		err = os.Rename(tmp, s.path(name))
	}
	if err == nil {
		err = syncPath(filepath.Dir(s.path(name)))
	}
	if err != nil {
		os.Remove(tmp)
		return fmt.Errorf("write %q: %w", name, err)
	}
	return nil
}

func (s *Store) place(name string, data []byte) error {
	target := s.path(name)
	err := os.MkdirAll(filepath.Dir(target), 0o777)
	if err == nil {
		err = replace(target, s.temporary(), data)
	}
	if err != nil {
		return fmt.Errorf("write %q: %w", name, err)
	}
	return nil
}

// replace writes the temporary file and gives it the target's name.
func replace(target, tmp string, data []byte) error {
	err := writeSynced(tmp, data)
	if err == nil {
		err = os.Rename(tmp, target)
	}
	if err != nil {
		os.Remove(tmp)
		return err
	}
	return syncPath(filepath.Dir(target))
}

// BlobName is where a blob of that digest and extension (without dot) stands.
func BlobName(digest, ext string) string {
	return "blobs/" + digest[:2] + "/" + digest + "." + ext
}

// Digest is the SHA-256 of data, hexadecimal.
func Digest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// DigestOf is the SHA-256 of all that r holds, hexadecimal, and its size.
func DigestOf(r io.Reader) (digest string, bytes int64, err error) {
	h := sha256.New()
	bytes, err = io.Copy(h, r)
	return hex.EncodeToString(h.Sum(nil)), bytes, err
}

// HasBlob reports whether the blob is there with that size.
func (s *Store) HasBlob(digest, ext string, size int64) bool {
	info, err := os.Stat(s.path(BlobName(digest, ext)))
	return err == nil && info.Size() == size
}

// PutBlob stores data under its digest, once. A blob in place is never rewritten.
func (s *Store) PutBlob(digest, ext string, data []byte) error {
	if s.HasBlob(digest, ext, int64(len(data))) {
		return nil
	}
	return s.place(BlobName(digest, ext), data)
}

// Free is the space left for writing below the folder, in bytes.
func (s *Store) Free() (uint64, error) { return freeSpace(s.root) }

func writeSynced(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Sync(), f.Close())
}

func syncPath(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, syscall.EINVAL) {
		err = nil // a file system that cannot sync folders
	}
	return errors.Join(err, d.Close())
}

// WriteFile replaces one file anywhere, whole: what commands write besides a tree.
func WriteFile(path string, data []byte) error {
	if err := replace(path, path+making, data); err != nil {
		return fmt.Errorf("write: %w", err)
	}
	return nil
}

// StreamFile replaces one file anywhere by what write makes, if check accepts it as it was
// written.
func StreamFile(path string, write func(io.Writer) error, check func(io.ReaderAt, int64) error) error {
	tmp := path + making
	_, err := stream(tmp, write)
	if err == nil {
		err = checked(tmp, check)
	}
	if err == nil {
		err = os.Rename(tmp, path)
	}
	if err != nil {
		os.Remove(tmp)
		return fmt.Errorf("write: %w", err)
	}
	return syncPath(filepath.Dir(path))
}

// checked reads a file again, and has it on the disk.
func checked(path string, check func(io.ReaderAt, int64) error) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err == nil {
		err = check(f, info.Size())
	}
	if err == nil {
		err = f.Sync()
	}
	return err
}
