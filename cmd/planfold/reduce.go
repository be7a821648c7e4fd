package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/sys/unix"

	"planfold/convert/diag"
	"planfold/convert/geometry"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/reduce"
	"planfold/convert/store"
)

type reduceOptions struct {
	out       string
	triangles int
	deviation float64
	unit      string
	keepFrame bool
	format    string
	repeat    int
}

func reduceCommand() *cobra.Command {
	var o reduceOptions
	c := &cobra.Command{
		Use:   "reduce FILE -o FILE.glb [--triangles N | --deviation MM]",
		Short: "Reduce one geometry file, to tune budgets and to compare",
		Long: "Reads a geometry file, reduces it as convert does, and writes one GLB (metres, Y up).\n" +
			"Several meshes share the triangles so that all deviate about alike, in place and in\n" +
			"size; each keeps a few. Meshes whose open borders coincide are patches of one\n" +
			"surface and count as one, so that no gap opens.\n" +
			"--deviation takes longer: it reduces each mesh some times over, to find how far it\n" +
			"may go, and proves each time how far off it is.",
		Annotations: statuses("  0 done\n  1 could not run\n  2 wrong usage\n  3 the file was refused, or the target was not reached; the reason is named"),
		Args:        exactly(1, "one geometry file"),
		RunE:        func(c *cobra.Command, args []string) error { return runReduce(c, o, args[0]) },
	}
	f := c.Flags()
	f.StringVarP(&o.out, "out", "o", "", "the GLB file to write")
	f.IntVar(&o.triangles, "triangles", 0, "most triangles to keep")
	f.Float64Var(&o.deviation, "deviation", 0, "largest deviation allowed, in mm")
	f.StringVar(&o.unit, "unit", "mm", "unit of STL and OBJ: mm, cm, m or in (glTF is in metres)")
	f.BoolVar(&o.keepFrame, "keep-frame", false, "write source units and axes, for comparison with other tools (deviations stay in mm)")
	f.StringVar(&o.format, "format", "text", "how to report: text, or json")
	f.IntVar(&o.repeat, "repeat", 1, "reduce so many times and report the least CPU time")
	return c
}

var units = map[string]float64{"mm": 0.001, "cm": 0.01, "m": 1, "in": 0.0254}

// reduction is what the command reports.
type reduction struct {
	Triangles       int      `json:"triangles"`
	SourceTriangles int      `json:"sourceTriangles"`
	DeviationMM     float64  `json:"deviationMm"`
	NormalRMSDeg    float64  `json:"normalRmsDeg"` // of the normals shown, from the source's
	Normal95Deg     float64  `json:"normal95Deg"`  // the same, of 95 in 100 of the area at most
	ReduceCPUMS     float64  `json:"reduceCpuMs"`
	Bytes           int      `json:"bytes"`
	Reasons         []string `json:"reasons,omitempty"` // why a target was not reached
	Parts           []part   `json:"parts,omitempty"`   // of several meshes, each
}

type part struct {
	Name            string  `json:"name"`
	Triangles       int     `json:"triangles"`
	SourceTriangles int     `json:"sourceTriangles"`
	DeviationMM     float64 `json:"deviationMm"`
}

func runReduce(c *cobra.Command, o reduceOptions, name string) error {
	unit, known := units[o.unit]
	switch {
	case o.out == "":
		return usage("reduce needs -o FILE.glb")
	case !known:
		return usage("--unit takes mm, cm, m or in, not %q", o.unit)
	case o.repeat < 1:
		return usage("--repeat takes a number from 1, not %d", o.repeat)
	case o.triangles < 0 || !(o.deviation >= 0):
		return usage("--triangles and --deviation take a number above 0")
	case sameFile(name, o.out):
		return usage("%q is what is read; name another file with -o", o.out)
	case !strings.EqualFold(filepath.Ext(o.out), ".glb"):
		return usage("reduce writes GLB; name the file %q with .glb at its end", o.out)
	case (o.triangles > 0) == (o.deviation > 0):
		return usage("reduce takes one of --triangles N and --deviation MM, above 0")
	}
	if err := checkFormat(o.format); err != nil {
		return err
	}
	read, mm, metres := geometry.Options{Unit: unit, Up: 'Z'}, 1000.0, inMetres(name)
	if o.keepFrame {
		read = geometry.Options{Unit: 1, Up: 'Y'}
	}
	if o.keepFrame && !metres {
		mm *= unit
	}
	scene, fault, err := readGeometry(name, read)
	if err != nil {
		return err
	}
	if scene == nil {
		return printRefusal(c, o, fmt.Sprintf("%q was refused: %s", name, fault))
	}
	if c.Flags().Changed("unit") && metres {
		fmt.Fprintf(c.ErrOrStderr(), "planfold: --unit says nothing of %q: glTF is in metres\n", name)
	}
	scene.Join(scene.Patches())
	reduced, result := reduceScene(scene, o, mm)
	data, err := packScene(scene, reduced, o.keepFrame)
	if err != nil {
		return err
	}
	if err := store.WriteFile(o.out, data); err != nil {
		return err
	}
	result.Bytes = len(data)
	return printReduction(c, o, result)
}

func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}

// inMetres reports a file whose format is in metres, whatever unit is declared. What is
// wrong with a file is for its reader to say.
func inMetres(name string) bool {
	f, err := os.Open(name)
	if err != nil {
		return false
	}
	defer f.Close()
	head, _ := io.ReadAll(io.LimitReader(f, 1024))
	format := geometry.FormatOf(head, filepath.Base(name))
	return format == "glb" || format == "gltf"
}

// readGeometry reads a scene, or says why the file is refused.
func readGeometry(name string, o geometry.Options) (scene *mesh.Scene, fault string, err error) {
	root, err := os.OpenRoot(filepath.Dir(name))
	if err != nil {
		return nil, "", usage("%w", err)
	}
	defer root.Close()
	scene, list, err := geometry.Decode(root.FS(), filepath.Base(name), o)
	if err != nil {
		return nil, "", err
	}
	printList(os.Stderr, list)
	for _, d := range list {
		if d.Severity == diag.Error {
			return scene, d.Code + ": " + d.Message, nil
		}
	}
	return scene, "it holds no triangles", nil
}

// reduceScene reduces each mesh to its share of the target. Deviations are those of
// what is shown, where it is largest; mm are those of a unit of the scene.
func reduceScene(s *mesh.Scene, o reduceOptions, mm float64) ([]*mesh.Mesh, reduction) {
	var r reduction
	var shares []int
	if o.triangles > 0 {
		cpu := leastCPU(o.repeat, func() { shares = sharesOf(s, o.triangles) })
		r.addCPU(cpu)
	}
	out := make([]*mesh.Mesh, len(s.Meshes))
	names, scale := meshNames(s), scales(s)
	var turns reduce.Turns
	for i, m := range s.Meshes {
		limits := reduce.Options{Deviation: o.deviation / mm / scale[i]}
		if o.triangles > 0 {
			limits.Triangles = shares[i]
		}
		var report reduce.Report
		r.addCPU(leastCPU(o.repeat, func() { out[i], report = reduce.Reduce(m, limits) }))
		p := part{names[i], len(out[i].Triangles), len(m.Triangles), mm * scale[i] * reduce.Deviation(m, out[i])}
		r.Triangles += p.Triangles
		r.SourceTriangles += p.SourceTriangles
		r.DeviationMM = max(r.DeviationMM, p.DeviationMM)
		if len(s.Meshes) > 1 {
			r.Parts = append(r.Parts, p)
		}
		turns.Add(reduce.NormalError(m, out[i], glb.Normals), scale[i]*scale[i])
		if !report.Reached {
			r.Reasons = append(r.Reasons, reasonOf(p, report.Reason, len(s.Meshes)))
		}
	}
	r.NormalRMSDeg, r.Normal95Deg = degreesOf(turns.RMS()), degreesOf(turns.Within(0.95))
	if o.triangles > 0 && r.Triangles > o.triangles && len(r.Reasons) == 0 {
		r.Reasons = append(r.Reasons, fmt.Sprintf("%d meshes have %d triangles at their fewest", len(s.Meshes), r.Triangles))
	}
	return out, r
}

// reasonOf names the mesh, if there are several.
func reasonOf(p part, reason string, meshes int) string {
	if meshes == 1 {
		return reason
	}
	return fmt.Sprintf("%q: %s", p.Name, reason)
}

func (r *reduction) addCPU(d time.Duration) { r.ReduceCPUMS += float64(d.Microseconds()) / 1000 }

// degreesOf is the angle between unit vectors that are so far apart.
func degreesOf(chord float64) float64 { return 360 / math.Pi * math.Asin(min(chord/2, 1)) }

// leastCPU is the least CPU time of the process over so many calls.
func leastCPU(times int, do func()) time.Duration {
	least := time.Duration(1<<63 - 1)
	for range times {
		before := cpuTime()
		do()
		least = min(least, cpuTime()-before)
	}
	return least
}

func cpuTime() time.Duration {
	var u unix.Rusage
	if unix.Getrusage(unix.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// packScene writes the nodes of the source with the reduced meshes.
func packScene(s *mesh.Scene, reduced []*mesh.Mesh, keepFrame bool) ([]byte, error) {
	var doc glb.Document
	blobs := map[string][]byte{}
	layouts := make([]glb.Layout, len(reduced))
	for i, m := range reduced {
		centre := m.Bounds().Centre()
		if keepFrame {
			centre = mesh.Vec{}
		}
		blobs[fmt.Sprint(i)], layouts[i] = glb.EncodeMesh(m, centre)
	}
	root := glb.Root
	if !keepFrame {
		root = doc.Node(glb.Root, glb.Node{Name: "planfold", Matrix: zUpToYUp})
	}
	var walk func(n, parent int)
	walk = func(n, parent int) {
		node := &s.Nodes[n]
		at := doc.Node(parent, glb.Node{Name: node.Name, Matrix: node.Transform})
		if node.Mesh >= 0 {
			l := layouts[node.Mesh]
			m := doc.Mesh(node.Name, fmt.Sprint(node.Mesh), l.Part(node.First, node.Count), looks(s, node))
			doc.Node(at, glb.Node{Matrix: l.Frame(), Mesh: m + 1})
		}
		for _, child := range node.Children {
			walk(child, at)
		}
	}
	for _, n := range s.Roots {
		walk(n, root)
	}
	text, err := doc.Encode()
	if err != nil {
		return nil, err
	}
	return glb.Pack(text, func(uri string) ([]byte, error) { return blobs[uri], nil })
}

// zUpToYUp turns a Z-up frame to glTF's.
var zUpToYUp = mesh.Mat{0: 1, 6: -1, 9: 1, 15: 1}

func looks(s *mesh.Scene, n *mesh.Node) []mesh.Material {
	var out []mesh.Material
	for _, m := range n.Materials {
		if m < 0 {
			out = append(out, glb.Plain)
		} else {
			out = append(out, s.Materials[m])
		}
	}
	return out
}

// printRefusal says why nothing was written, in JSON too if that was asked for.
func printRefusal(c *cobra.Command, o reduceOptions, reason string) error {
	if o.format == "json" {
		if err := printJSON(c, reduction{Reasons: []string{reason}}); err != nil {
			return err
		}
	}
	return &statusError{statusLeftOut, errors.New(reason)}
}

func printJSON(c *cobra.Command, r reduction) error {
	text, err := json.Marshal(r)
	if err == nil {
		fmt.Fprintln(c.OutOrStdout(), string(text))
	}
	return err
}

func printReduction(c *cobra.Command, o reduceOptions, r reduction) error {
	if o.format == "json" {
		if err := printJSON(c, r); err != nil {
			return err
		}
	} else {
		for _, p := range r.Parts {
			fmt.Fprintf(c.OutOrStdout(), "  %s: %d of %d triangles, deviation at most %.3g mm\n", p.Name, p.Triangles, p.SourceTriangles, p.DeviationMM)
		}
		fmt.Fprintf(c.OutOrStdout(), "%d of %d triangles, deviation at most %.3g mm, normals off by %.2g° RMS (95 in 100 of the area by %.2g° at most), %d bytes, %.0f ms CPU\n",
			r.Triangles, r.SourceTriangles, r.DeviationMM, r.NormalRMSDeg, r.Normal95Deg, r.Bytes, r.ReduceCPUMS)
	}
	if len(r.Reasons) > 0 {
		return &statusError{statusLeftOut, fmt.Errorf("%q: the target was not reached: %s", o.out, strings.Join(r.Reasons, "; "))}
	}
	return nil
}
