package convert

import (
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/bundle"
	"planfold/convert/raster"
	"planfold/convert/scene"
)

// A picture that was drawn of another scene, from elsewhere or by another program is never
// taken.
func TestKeyOfAPictureSeesAll(t *testing.T) {
	width, seen := 960, map[string]bool{}
	doc := &bundle.Step{Scene: &bundle.Scene{SHA256: "abc"}}
	built := &scene.Scene{Aim: "from here", Nodes: []scene.Node{{Name: "a", Role: scene.Focus}, {Name: "b", Role: scene.Context}}}
	for _, change := range []func(){
		func() {},
		func() { width = 480 },
		func() { doc.Scene.SHA256 = "abd" },
		func() { built.Aim = "from there" },
		func() { built.Nodes[1].Role = scene.Focus },
		func() { built.Nodes[0].Name = "c" },
		func() { built.Nodes = built.Nodes[:1] },
	} {
		change()
		key := stepPictureKey(doc, built, width, 720)
		require.False(t, seen[key], key)
		seen[key] = true
	}
	key := stepPictureKey(doc, built, 7, 11)
	require.True(t, strings.HasPrefix(key, "picture "+raster.Version+" "+runtime.Version()+" 7 11\n"), key)
}
