package scene

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/raster"
	"planfold/convert/store"
	"planfold/convert/sweep"
)

// What a run keeps is taken by the next one as long as the version in its key is the same.
func TestVersionsAreRaisedWithWhatIsKept(t *testing.T) {
	full := chest(0.01) // of what is ever larger, some of it seen through the hole
	for i := range 16 {
		id, size := fmt.Sprint("grain-", i), 0.0004*float64(i+1)
		full.Library[id] = []Shape{{Ladder: block(mesh.Vec{}, mesh.Vec{size, size, size}), Transform: mesh.Identity()}}
		full.Plan.Structure[""] = append(full.Plan.Structure[""], occurrence("", id, id, at(0.005*float64(i)-0.04, 0.02, 0.05)))
		full.Present = append(full.Present, id)
	}
	full.Structure, _ = Expand(full.Plan, "")
	p, lib := press()
	s := boltStep(p)
	s.View = text("")
	s.Parts[0].Occurrences = texts("bolt-1", "bolt-2", "bolt-3", "bolt-4", "head-2")
	bolting := seeing(input(p, lib, s))
	bolting.Present = []string{"plate-1", "head-1"}
	got := map[string]string{}
	note := func(kind string, data []byte) { got[kind] += " " + store.Digest(data)[:8] }
	for _, in := range []Input{full, bolting} {
		in.Once = func(key string, v any, make func()) {
			make()
			if leaves, ok := v.(*[]sweep.Leave); ok {
				for i := range *leaves { // fixtures are off by some last digits on other machines
					l := &(*leaves)[i]
					l.Distance = math.Round(l.Distance*1e6) / 1e6
				}
			}
			data, err := json.Marshal(v)
			require.NoError(t, err)
			note(strings.Join(strings.Fields(key)[:2], " "), data)
		}
		data, err := Build(in).Picture().PNG()
		require.NoError(t, err)
		img, err := png.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		note("picture "+raster.Version, img.(*image.Paletted).Pix)
	}
	require.Equal(t, map[string]string{
		"enclosed 1": " 058e852a",
		"motion 2":   " 099d3baa 38f35d77",
		"picture 5":  " a8878a37 3c460284",
	}, got, "raise the version of what differs, then write down here what is new")
}
