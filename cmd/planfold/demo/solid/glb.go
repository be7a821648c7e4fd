package solid

import (
	"bytes"
	"fmt"
	"math"

	"planfold/convert/mesh"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
)

// Placed is a piece that stands in several places of a GLB file; none: once,
// where it was made.
type Placed struct {
	Piece
	Places []mesh.Mat // millimetres
}

// GLB is the pieces as a binary glTF file in metres. One root node of the given
// name turns z up to glTF's y up; below it each piece is a named node, or one a
// place with a number behind its name, all showing one mesh.
func GLB(name string, pieces []Placed) ([]byte, error) {
	doc := gltf.NewDocument()
	doc.Asset.Generator = "planfold demo"
	doc.Scenes[0].Name = ""
	half := math.Sqrt(0.5)
	root := &gltf.Node{Name: name, Rotation: [4]float64{-half, 0, 0, half}}
	doc.Nodes = []*gltf.Node{root}
	doc.Scenes[0].Nodes = []int{0}
	looks := map[string]int{}
	for _, p := range pieces {
		mesh := addMesh(doc, p, looks)
		for _, n := range placedNodes(p, mesh) {
			root.Children = append(root.Children, len(doc.Nodes))
			doc.Nodes = append(doc.Nodes, n)
		}
	}
	var b bytes.Buffer
	if err := gltf.NewEncoder(&b).Encode(doc); err != nil {
		return nil, fmt.Errorf("encode %q: %w", name, err)
	}
	return b.Bytes(), nil
}

func addMesh(doc *gltf.Document, p Placed, looks map[string]int) int {
	look, ok := looks[p.Look.Name]
	if !ok {
		look = len(doc.Materials)
		looks[p.Look.Name] = look
		doc.Materials = append(doc.Materials, material(p.Look))
	}
	points := make([][3]float32, len(p.Solid.Points))
	for i, v := range p.Solid.Points {
		points[i] = [3]float32{float32(v[0] / 1000), float32(v[1] / 1000), float32(v[2] / 1000)}
	}
	indices := make([]uint32, 0, 3*len(p.Solid.Triangles))
	for _, t := range p.Solid.Triangles {
		indices = append(indices, uint32(t[0]), uint32(t[1]), uint32(t[2]))
	}
	doc.Meshes = append(doc.Meshes, &gltf.Mesh{Name: p.Name, Primitives: []*gltf.Primitive{{
		Attributes: gltf.PrimitiveAttributes{gltf.POSITION: modeler.WritePosition(doc, points)},
		Indices:    gltf.Index(modeler.WriteIndices(doc, indices)),
		Material:   gltf.Index(look),
	}}})
	return len(doc.Meshes) - 1
}

func material(l Look) *gltf.Material {
	color := l.Color
	m := &gltf.Material{Name: l.Name, PBRMetallicRoughness: &gltf.PBRMetallicRoughness{
		BaseColorFactor: &color,
		MetallicFactor:  gltf.Float(l.Metallic),
		RoughnessFactor: gltf.Float(l.Roughness),
	}}
	if color[3] < 1 {
		m.AlphaMode = gltf.AlphaBlend
	}
	return m
}

func placedNodes(p Placed, mesh int) []*gltf.Node {
	if len(p.Places) == 0 {
		return []*gltf.Node{{Name: p.Name, Mesh: gltf.Index(mesh)}}
	}
	var out []*gltf.Node
	for i, m := range p.Places {
		m[12], m[13], m[14] = m[12]/1000, m[13]/1000, m[14]/1000
		out = append(out, &gltf.Node{Name: fmt.Sprintf("%s-%d", p.Name, i+1), Mesh: gltf.Index(mesh), Matrix: m})
	}
	return out
}
