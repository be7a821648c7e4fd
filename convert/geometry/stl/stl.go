// Package stl reads stereolithography files, binary and text. Facet normals,
// which files often have wrong, and colours in the attribute bytes, which no
// two programs write alike, are not read: corners in counter-clockwise order
// say which side is out.
//
// The format: 3D Systems, Stereolithography Interface Specification, 1989.
package stl

import (
	"bytes"
	"encoding/binary"
	"math"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
)

// Sniff tells an STL file by its first bytes, or, as binary STL has no mark, by
// its name.
func Sniff(head []byte, name string) bool {
	return isText(head) || strings.HasSuffix(strings.ToLower(name), ".stl")
}

// Decode reads all solids of a file, a node each. The scene is nil when the
// file is refused.
func Decode(f *source.File) (*mesh.Scene, diag.List, error) {
	if f.Unit <= 0 {
		return nil, diag.List{diag.GeometryUnitMissing.At(f.Start(), "STL carries no unit and none is declared for it")}, nil
	}
	s := &solids{scene: &mesh.Scene{}}
	var list diag.List
	if isText(f.Data) {
		list = decodeText(f, s)
	} else {
		list = decodeBinary(f, s)
	}
	if list.HasError() {
		return nil, list, nil
	}
	return s.finish(f, list)
}

// isText tells text from binary files whose free header starts with "solid":
// the first word after the solid's name must be a keyword, and a header that
// imitates even that would have to keep its 80 bytes and the count free of
// control characters.
func isText(data []byte) bool {
	data = data[len(source.BOM(data)):]
	head := data[:min(len(data), 1024)]
	l := lexer{data: head}
	if word, _ := l.word(); !is(word, "solid") {
		return false
	}
	for _, c := range head {
		if c < ' ' && !isSpace(c) && c != 0x1a {
			return false
		}
	}
	l.line()
	word, _ := l.word()
	return len(word) == 0 || l.at == len(head) || is(word, "facet") || is(word, "endsolid") || len(data) < 84
}

const (
	headerSize = 84
	facetSize  = 50
)

func decodeBinary(f *source.File, s *solids) (list diag.List) {
	if len(f.Data) < headerSize {
		list.Add(diag.GeometryTruncated.At(f.Byte(len(f.Data)), "a binary STL file has a header of 84 bytes; this file has %d bytes", len(f.Data)))
		return list
	}
	count := int(binary.LittleEndian.Uint32(f.Data[80:]))
	facets := f.Data[headerSize:]
	switch held := len(facets) / facetSize; {
	case held < count:
		list.Add(diag.GeometryTruncated.At(f.Byte(80), "the header counts %d triangles; the file holds %d", count, held))
		return list
	case len(facets) > count*facetSize:
		list.Add(diag.GeometryTrailing.At(f.Byte(headerSize+count*facetSize),
			"%d bytes follow the %d triangles that the header counts", len(facets)-count*facetSize, count))
	}
	s.begin("")
	s.welder.Expect(count)
	for at := 0; at < count*facetSize; at += facetSize {
		facet, t := facets[at:at+facetSize], s.triangle()
		for i := range t {
			for k := range t[i] {
				t[i][k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(facet[12+12*i+4*k:]))) * f.Unit
			}
			if !source.Near(t[i]) {
				list.Add(diag.GeometryCoordinate.At(f.Byte(headerSize+at+12+12*i), "corner %d of triangle %d is at %v", i+1, at/facetSize+1, t[i]))
				return list
			}
		}
	}
	return list
}

// solids collects the solids of a file.
type solids struct {
	scene                 *mesh.Scene
	welder                *mesh.Welder // of the open solid
	waiting               [32][3]mesh.Vec
	waits                 int // how many of waiting are to be welded
	degenerate, duplicate int
}

func (s *solids) begin(name string) {
	s.end()
	s.welder = &mesh.Welder{}
	s.scene.Roots = append(s.scene.Roots, len(s.scene.Nodes))
	s.scene.Nodes = append(s.scene.Nodes, mesh.Node{Name: name, Transform: mesh.Identity(), Mesh: -1})
}

// triangle is room for the corners of one more.
func (s *solids) triangle() *[3]mesh.Vec {
	if s.waits == len(s.waiting) {
		s.weld()
	}
	s.waits++
	return &s.waiting[s.waits-1]
}

func (s *solids) weld() {
	s.welder.Soup(s.waiting[:s.waits])
	s.waits = 0
}

func (s *solids) end() {
	if s.welder == nil {
		return
	}
	s.weld()
	s.degenerate += s.welder.Degenerate
	s.duplicate += s.welder.Duplicate
	if m := s.welder.Mesh(); m != nil {
		n := &s.scene.Nodes[len(s.scene.Nodes)-1]
		n.Mesh, n.Materials = len(s.scene.Meshes), []int{-1}
		s.scene.Meshes = append(s.scene.Meshes, m)
	}
	s.welder = nil
}

func (s *solids) finish(f *source.File, list diag.List) (*mesh.Scene, diag.List, error) {
	s.end()
	list.Add(f.Removed(s.degenerate, s.duplicate)...)
	if len(s.scene.Meshes) == 0 {
		list.Add(f.Empty())
		return nil, list, nil
	}
	return s.scene, list, nil
}

func is(word []byte, keyword string) bool {
	return string(word) == keyword || bytes.EqualFold(word, []byte(keyword))
}
