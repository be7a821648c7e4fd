package glb

import (
	"encoding/json"
	"fmt"

	"github.com/qmuntal/gltf"
)

// check decodes a document with a reader that is not ours and follows every index,
// so that a fault of the builder ends here and not on a device. The reader's own
// Decode is not used: it refuses the relative URIs that climb out of a step's folder.
func check(document []byte) error {
	var doc gltf.Document
	if err := json.Unmarshal(document, &doc); err != nil {
		return fmt.Errorf("check glTF: %w", err)
	}
	for _, part := range []func(*gltf.Document) error{checkNodes, checkMeshes, checkAnimations, checkData} {
		if err := part(&doc); err != nil {
			return fmt.Errorf("check glTF: %w", err)
		}
	}
	return nil
}

// checkNodes finds nodes with two parents, and cycles: with one parent each, a
// node on a cycle is reached from no root.
func checkNodes(doc *gltf.Document) error {
	parents := make([]int, len(doc.Nodes))
	reached := 0
	var walk func(children []int) error
	walk = func(children []int) error {
		for _, c := range children {
			if c < 0 || c >= len(doc.Nodes) {
				return fmt.Errorf("node %d does not exist", c)
			}
			if parents[c]++; parents[c] > 1 {
				return fmt.Errorf("node %d has two parents", c)
			}
			reached++
			if err := walk(doc.Nodes[c].Children); err != nil {
				return err
			}
		}
		return nil
	}
	if err := walk(doc.Scenes[0].Nodes); err != nil {
		return err
	}
	if reached != len(doc.Nodes) {
		return fmt.Errorf("%d nodes stand outside the scene", len(doc.Nodes)-reached)
	}
	for i, n := range doc.Nodes {
		if n.Mesh != nil && (*n.Mesh < 0 || *n.Mesh >= len(doc.Meshes)) {
			return fmt.Errorf("node %d shows mesh %d, which does not exist", i, *n.Mesh)
		}
		if n.Camera != nil && (*n.Camera < 0 || *n.Camera >= len(doc.Cameras)) {
			return fmt.Errorf("node %d holds camera %d, which does not exist", i, *n.Camera)
		}
	}
	return nil
}

func checkMeshes(doc *gltf.Document) error {
	for i, m := range doc.Meshes {
		for _, p := range m.Primitives {
			position, normal := p.Attributes[gltf.POSITION], p.Attributes[gltf.NORMAL]
			for _, a := range []int{position, normal, *p.Indices} {
				if a < 0 || a >= len(doc.Accessors) {
					return fmt.Errorf("mesh %d uses accessor %d, which does not exist", i, a)
				}
			}
			if doc.Accessors[position].Count != doc.Accessors[normal].Count {
				return fmt.Errorf("mesh %d has not as many normals as positions", i)
			}
			if *p.Material < 0 || *p.Material >= len(doc.Materials) {
				return fmt.Errorf("mesh %d uses material %d, which does not exist", i, *p.Material)
			}
		}
	}
	return nil
}

func checkAnimations(doc *gltf.Document) error {
	for _, a := range doc.Animations {
		for _, c := range a.Channels {
			if c.Target.Node == nil || *c.Target.Node < 0 || *c.Target.Node >= len(doc.Nodes) {
				return fmt.Errorf("animation %q moves a node that does not exist", a.Name)
			}
			if doc.Nodes[*c.Target.Node].MatrixOrDefault() != gltf.DefaultMatrix {
				return fmt.Errorf("animation %q moves node %d, which has a matrix", a.Name, *c.Target.Node)
			}
			if c.Sampler < 0 || c.Sampler >= len(a.Samplers) {
				return fmt.Errorf("animation %q uses sampler %d, which does not exist", a.Name, c.Sampler)
			}
			s := a.Samplers[c.Sampler]
			if doc.Accessors[s.Input].Count != doc.Accessors[s.Output].Count {
				return fmt.Errorf("animation %q has not as many values as times", a.Name)
			}
		}
	}
	return nil
}

func checkData(doc *gltf.Document) error {
	for i, v := range doc.BufferViews {
		if v.Buffer < 0 || v.Buffer >= len(doc.Buffers) || v.ByteOffset+v.ByteLength > doc.Buffers[v.Buffer].ByteLength {
			return fmt.Errorf("view %d reaches beyond its buffer", i)
		}
	}
	for i, a := range doc.Accessors {
		size := a.ComponentType.ByteSize() * a.Type.Components()
		if a.BufferView == nil || *a.BufferView >= len(doc.BufferViews) ||
			a.ByteOffset+a.Count*size > doc.BufferViews[*a.BufferView].ByteLength {
			return fmt.Errorf("accessor %d reaches beyond its view", i)
		}
		if a.ByteOffset%a.ComponentType.ByteSize() != 0 {
			return fmt.Errorf("accessor %d is not aligned", i)
		}
	}
	return nil
}
