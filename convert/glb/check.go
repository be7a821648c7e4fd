package glb

import (
	"encoding/json"
	"errors"
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
			positions := -1
			for _, name := range []string{gltf.POSITION, gltf.NORMAL, gltf.COLOR_0, gltf.TEXCOORD_0} {
				a, there := p.Attributes[name]
				switch {
				case !there && positions >= 0 && (name != gltf.NORMAL || p.Mode == gltf.PrimitiveLines):
				case a < 0 || a >= len(doc.Accessors):
					return fmt.Errorf("mesh %d uses accessor %d, which does not exist", i, a)
				case positions < 0:
					positions = doc.Accessors[a].Count
				case doc.Accessors[a].Count != positions:
					return fmt.Errorf("mesh %d has not as many of %s as positions", i, name)
				}
			}
			if *p.Indices < 0 || *p.Indices >= len(doc.Accessors) {
				return fmt.Errorf("mesh %d uses accessor %d, which does not exist", i, *p.Indices)
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
		if err := checkCompressed(doc, v); err != nil {
			return fmt.Errorf("view %d: %w", i, err)
		}
	}
	for i, a := range doc.Accessors {
		size := a.ComponentType.ByteSize() * a.Type.Components()
		if a.BufferView == nil || *a.BufferView >= len(doc.BufferViews) {
			return fmt.Errorf("accessor %d has no view", i)
		}
		v := doc.BufferViews[*a.BufferView]
		if a.ByteOffset+(a.Count-1)*max(size, v.ByteStride)+size > v.ByteLength {
			return fmt.Errorf("accessor %d reaches beyond its view", i)
		}
		if a.ByteOffset%a.ComponentType.ByteSize() != 0 {
			return fmt.Errorf("accessor %d is not aligned", i)
		}
	}
	return nil
}

// checkCompressed follows a view to its compressed stream: a view has one where its
// buffer has no bytes, and there alone.
func checkCompressed(doc *gltf.Document, v *gltf.BufferView) error {
	_, empty := doc.Buffers[v.Buffer].Extensions[compression]
	raw, there := v.Extensions[compression].(json.RawMessage)
	if empty != there {
		return errors.New("a compressed stream and a buffer without bytes do not go together")
	}
	if !there {
		return nil
	}
	var c wireMeshopt
	if err := json.Unmarshal(raw, &c); err != nil {
		return err
	}
	switch {
	case c.Buffer < 0 || c.Buffer >= len(doc.Buffers) || c.ByteOffset+c.ByteLength > int64(doc.Buffers[c.Buffer].ByteLength):
		return errors.New("its compressed stream reaches beyond its buffer")
	case c.ByteStride*c.Count != v.ByteLength || v.ByteStride != 0 && v.ByteStride != c.ByteStride:
		return errors.New("its compressed stream holds another number of bytes")
	}
	return nil
}
