// Package open finds third-party open data for tests. The data is not part of
// the repository; it stands beside it, in ../shared/data, or where PLANFOLD_DATA
// says.
package open

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// Path is the path of a file or folder of the open data. Where it is absent the
// test is skipped, or fails under CI=true.
func Path(t testing.TB, name string) string {
	t.Helper()
	root := os.Getenv("PLANFOLD_DATA")
	if root == "" {
		_, here, _, _ := runtime.Caller(0)
		root = filepath.Join(filepath.Dir(here), "../../../shared/data")
	}
	p := filepath.Join(root, filepath.FromSlash(name))
	if _, err := os.Stat(p); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("open data %q is not there: %v", name, err)
		}
		t.Skipf("open data %q is not there; set PLANFOLD_DATA to its folder", name)
	}
	return p
}
