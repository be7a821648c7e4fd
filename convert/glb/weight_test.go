package glb

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	source "planfold/convert/geometry"
	"planfold/convert/mesh"
	"planfold/convert/reduce"
)

// BenchmarkWeight compares the bytes of all levels of the meshes in the folder MESHES with
// those of GLTFPACK -cc, an independent encoder for the same extension, given the same
// triangles: on its grid, and on ours.
func BenchmarkWeight(b *testing.B) {
	folder, program := os.Getenv("MESHES"), os.Getenv("GLTFPACK")
	if folder == "" || program == "" {
		b.Skip("MESHES must name a folder of meshes in millimetres, GLTFPACK the program")
	}
	same, own, worst, count := 0.0, 0.0, 0.0, 0
	for b.Loop() {
		same, own, worst, count = 0, 0, 0, 0
		for _, level := range levelsBelow(b, folder) {
			m := level.Mesh
			theirs, step := bytesOf(b, program, m)
			_, onTheirs := compress(m, m.Bounds().Centre(), step)
			_, onOurs := CompressMesh(m, mesh.Vec{}, level.Deviation)
			ratio := float64(onTheirs.Bytes) / float64(theirs)
			same += math.Log(ratio)
			own += math.Log(float64(onOurs.Bytes) / float64(theirs))
			worst = max(worst, ratio)
			count++
		}
	}
	b.ReportMetric(float64(count), "levels")
	b.ReportMetric(math.Exp(same/float64(count)), "same-grid")
	b.ReportMetric(worst, "same-grid-worst")
	b.ReportMetric(math.Exp(own/float64(count)), "own-grid")
}

// levelsBelow are those of at least 500 triangles: in less there is little but headers.
func levelsBelow(b *testing.B, folder string) (levels []reduce.Level) {
	files, err := os.ReadDir(folder)
	require.NoError(b, err)
	for _, f := range files {
		scene, _, err := source.Decode(os.DirFS(folder), f.Name(), source.Options{Unit: 0.001, Up: 'Z'})
		require.NoError(b, err)
		if scene == nil {
			continue
		}
		for _, m := range scene.Meshes {
			m.DropTexCoords()
			for _, level := range reduce.Ladder(m, mesh.Vec{}) {
				if len(level.Mesh.Triangles) >= 500 {
					levels = append(levels, level)
				}
			}
		}
	}
	return levels
}

// bytesOf are those of the other program's streams, and the step of its grid, which has
// fourteen bits on the longest side.
func bytesOf(b *testing.B, program string, m *mesh.Mesh) (size int64, step float64) {
	f := files{}
	d := &Document{}
	data, layout := EncodeMesh(m, mesh.Vec{})
	d.Node(Root, Node{Mesh: d.Mesh("", f.store(data), layout, nil) + 1})
	document, err := d.Encode()
	require.NoError(b, err)
	packed, err := Pack(document, f.read)
	require.NoError(b, err)
	in, out := filepath.Join(b.TempDir(), "in.glb"), filepath.Join(b.TempDir(), "out.glb")
	require.NoError(b, os.WriteFile(in, packed, 0o644))
	message, err := exec.Command(program, "-cc", "-i", in, "-o", out).CombinedOutput()
	require.NoError(b, err, "%s", message)
	result, err := os.ReadFile(out)
	require.NoError(b, err)
	var w wireDocument
	require.NoError(b, json.Unmarshal(result[20:20+binary.LittleEndian.Uint32(result[12:])], &w))
	for _, v := range w.BufferViews {
		size += v.Extensions.Meshopt.ByteLength
	}
	bounds := m.Bounds()
	return size, max(bounds.Max[0]-bounds.Min[0], bounds.Max[1]-bounds.Min[1], bounds.Max[2]-bounds.Min[2]) / (1<<14 - 1)
}
