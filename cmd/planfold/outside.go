package main

import (
	"os"
	"path/filepath"
)

// outside refuses to write into an issued tree, by whatever way the target leads there.
func outside(tree, target string) error {
	issued, err := os.Stat(tree)
	if err != nil {
		return usage("%w", err)
	}
	at, err := filepath.Abs(target)
	if err != nil {
		return usage("%w", err)
	}
	for _, err = os.Lstat(at); os.IsNotExist(err) && at != filepath.Dir(at); _, err = os.Lstat(at) {
		at = filepath.Dir(at)
	}
	if at, err = filepath.EvalSymlinks(at); err != nil {
		return usage("%q cannot be written: %w", target, err)
	}
	for ; ; at = filepath.Dir(at) {
		if here, err := os.Stat(at); err == nil && os.SameFile(here, issued) {
			return usage("%q is inside the issued tree, which is never changed", target)
		}
		if at == filepath.Dir(at) {
			return nil
		}
	}
}
