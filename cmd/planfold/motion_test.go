package main

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/geometry"
	"planfold/convert/mesh"
)

// The demo without all that it knows of motion: its views displace nothing and its
// rules move nothing. It is drawn as fine as it comes.
func demoWithoutMotion(t *testing.T) edition {
	t.Helper()
	known := demoEdition(t)
	return shared(t, "motion", func(out string) edition {
		in := writeDemo(t, 0)
		strip := func(name, pattern string) {
			text, err := os.ReadFile(filepath.Join(in, name))
			require.NoError(t, err)
			short := regexp.MustCompile(pattern).ReplaceAll(text, nil)
			require.Less(t, len(short), len(text))
			require.NoError(t, os.WriteFile(filepath.Join(in, name), short, 0o666))
		}
		strip("plan.xml", `(?s)<displace .*?</displace>`)
		strip("rules.yaml", `  - name: .*\n    for: part\n    when: .*\n    set:\n      motion: .*\n`)
		profile := filepath.Join(in, "fine.json")
		require.NoError(t, os.WriteFile(profile, []byte(`{"name": "fine", "stepTriangles": 500000, "wholeTriangles": 100000, "pictureEdge": 100, "attachmentBytes": 100000000, "compression": true}`), 0o666))
		return convertTo(t, out, statusDone, "-r", in+"/rules.yaml", "--profile", profile, "--cache", filepath.Join(known.out, ".cache"), in+"/plan.xml")
	})
}

// offsets of each step's moved occurrences when its clip begins, in the scene's frame.
func (e edition) offsets(t *testing.T, i int) map[string]mesh.Vec {
	t.Helper()
	folder := filepath.Join(e.folder, "steps", e.manifest.Steps[i].Folder)
	var doc struct {
		Nodes []struct {
			Name     string
			Children []int
		}
		Animations []struct {
			Channels []struct {
				Sampler int
				Target  struct {
					Node int
					Path string
				}
			}
			Samplers []struct{ Output int }
		}
		Accessors   []struct{ BufferView, ByteOffset, Count int }
		BufferViews []struct{ Buffer, ByteOffset int }
		Buffers     []struct{ URI string }
	}
	readJSON(t, filepath.Join(folder, "scene.gltf"), &doc)
	out := map[string]mesh.Vec{}
	for _, a := range doc.Animations {
		for _, c := range a.Channels {
			if c.Target.Path != "translation" {
				continue
			}
			o := doc.Accessors[a.Samplers[c.Sampler].Output]
			view := doc.BufferViews[o.BufferView]
			data, err := os.ReadFile(filepath.Join(folder, doc.Buffers[view.Buffer].URI))
			require.NoError(t, err)
			key := func(k int) (v mesh.Vec) {
				for j := range v {
					v[j] = float64(math.Float32frombits(binary.LittleEndian.Uint32(data[view.ByteOffset+o.ByteOffset+12*k+4*j:])))
				}
				return v
			}
			n := doc.Nodes[c.Target.Node]
			if n.Name == "" {
				n = doc.Nodes[n.Children[0]]
			}
			out[n.Name] = key(0).Sub(key(o.Count - 1))
		}
	}
	return out
}

// Without its views and rules, the demo's parts come in as those say, but where they say
// what cannot be: teeth that roll into each other and a ring that stretches go in no
// straight way, and one nut and its washer are drawn through the sight glass below.
func TestInferredDirectionsAreTheDemosOwn(t *testing.T) {
	known, inferred := demoEdition(t), demoWithoutMotion(t)
	right := 0
	var other, refused []string
	for i, s := range known.steps {
		require.Equal(t, s.ID, inferred.steps[i].ID)
		was, is := known.offsets(t, i), inferred.offsets(t, i)
		for path, a := range was {
			b, ok := is[path]
			switch name := s.ID.Value + " " + path; {
			case !ok:
				refused = append(refused, name)
			case a.Unit().Distance(b.Unit()) < 1e-4:
				right++
			default:
				other = append(other, name)
			}
		}
		if s.Scene != nil {
			assert.Len(t, inferred.steps[i].Scene.Motions, len(is))
			for _, m := range inferred.steps[i].Scene.Motions {
				assert.Equal(t, "inferred", m.From)
			}
		}
	}
	slices.Sort(refused)
	slices.Sort(other)
	assert.Equal(t, 173, right)
	assert.Equal(t, []string{"S-30-2 ring-1", "S-40-2 line-mid-1", "S-40-3 line-in-1"}, refused)
	assert.Equal(t, []string{"S-50-4 nut-m10-5", "S-50-4 washer-low-m10-5"}, other)
	var blocked, collide []string
	for i := range known.steps {
		for _, n := range inferred.steps[i].NotCarried {
			if n.Code == "SCENE_MOTION_BLOCKED" {
				blocked = append(blocked, inferred.steps[i].ID.Value)
			}
		}
		if s := known.steps[i].Scene; s != nil {
			for _, m := range s.Motions {
				if m.Through != "" {
					collide = append(collide, known.steps[i].ID.Value+" "+m.Occurrence[:strings.LastIndex(m.Occurrence, "-")])
				}
			}
		}
	}
	assert.Equal(t, []string{"S-30-2", "S-40-2", "S-40-3"}, blocked)
	assert.Equal(t, []string{"S-30-2 ring", "S-40-2 line-mid", "S-40-3 line-in", "S-50-4 nut-m10", "S-50-4 washer-low-m10"}, slices.Compact(slices.Sorted(slices.Values(collide))))
}

// standing is what an occurrence shows, in the scene's frame.
type standing struct {
	triangles [][3]mesh.Vec
	box       mesh.Box
	cells     [][]int32 // of the plane across Z
}

const standingCells = 64

func (e edition) standings(t *testing.T, i int) map[string]*standing {
	t.Helper()
	name := filepath.ToSlash(filepath.Join(e.report.Plans[0].Edition, "steps", e.manifest.Steps[i].Folder, "scene.gltf"))
	scene, list, err := geometry.Decode(os.DirFS(e.out), name, geometry.Options{Up: 'Y'})
	require.NoError(t, err)
	require.NotNil(t, scene, "%v", list)
	rows := map[string]bool{}
	for _, n := range e.steps[i].Scene.Nodes {
		rows[n.Name] = true
	}
	out := map[string]*standing{}
	var walk func(n int, path string, to mesh.Mat)
	walk = func(n int, path string, to mesh.Mat) {
		node := &scene.Nodes[n]
		to = to.Mul(node.Transform)
		if rows[node.Name] {
			path = node.Name
		}
		if node.Mesh >= 0 {
			if out[path] == nil {
				out[path] = &standing{box: mesh.EmptyBox()}
			}
			m := scene.Meshes[node.Mesh]
			for _, c := range m.Triangles {
				var tri [3]mesh.Vec
				for k := range tri {
					tri[k] = to.Point(m.Positions[c[k]])
					out[path].box.Add(tri[k])
				}
				out[path].triangles = append(out[path].triangles, tri)
			}
		}
		for _, c := range node.Children {
			walk(c, path, to)
		}
	}
	for _, r := range scene.Roots {
		walk(r, "", mesh.Identity())
	}
	return out
}

func (s *standing) cell(k int, x float64) int {
	return max(0, min(standingCells-1, int((x-s.box.Min[k])/(s.box.Max[k]-s.box.Min[k])*standingCells)))
}

// inside counts how often the surface winds around a point, by what is above it.
func (s *standing) inside(p mesh.Vec) bool {
	for k := range p {
		if p[k] <= s.box.Min[k] || p[k] >= s.box.Max[k] {
			return false
		}
	}
	if s.cells == nil {
		s.cells = make([][]int32, standingCells*standingCells)
		for i, t := range s.triangles {
			for x := s.cell(0, min(t[0][0], t[1][0], t[2][0])); x <= s.cell(0, max(t[0][0], t[1][0], t[2][0])); x++ {
				for y := s.cell(1, min(t[0][1], t[1][1], t[2][1])); y <= s.cell(1, max(t[0][1], t[1][1], t[2][1])); y++ {
					s.cells[x*standingCells+y] = append(s.cells[x*standingCells+y], int32(i))
				}
			}
		}
	}
	around := 0
	for _, i := range s.cells[s.cell(0, p[0])*standingCells+s.cell(1, p[1])] {
		t := &s.triangles[i]
		a, b := t[1].Sub(t[0]), t[2].Sub(t[0])
		area := a[0]*b[1] - a[1]*b[0]
		if area == 0 {
			continue
		}
		u := ((p[0]-t[0][0])*b[1] - (p[1]-t[0][1])*b[0]) / area
		v := (a[0]*(p[1]-t[0][1]) - a[1]*(p[0]-t[0][0])) / area
		if u >= 0 && v >= 0 && u+v <= 1 && t[0][2]+u*a[2]+v*b[2] > p[2] {
			if area > 0 {
				around++
			} else {
				around--
			}
		}
	}
	return around > 0
}

// deep tells whether a point lies deeper than what is let off.
func (s *standing) deep(p mesh.Vec) bool {
	const off = 0.0003
	p = p.Add(mesh.Vec{1.3e-7, 0.7e-7, 1.1e-7}) // off the edges of facets
	if !s.inside(p) {
		return false
	}
	for k := range 6 {
		q := p
		q[k/2] += off * float64(2*(k%2)-1)
		if !s.inside(q) {
			return false
		}
	}
	return true
}

// points of the surface, evenly by number of triangles, drawn in a little.
func (s *standing) points() (out []mesh.Vec) {
	const n = 250
	for i := 0; i < len(s.triangles); i += 1 + len(s.triangles)/n {
		t := s.triangles[i]
		normal := t[1].Sub(t[0]).Cross(t[2].Sub(t[0])).Unit()
		for _, w := range [][3]float64{{1. / 3, 1. / 3, 1. / 3}, {0.9, 0.05, 0.05}} {
			out = append(out, t[0].Scale(w[0]).Add(t[1].Scale(w[1])).Add(t[2].Scale(w[2])).Sub(normal.Scale(0.00005)))
		}
	}
	return out
}

// runsInto moves bodies step by step and samples their surfaces in what stands still, and
// the surface of that in them. A point that is in at home does not count.
func runsInto(moving, still []*standing, offset mesh.Vec) bool {
	const steps = 30
	return sampled(moving, still, offset, steps) || sampled(still, moving, offset.Scale(-1), steps)
}

func sampled(moving, still []*standing, offset mesh.Vec, steps int) bool {
	for _, m := range moving {
		for _, s := range still {
			way := m.box
			way.Join(mesh.Box{Min: m.box.Min.Add(offset), Max: m.box.Max.Add(offset)})
			apart := false
			for k := range 3 {
				apart = apart || way.Min[k] > s.box.Max[k] || way.Max[k] < s.box.Min[k]
			}
			if apart {
				continue
			}
			for _, p := range m.points() {
				if s.inside(p) {
					continue
				}
				for k := 1; k <= steps; k++ {
					if s.deep(p.Add(offset.Scale(float64(k) / float64(steps)))) {
						return true
					}
				}
			}
		}
	}
	return false
}

// An independent sweep, by points in steps and by nothing of package sweep, finds each
// motion free that was inferred, in its turn; and in the way of each part that was
// refused it finds something, whichever axis it is moved along.
func TestInferredMotionsAreFreeByAnotherSweep(t *testing.T) {
	e := demoWithoutMotion(t)
	known := demoEdition(t)
	refused := map[string]string{"S-30-2": "ring-1", "S-40-2": "line-mid-1", "S-40-3": "line-in-1"}
	checked := 0
	for i, s := range e.steps {
		if s.Scene == nil || len(s.Scene.Motions) == 0 && refused[s.ID.Value] == "" {
			continue
		}
		offsets, all := e.offsets(t, i), e.standings(t, i)
		below := func(occurrence string) (in, out []*standing) {
			for _, n := range s.Scene.Nodes {
				if n.Occurrence == occurrence || strings.HasPrefix(n.Occurrence, occurrence+"/") {
					in = append(in, all[n.Name])
				} else if all[n.Name] != nil {
					out = append(out, all[n.Name])
				}
			}
			return in, out
		}
		if r := refused[s.ID.Value]; r != "" {
			moving, still := below(r)
			for k := range 6 {
				var offset mesh.Vec
				offset[k/2] = 0.08 * float64(2*(k%2)-1)
				assert.True(t, runsInto(moving, still, offset), "%s %s %v", s.ID, r, offset)
			}
		}
		group := map[*standing]int{}
		for _, m := range s.Scene.Motions {
			in, _ := below(m.Occurrence)
			for _, b := range in {
				group[b] = 1 + m.Group
			}
		}
		for _, m := range s.Scene.Motions {
			moving, others := below(m.Occurrence)
			still := slices.DeleteFunc(others, func(b *standing) bool { return group[b] > m.Group })
			turned := mesh.Vec{offsets[m.Occurrence][0], offsets[m.Occurrence][2], -offsets[m.Occurrence][1]}
			assert.False(t, runsInto(moving, still, turned), "%s %s %v", s.ID, m.Occurrence, turned)
			checked++
			// What the demo's own view does with these two is no way.
			if o := m.Occurrence; s.ID.Value == "S-50-4" && (o == "nut-m10-5" || o == "washer-low-m10-5") {
				own := known.offsets(t, i)[o]
				assert.True(t, runsInto(moving, still, mesh.Vec{own[0], own[2], -own[1]}), o)
			}
		}
	}
	assert.Equal(t, 178, checked)
}

// A plan without placements has trays; there is nothing to infer and nothing to tell.
func TestNothingIsInferredOnTrays(t *testing.T) {
	for _, s := range blockStage(t).steps {
		if s.Scene != nil {
			assert.Equal(t, "tray", s.Scene.Layout, s.ID)
			assert.Empty(t, s.Scene.Motions)
		}
		for _, n := range s.NotCarried {
			assert.NotContains(t, n.Code, "SCENE_MOTION")
		}
	}
}
