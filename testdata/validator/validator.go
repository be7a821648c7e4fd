// Package validator runs the Khronos glTF validator on files that a test wrote.
// It is a Node package, pinned by the lock file beside this file; `npm ci` in this
// folder installs it.
package validator

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
)

// Report is what the validator says of one file.
type Report struct {
	File     string    `json:"file"`
	Errors   int       `json:"errors"`
	Warnings int       `json:"warnings"`
	Infos    int       `json:"infos"`
	Messages []Message `json:"messages"`
	Info     struct {
		DrawCalls int `json:"drawCallCount"`
		Triangles int `json:"totalTriangleCount"`
		Vertices  int `json:"totalVertexCount"`
	} `json:"info"`
}

// Message is one finding; severity 0 is an error, 1 a warning, 2 and 3 are remarks.
type Message struct {
	Code     string `json:"code"`
	Message  string `json:"message"`
	Pointer  string `json:"pointer"`
	Severity int    `json:"severity"`
}

// Run validates the files. Where the validator is not installed the test is
// skipped, or fails under CI=true.
func Run(t testing.TB, files ...string) []Report {
	t.Helper()
	_, here, _, _ := runtime.Caller(0)
	folder := filepath.Dir(here)
	if _, err := os.Stat(filepath.Join(folder, "node_modules")); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the glTF validator is not installed: run npm ci in %s", folder)
		}
		t.Skipf("the glTF validator is not installed: run npm ci in %s", folder)
	}
	out, err := exec.Command("node", append([]string{filepath.Join(folder, "validate.mjs")}, files...)...).Output()
	if err != nil {
		t.Fatalf("run the glTF validator: %v", err)
	}
	var reports []Report
	if err := json.Unmarshal(out, &reports); err != nil {
		t.Fatalf("read the validator's report: %v", err)
	}
	return reports
}

// Clean fails the test for each error and warning in the files, and returns the
// reports.
func Clean(t testing.TB, files ...string) []Report {
	t.Helper()
	reports := Run(t, files...)
	for _, r := range reports {
		for _, m := range r.Messages {
			if m.Severity <= 1 {
				t.Errorf("%s: %s at %s: %s", filepath.Base(r.File), m.Code, m.Pointer, m.Message)
			}
		}
	}
	return reports
}
