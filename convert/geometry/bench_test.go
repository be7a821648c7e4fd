package geometry

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"syscall"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"planfold/convert/reduce"
)

// ring is a torus with waves on it, as shared vertices and triangles, ring by ring.
func ring(around, across int) (positions [][3]float32, triangles [][3]uint32) {
	for i := range around {
		for j := range across {
			u, v := 2*math.Pi*float64(i)/float64(around), 2*math.Pi*float64(j)/float64(across)
			r := 12 + 0.3*math.Sin(9*u)*math.Cos(5*v)
			positions = append(positions, [3]float32{
				float32((50 + r*math.Cos(v)) * math.Cos(u)), float32((50 + r*math.Cos(v)) * math.Sin(u)), float32(r * math.Sin(v)),
			})
			at := func(i, j int) uint32 { return uint32(i%around*across + j%across) }
			triangles = append(triangles,
				[3]uint32{at(i, j), at(i+1, j), at(i+1, j+1)}, [3]uint32{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	return positions, triangles
}

// shortText has seven digits, as most programs write; the soup's own text has 17.
func shortText(s soup) []byte {
	var b bytes.Buffer
	b.WriteString("solid ring\n")
	for _, t := range s {
		b.WriteString("  facet normal 0.000000e+00 0.000000e+00 0.000000e+00\n    outer loop\n")
		for _, c := range t {
			fmt.Fprintf(&b, "      vertex %e %e %e\n", c[0], c[1], c[2])
		}
		b.WriteString("    endloop\n  endfacet\n")
	}
	b.WriteString("endsolid ring\n")
	return b.Bytes()
}

func indexedOBJ(positions [][3]float32, triangles [][3]uint32) []byte {
	var b bytes.Buffer
	for _, p := range positions {
		fmt.Fprintf(&b, "v %v %v %v\n", p[0], p[1], p[2])
	}
	for _, t := range triangles {
		fmt.Fprintf(&b, "f %d %d %d\n", t[0]+1, t[1]+1, t[2]+1)
	}
	return b.Bytes()
}

func indexedGLB(positions [][3]float32, triangles [][3]uint32) []byte {
	bin, err := binary.Append(nil, binary.LittleEndian, positions)
	if err == nil {
		bin, err = binary.Append(bin, binary.LittleEndian, triangles)
	}
	if err != nil {
		panic(err)
	}
	return container(fmt.Sprintf(`{"asset": {"version": "2.0"}, "nodes": [{"mesh": 0}],
		"meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
		"accessors": [{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": %d},
			{"bufferView": 1, "componentType": 5125, "type": "SCALAR", "count": %d}],
		"bufferViews": [{"buffer": 0, "byteLength": %d}, {"buffer": 0, "byteOffset": %[3]d, "byteLength": %d}],
		"buffers": [{"byteLength": %d}]}`, len(positions), 3*len(triangles), 12*len(positions), 12*len(triangles), len(bin)), bin)
}

// Reading and welding one mesh from each format, and reducing it to a tenth: no
// reader may be slower, in triangles a second, than the reducer.
func BenchmarkDecode(b *testing.B) {
	positions, triangles := ring(1000, 250)
	var s soup
	for _, t := range triangles {
		s = append(s, [3][3]float32{positions[t[0]], positions[t[1]], positions[t[2]]})
	}
	// By the process's own seconds, as others may load the machine.
	rate := func(b *testing.B, bytes int, before float64) {
		seconds := (cpuSeconds(b) - before) / float64(b.N)
		b.ReportMetric(float64(len(triangles))/seconds/1e6, "Mtriangles/cpu-s")
		if bytes > 0 {
			b.ReportMetric(float64(bytes)/seconds/1e6, "MB/cpu-s")
		}
	}
	files := fstest.MapFS{
		"ring.stl": {Data: s.binary()}, "text.stl": {Data: s.text()}, "short.stl": {Data: shortText(s)},
		"ring.obj": {Data: indexedOBJ(positions, triangles)}, "ring.glb": {Data: indexedGLB(positions, triangles)},
	}
	for _, name := range []string{"ring.stl", "text.stl", "short.stl", "ring.obj", "ring.glb"} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(files[name].Data)))
			b.ReportAllocs()
			before := cpuSeconds(b)
			for b.Loop() {
				scene, _, err := Decode(files, name, Options{Unit: 0.001})
				require.NoError(b, err)
				require.Len(b, scene.Meshes[0].Triangles, len(triangles))
			}
			rate(b, len(files[name].Data), before)
		})
	}
	b.Run("reduce", func(b *testing.B) {
		scene, _, err := Decode(files, "ring.glb", Options{})
		require.NoError(b, err)
		before := cpuSeconds(b)
		for b.Loop() {
			reduce.Reduce(scene.Meshes[0], reduce.Options{Triangles: len(triangles) / 10})
		}
		rate(b, 0, before)
	})
}

func cpuSeconds(b *testing.B) float64 {
	var used syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &used))
	return float64(used.Utime.Nano()+used.Stime.Nano()) / 1e9
}
