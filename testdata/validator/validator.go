// Package validator runs the Khronos glTF validator, and readers of glTF that are
// not ours, on files that a test wrote. They are Node packages, pinned by the lock
// file beside this file; `npm ci` in this folder installs them.
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
	return run[Report](t, "gltf-validator", "validate.mjs", files)
}

// Reading is what meshoptimizer's decoder and three.js make of one file.
type Reading struct {
	File      string     `json:"file"`
	Views     []string   `json:"views"`     // SHA-256 of each compressed view, unpacked
	Triangles int        `json:"triangles"` // drawn
	Min       [3]float64 `json:"min"`       // of what is drawn
	Max       [3]float64 `json:"max"`
	Clips     []Clip     `json:"clips"`
}

// Clip is an animation as three.js plays it: how far nodes travel, and how far they end
// from where the scene has them.
type Clip struct {
	Name    string  `json:"name"`
	Seconds float64 `json:"seconds"`
	Travel  float64 `json:"travel"`
	Off     float64 `json:"off"`
}

// Read has the files read; it skips or fails as Run.
func Read(t testing.TB, files ...string) []Reading {
	t.Helper()
	return run[Reading](t, "three", "read.mjs", files)
}

func run[R any](t testing.TB, module, script string, files []string) []R {
	t.Helper()
	_, here, _, _ := runtime.Caller(0)
	folder := filepath.Dir(here)
	if _, err := os.Stat(filepath.Join(folder, "node_modules", module)); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is not installed: run npm ci in %s", module, folder)
		}
		t.Skipf("%s is not installed: run npm ci in %s", module, folder)
	}
	c := exec.Command("node", append([]string{filepath.Join(folder, script)}, files...)...)
	c.Stderr = os.Stderr
	out, err := c.Output()
	if err != nil {
		t.Fatalf("run %s: %v", script, err)
	}
	var reports []R
	if err := json.Unmarshal(out, &reports); err != nil {
		t.Fatalf("read the report of %s: %v", script, err)
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
