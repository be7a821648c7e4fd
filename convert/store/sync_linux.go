package store

import (
	"os"

	"golang.org/x/sys/unix"
)

// syncFileSystem syncs all that was written to the file system of a folder.
func syncFileSystem(path string) (done bool, err error) {
	d, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer d.Close()
	err = unix.Syncfs(int(d.Fd()))
	if err == unix.ENOSYS {
		return false, nil
	}
	return true, err
}
