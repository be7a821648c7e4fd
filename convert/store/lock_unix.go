//go:build unix

package store

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"golang.org/x/sys/unix"
)

// LockedError says that another process writes to the folder.
type LockedError struct {
	Path   string
	Holder string // what the holder wrote of itself, "process 123"
}

func (e *LockedError) Error() string {
	return fmt.Sprintf("%q is in use by %s; wait for it to end", e.Path, e.Holder)
}

// takeLock locks the file for this process. The kernel gives the lock back when
// the process ends, however it ends.
func takeLock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, fmt.Errorf("lock: %w", err)
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		defer f.Close()
		if !errors.Is(err, unix.EWOULDBLOCK) {
			return nil, fmt.Errorf("lock %q: %w", path, err)
		}
		holder, _ := os.ReadFile(path)
		return nil, &LockedError{path, strings.TrimSpace("another run, " + string(holder))}
	}
	err = f.Truncate(0)
	if err == nil {
		_, err = fmt.Fprintf(f, "process %d\n", os.Getpid())
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("lock %q: %w", path, err), f.Close())
	}
	return f, nil
}

func freeSpace(path string) (uint64, error) {
	var st unix.Statfs_t
	if err := unix.Statfs(path, &st); err != nil {
		return 0, fmt.Errorf("free space of %q: %w", path, err)
	}
	return st.Bavail * uint64(st.Bsize), nil
}
