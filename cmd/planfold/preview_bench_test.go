package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"planfold/convert/store"
)

const longSteps = 500

// BenchmarkPreview opens an edition of 500 steps in a browser that has just been started,
// until its list stands and its first step is drawn, and then walks from step to step.
func BenchmarkPreview(b *testing.B) {
	address := served(b, longer(b, demoEdition(b)))
	var opened, walked float64
	const walk = 20
	for b.Loop() {
		tab := openBrowser(b)
		drawn := func(i int) float64 {
			tab.step(longStep(i))
			return eval[float64](tab, "performance.now()")
		}
		tab.do(chromedp.Navigate(address))
		opened += drawn(0)
		require.Equal(b, longSteps, eval[int](tab, "document.querySelectorAll('.steps li').length"))
		for i := range walk {
			tab.do(chromedp.Sleep(500e6)) // a reader looks at the step, and the page reads ahead
			tab.click(".walk .next")
			drawn(i + 1)
			walked += eval[float64](tab, "Number(document.querySelector('.edition').dataset.took)")
		}
	}
	b.ReportMetric(opened/float64(b.N), "ms-to-open")
	b.ReportMetric(walked/float64(b.N)/walk, "ms-a-step")
}

func longStep(i int) string { return fmt.Sprintf("step-%d", i) }

// longer makes an edition of 500 steps of those of another one, in a folder of its own, of
// which nothing but the preview is asked.
func longer(t testing.TB, of edition) (out string) {
	t.Helper()
	out = t.TempDir()
	require.NoError(t, os.CopyFS(out, os.DirFS(of.out)))
	folder := strings.TrimPrefix(of.folder, of.out+"/")
	steps, manifest := of.manifest.Steps, of.manifest
	manifest.Steps = nil
	sums, err := os.ReadFile(filepath.Join(out, folder, "SHA256SUMS"))
	require.NoError(t, err)
	for i := range longSteps {
		s := steps[i%len(steps)]
		from := filepath.Join(of.folder, "steps", s.Folder)
		s.Folder, s.Sequence, s.Predecessors = longStep(i), i+1, nil
		manifest.Steps = append(manifest.Steps, s)
		to := folder + "/steps/" + s.Folder
		require.NoError(t, os.CopyFS(filepath.Join(out, to), os.DirFS(from)))
		for _, name := range []string{"step.json", "scene.gltf"} {
			if content, err := os.ReadFile(filepath.Join(from, name)); err == nil {
				sums = fmt.Appendf(sums, "%s  %s/%s\n", store.Digest(content), to, name)
			}
		}
	}
	text, err := json.Marshal(manifest)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(out, folder, "bundle.json"), text, 0o644))
	sums = fmt.Appendf(sums, "%s  %s/bundle.json\n", store.Digest(text), folder)
	require.NoError(t, os.WriteFile(filepath.Join(out, folder, "SHA256SUMS"), sums, 0o644))
	return out
}
