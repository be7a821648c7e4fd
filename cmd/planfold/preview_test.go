package main

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/bundle"
	"planfold/convert/view"
)

// served serves a tree until the test ends, and gives its address.
func served(t *testing.T, out string) string {
	t.Helper()
	root, err := os.OpenRoot(out)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	address, ended := make(chan string, 1), make(chan error, 1)
	go func() { ended <- serve(ctx, view.NewTree(root.FS()), 0, func(a string) { address <- a }) }()
	t.Cleanup(func() {
		stop()
		assert.NoError(t, <-ended)
		root.Close()
	})
	return <-address
}

// Every step of the demo is walked to by the button, and drawn.
func TestPreviewWalksTheDemo(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	steps := e.manifest.Steps
	b.do(chromedp.EmulateViewport(1000, 760), chromedp.Navigate(served(t, e.out)))
	for i, s := range steps {
		if i > 0 {
			b.click(".walk .next")
		}
		b.step(s.Folder)
		assert.True(t, strings.Contains(eval[string](b, "document.querySelector('h1').textContent"), s.Title), s.ID)
		picture := b.picture("walk-"+s.Folder, ".canvas")
		assert.Greater(t, shown(picture), 4000, "step %s is blank", s.ID)
		if hasFocus(e.steps[i]) {
			assert.Greater(t, teal(picture), 500, "step %s shows nothing of its own", s.ID)
		}
	}
	assert.True(t, eval[bool](b, "document.querySelector('.walk .next').disabled"))
	b.click(".walk .previous")
	b.step(steps[len(steps)-2].Folder)
	assert.Empty(t, b.said())
}

// hasFocus reports a step with parts of its own in its scene.
func hasFocus(s bundle.Step) bool {
	return s.Scene != nil && slices.ContainsFunc(s.Scene.Nodes, func(n bundle.SceneNode) bool { return n.Role == "focus" && n.Triangles > 0 })
}
