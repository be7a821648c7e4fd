package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/step"
	"planfold/testdata/large"
)

const neutralRules = "../../testdata/dialects/neutral/rules.yaml"

// mapPlan maps a plan without geometry, and counts its steps.
func mapPlan(t testing.TB, open func() (io.ReadCloser, error)) (steps int) {
	t.Helper()
	set, err := compileRules([]string{neutralRules})
	require.NoError(t, err)
	p, list, err := convert.Map(set, convert.Source{Base: "plan.xml", Open: open}, func(_ *step.Plan, o *step.Operation) error {
		steps += len(o.Steps)
		return nil
	})
	require.NoError(t, err)
	require.NotNil(t, p)
	require.Empty(t, list)
	return steps
}

func TestLargePlanMapsWithoutADiagnostic(t *testing.T) {
	var plan bytes.Buffer
	require.NoError(t, large.Write(&plan, large.Size{Items: 400, Assemblies: 4, Operations: 40, Steps: 10}))
	open := func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(plan.Bytes())), nil }
	require.Equal(t, 400, mapPlan(t, open))
}

// TestMapInAProcessOfItsOwn is the child of BenchmarkMapLargePlan.
func TestMapInAProcessOfItsOwn(t *testing.T) {
	name := os.Getenv("PLANFOLD_MAP")
	if name == "" {
		t.Skip("a part of BenchmarkMapLargePlan")
	}
	lean()
	require.Equal(t, large.Huge.Operations*large.Huge.Steps, mapPlan(t, func() (io.ReadCloser, error) { return os.Open(name) }))
}

// BenchmarkMapLargePlan maps a plan of 200 MB on one core, in a process of its own,
// and holds its processor time against that of xmllint (libxml2), which only parses
// the same file as a stream.
func BenchmarkMapLargePlan(b *testing.B) {
	name := filepath.Join(b.TempDir(), "plan.xml")
	f, err := os.Create(name)
	require.NoError(b, err)
	require.NoError(b, large.Write(f, large.Huge))
	require.NoError(b, f.Close())
	for b.Loop() {
		child := exec.Command(os.Args[0], "-test.run=^TestMapInAProcessOfItsOwn$")
		child.Env = append(os.Environ(), "GOMAXPROCS=1", "PLANFOLD_MAP="+name)
		ours, peak := spent(b, child)
		b.ReportMetric(ours, "s")
		b.ReportMetric(peak, "peak-MB")
		if xmllint, err := exec.LookPath("xmllint"); err == nil {
			theirs, _ := spent(b, exec.Command(xmllint, "--stream", "--noout", name))
			b.ReportMetric(theirs, "xmllint-s")
			b.ReportMetric(ours/theirs, "x-xmllint")
		}
	}
}

// spent runs a command and returns the seconds of processor time that it took, and
// its largest resident set.
func spent(b *testing.B, c *exec.Cmd) (seconds, megabytes float64) {
	b.Helper()
	out, err := c.CombinedOutput()
	require.NoError(b, err, "%s", out)
	used := c.ProcessState.SysUsage().(*syscall.Rusage)
	return (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds(), float64(used.Maxrss) * 1024 / 1e6
}
