package demo

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
	"testing"

	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
	"github.com/stretchr/testify/require"
)

// What Write hands out, read back from its bytes by readers of these tests' own.

var (
	written          = sync.OnceValues(func() (map[string][]byte, error) { return collect(1) })
	writtenCatalogue = sync.OnceValues(func() (map[string][]byte, error) { return collect(3) })
)

func collect(plans int) (map[string][]byte, error) {
	out := map[string][]byte{}
	err := Write(plans, func(name string, data []byte) error {
		if _, twice := out[name]; twice {
			return fmt.Errorf("%q is written twice", name)
		}
		out[name] = bytes.Clone(data)
		return nil
	})
	return out, err
}

func files(t *testing.T) map[string][]byte {
	t.Helper()
	f, err := written()
	require.NoError(t, err)
	return f
}

// readSTL welds a binary STL file's corners by position.
func readSTL(t *testing.T, data []byte) *solid.Solid {
	t.Helper()
	le := binary.LittleEndian
	n := int(le.Uint32(data[80:]))
	require.Len(t, data, 84+50*n)
	w := welder{}
	for i := range n {
		var c [3]mesh.Vec
		for k := range 9 {
			c[k/3][k%3] = float64(math.Float32frombits(le.Uint32(data[84+50*i+12+4*k:])))
		}
		w.add(c[0], c[1], c[2])
	}
	return &w.s
}

type welder struct {
	s  solid.Solid
	at map[mesh.Vec]int32
}

func (w *welder) add(corners ...mesh.Vec) {
	var t [3]int32
	for k, p := range corners {
		if w.at == nil {
			w.at = map[mesh.Vec]int32{}
		}
		i, ok := w.at[p]
		if !ok {
			i = int32(len(w.s.Points))
			w.at[p] = i
			w.s.Points = append(w.s.Points, p)
		}
		t[k] = i
	}
	w.s.Triangles = append(w.s.Triangles, t)
}

// readGLB is each node's mesh in the plan's frame, in millimetres, by name.
func readGLB(t *testing.T, data []byte) map[string]*solid.Solid {
	t.Helper()
	doc := new(gltf.Document)
	require.NoError(t, gltf.NewDecoder(bytes.NewReader(data)).Decode(doc))
	out := map[string]*solid.Solid{}
	for _, n := range doc.Nodes {
		if n.Mesh == nil {
			continue
		}
		p := doc.Meshes[*n.Mesh].Primitives[0]
		require.NotNil(t, p.Material, n.Name)
		points, err := modeler.ReadPosition(doc, doc.Accessors[p.Attributes[gltf.POSITION]], nil)
		require.NoError(t, err)
		indices, err := modeler.ReadIndices(doc, doc.Accessors[*p.Indices], nil)
		require.NoError(t, err)
		m := n.MatrixOrDefault()
		w := welder{}
		for i := 0; i < len(indices); i += 3 {
			var c [3]mesh.Vec
			for k := range 3 {
				v := points[indices[i+k]]
				c[k] = mesh.Mat(m).Point(mesh.Vec{float64(v[0]), float64(v[1]), float64(v[2])}).Scale(1000)
			}
			w.add(c[0], c[1], c[2])
		}
		out[n.Name] = &w.s
	}
	return out
}

// readOBJ is each group of an OBJ file.
func readOBJ(t *testing.T, data []byte) map[string]*solid.Solid {
	t.Helper()
	out := map[string]*solid.Solid{}
	var points []mesh.Vec
	var w *welder
	for _, line := range strings.Split(string(data), "\n") {
		f := strings.Fields(line)
		if len(f) < 2 {
			continue
		}
		switch f[0] {
		case "g":
			w = &welder{}
			out[f[1]] = &w.s
		case "v":
			var p mesh.Vec
			for k := range 3 {
				p[k], _ = strconv.ParseFloat(f[k+1], 64)
			}
			points = append(points, p)
		case "f":
			var c []mesh.Vec
			for _, s := range f[1:] {
				i, err := strconv.Atoi(s)
				require.NoError(t, err)
				c = append(c, points[i-1])
			}
			w.add(c...)
		}
	}
	return out
}

// surfaces are the closed surfaces of a geometry file.
func surfaces(t *testing.T, name string, data []byte) map[string]*solid.Solid {
	t.Helper()
	switch {
	case strings.HasSuffix(name, ".stl"):
		return map[string]*solid.Solid{"": readSTL(t, data)}
	case strings.HasSuffix(name, ".glb"):
		return readGLB(t, data)
	case strings.HasSuffix(name, ".obj"):
		return readOBJ(t, data)
	}
	return nil
}

// The plan as these tests need it.
type planDoc struct {
	ID    string `xml:"id,attr"`
	Items []struct {
		ID       string `xml:"id,attr"`
		Class    string `xml:"class,attr"`
		Unit     string `xml:"unit,attr"`
		Geometry []struct {
			File string `xml:"file,attr"`
		} `xml:"geometry"`
		Documents []fileRef `xml:"document"`
	} `xml:"items>item"`
	Structures []struct {
		Of          string `xml:"of,attr"`
		Occurrences []struct {
			ID        string `xml:"id,attr"`
			Item      string `xml:"item,attr"`
			Placement string `xml:"placement"`
		} `xml:"occurrence"`
	} `xml:"structures>structure"`
	Views []struct {
		ID       string `xml:"id,attr"`
		Displace []struct {
			Occurrence string `xml:"occurrence,attr"`
			Placement  string `xml:"placement"`
		} `xml:"displace"`
	} `xml:"views>view"`
	Operations []operationDoc `xml:"operations>operation"`
}

type fileRef struct {
	File string `xml:"file,attr"`
}

type ref struct {
	Ref string `xml:"ref,attr"`
}

type operationDoc struct {
	ID           string         `xml:"id,attr"`
	Builds       string         `xml:"builds,attr"`
	Predecessors []ref          `xml:"predecessor"`
	Operations   []operationDoc `xml:"operation"`
	Steps        []struct {
		ID    string `xml:"id,attr"`
		View  string `xml:"view,attr"`
		Texts []struct {
			Lang string `xml:"lang,attr"`
		} `xml:"text"`
		Hazards []struct {
			SignalWord  []string `xml:"signalWord"`
			Description []string `xml:"description"`
			Consequence []string `xml:"consequence"`
			Avoidance   []string `xml:"avoidance"`
		} `xml:"hazard"`
		Parts []struct {
			Item        string `xml:"item,attr"`
			Quantity    string `xml:"quantity,attr"`
			Unit        string `xml:"unit,attr"`
			Find        string `xml:"find,attr"`
			Capture     string `xml:"capture,attr"`
			ShelfLife   string `xml:"shelfLife,attr"`
			Occurrences []ref  `xml:"occurrence"`
		} `xml:"part"`
		Tighten []struct {
			Order      int    `xml:"order,attr"`
			Occurrence string `xml:"occurrence,attr"`
		} `xml:"tighten"`
		Characteristics []struct {
			Nominal string `xml:"nominal,attr"`
			Lower   string `xml:"lower,attr"`
			Upper   string `xml:"upper,attr"`
			Unit    string `xml:"unit,attr"`
			Point   string `xml:"point,attr"`
		} `xml:"characteristic"`
		Attachments []fileRef `xml:"attachment"`
	} `xml:"step"`
}

func parsePlan(t *testing.T, data []byte) planDoc {
	t.Helper()
	var p planDoc
	require.NoError(t, xml.Unmarshal(data, &p))
	return p
}

// all lists the operations, outer before inner.
func (p planDoc) all() []operationDoc {
	var out []operationDoc
	var walk func([]operationDoc)
	walk = func(list []operationDoc) {
		for _, o := range list {
			out = append(out, o)
			walk(o.Operations)
		}
	}
	walk(p.Operations)
	return out
}

// matrix reads a placement written row by row.
func matrix(t *testing.T, text string) mesh.Mat {
	t.Helper()
	f := strings.Fields(text)
	require.Len(t, f, 16)
	var m mesh.Mat
	for i, s := range f {
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		m[4*(i%4)+i/4] = x
	}
	return m
}

// body is one placed part of the finished product.
type body struct {
	path, item, class string
	place             mesh.Mat
	solids            map[string]*solid.Solid // in the product's frame
}

// bodies places every part of the product.
func bodies(t *testing.T, out map[string][]byte, p planDoc) []body {
	t.Helper()
	class, geometry := map[string]string{}, map[string]map[string]*solid.Solid{}
	for _, i := range p.Items {
		class[i.ID] = i.Class
		for _, g := range i.Geometry {
			geometry[i.ID] = surfaces(t, g.File, out[g.File])
		}
	}
	var all []body
	var walk func(of, path string, at mesh.Mat)
	walk = func(of, path string, at mesh.Mat) {
		for _, s := range p.Structures {
			if s.Of != of {
				continue
			}
			for _, o := range s.Occurrences {
				m := at.Mul(matrix(t, o.Placement))
				b := body{path: path + o.ID, item: o.Item, class: class[o.Item], place: m, solids: map[string]*solid.Solid{}}
				for n, g := range geometry[o.Item] {
					b.solids[n] = g.Moved(m)
				}
				if len(b.solids) > 0 {
					all = append(all, b)
				}
				walk(o.Item, path+o.ID+"/", m)
			}
		}
	}
	walk(p.ID, "", mesh.Identity())
	return all
}

var (
	placedOnce sync.Once
	placedAll  []body
)

// placed is every part of the demo's one product.
func placed(t *testing.T) []body {
	t.Helper()
	out := files(t)
	placedOnce.Do(func() { placedAll = bodies(t, out, parsePlan(t, out["plan.xml"])) })
	return placedAll
}

// The rule file names its schema for an editor, and a file of that name is written.
func TestRulesNameTheSchemaBesideThem(t *testing.T) {
	first, _, _ := strings.Cut(string(files(t)["rules.yaml"]), "\n")
	name, found := strings.CutPrefix(first, "# yaml-language-server: $schema=")
	require.True(t, found, first)
	require.Contains(t, files(t), name)
}
