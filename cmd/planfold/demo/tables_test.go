package demo

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"
	"planfold/testdata/open"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// table reads the first block of a table of standard parts: a row of column names
// below its title, then a row a size, up to an empty line.
func table(t *testing.T, name string) map[string]map[string]float64 {
	t.Helper()
	data, err := os.ReadFile(open.Path(t, "fastener-tables/"+name))
	require.NoError(t, err)
	text := strings.ReplaceAll(string(data), "\r\n", "\n")
	block := strings.SplitN(text, "\n\n", 2)[0]
	_, rest, _ := strings.Cut(block, "\n")
	rows, err := csv.NewReader(strings.NewReader(rest)).ReadAll()
	require.NoError(t, err)
	out := map[string]map[string]float64{}
	for _, r := range rows[1:] {
		size := map[string]float64{}
		for i, cell := range r[1:] {
			size[rows[0][i+1]], err = strconv.ParseFloat(cell, 64)
			require.NoError(t, err)
		}
		out[r[0]] = size
	}
	return out
}

// The tables are those of ISO 4014, ISO 4017, ISO 4032 and ISO 7089 as collected
// in the open data (fastener-tables); their column e is not used.
func TestFastenersHaveTheSizesOfTheStandards(t *testing.T) {
	bolt, screw, nut, washer := table(t, "iso4014head.csv"), table(t, "iso4017head.csv"), table(t, "iso4032def.csv"), table(t, "iso7089def.csv")
	for _, f := range []fastener{m6, m8, m10, m12} {
		for _, head := range []map[string]float64{bolt[f.size], screw[f.size]} {
			require.NotNil(t, head, f.size)
			assert.Equal(t, head["k"], f.head, f.size)
			assert.Equal(t, head["s"], f.flats, f.size)
			assert.Equal(t, head["P"], f.pitch, f.size)
		}
		if f.thread > 0 {
			assert.Equal(t, bolt[f.size]["b1"], f.thread, f.size)
		}
		if f.nut > 0 {
			assert.Equal(t, nut[f.size]["m"], f.nut, f.size)
			assert.Equal(t, nut[f.size]["s_nom"], f.flats, f.size)
		}
		w := washer[f.size]
		require.NotNil(t, w, f.size)
		assert.Equal(t, []float64{w["d1_min"], w["d2_max"], w["h"]}, []float64{f.hole, f.rim, f.sheet}, f.size)
	}
}

func TestMeshesHaveTheSizesOfTheFasteners(t *testing.T) {
	out := files(t)
	for _, c := range []struct {
		file         string
		flats        float64
		below, above float64
	}{
		{"bolt-m12x100", m12.flats, 100, m12.head},
		{"bolt-m10x50", m10.flats, 50, m10.head},
		{"bolt-m8x30", m8.flats, 30, m8.head},
		{"bolt-m6x20", m6.flats, 20, m6.head},
		{"nut-m12", m12.flats, 0, m12.nut},
		{"nut-m10", m10.flats, 0, m10.nut},
	} {
		b := readSTL(t, out["geometry/"+c.file+".stl"]).Bounds()
		assert.InDelta(t, c.flats, b.Max[1]-b.Min[1], 1e-4, c.file) // across flats lies along y
		assert.InDelta(t, -c.below, b.Min[2], 1e-4, c.file)
		assert.InDelta(t, c.above, b.Max[2], 1e-4, c.file)
	}
}

// DIN 6885-1 gives for each range of shaft diameters the key's width and height,
// the keyway's depth t1 in the shaft and t2 in the hub. Both are looked for in the
// meshes as the corners of the keyways' floors.
func TestKeysFitTheirShafts(t *testing.T) {
	for _, k := range []struct {
		key, shaft, hub                 string
		diameter, width, height, t1, t2 float64
	}{
		{"8x7x36", "shaft-input", "", 24, 8, 7, 4, 3.3},
		{"14x9x28", "shaft-middle", "wheel-1", 45, 14, 9, 5.5, 3.8},
		{"16x10x45", "shaft-output", "wheel-2", 56, 16, 10, 6, 4.3},
		{"12x8x50", "shaft-output", "", 42, 12, 8, 5, 3.3},
	} {
		b := part3D(t, "key-"+k.key).Bounds()
		assert.InDelta(t, k.width, b.Max[0]-b.Min[0], 1e-4, k.key)
		assert.InDelta(t, k.height, b.Max[1], 1e-4, k.key)
		assert.True(t, hasCorner(part3D(t, k.shaft), k.width/2, k.diameter/2-k.t1), "keyway for %s", k.key)
		if k.hub != "" {
			assert.True(t, hasCorner(part3D(t, k.hub), k.width/2, k.diameter/2+k.t2), "hub for %s", k.key)
		}
	}
}

func part3D(t *testing.T, name string) *solid.Solid {
	t.Helper()
	return readSTL(t, files(t)["geometry/"+name+".stl"])
}

func hasCorner(s *solid.Solid, x, y float64) bool {
	return slices.ContainsFunc(s.Points, func(p mesh.Vec) bool {
		return math.Abs(p[0]-x) < 1e-4 && math.Abs(p[1]-y) < 1e-4
	})
}
