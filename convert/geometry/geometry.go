// Package geometry is the table of geometry formats. It opens a file, finds its
// format by content, and has it decoded into a scene in metres and the plan's
// axes: welded, without degenerate and duplicate triangles, a group a material.
//
// glTF is in metres with Y up and is turned to the plan's up axis at the roots;
// STL and OBJ need a declared unit and keep their axes. Nothing outside the
// fs.FS given is opened. A file with an error is refused whole: its scene is nil.
package geometry

import (
	"io/fs"
	"path"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/geometry/gltf"
	"planfold/convert/geometry/obj"
	"planfold/convert/geometry/source"
	"planfold/convert/geometry/stl"
	"planfold/convert/mesh"
)

// Version changes whenever the same file may give another scene or other diagnostics.
const Version = "4"

// Options say what the plan declares about its geometry files.
type Options struct {
	Unit float64 // metres a unit of STL and OBJ; 0: not declared, such files are refused
	Up   byte    // the plan's up axis, 'X', 'Y' or 'Z'; 0 is 'Z'
}

type format struct {
	name   string
	sniff  func(head []byte, name string) bool
	decode func(*source.File) (*mesh.Scene, diag.List, error)
}

// formats are asked in order; those that know their files by content come first.
var formats = []format{
	{"glb", gltf.SniffBinary, gltf.Decode},
	{"gltf", gltf.Sniff, gltf.Decode},
	{"obj", obj.Sniff, obj.Decode},
	{"stl", stl.Sniff, stl.Decode},
}

// FormatOf names the format of a file by its first bytes and its name: "glb",
// "gltf", "stl", "obj", or "" when it is none of them. 1024 bytes are enough.
func FormatOf(head []byte, name string) string {
	if f := find(head, name); f != nil {
		return f.name
	}
	return ""
}

func find(head []byte, name string) *format {
	for _, hint := range []string{"", name} { // content speaks before the name
		for i := range formats {
			if formats[i].sniff(head, hint) {
				return &formats[i]
			}
		}
	}
	return nil
}

// Decode reads the file name of fsys. The error is a fault of the machine.
func Decode(fsys fs.FS, name string, o Options) (*mesh.Scene, diag.List, error) {
	data, fault, err := source.Read(fsys, name)
	if err != nil {
		return nil, nil, err
	}
	if fault != nil {
		return nil, diag.List{*fault}, nil
	}
	f := &source.File{FS: fsys, Name: name, Data: data, Unit: o.Unit, Up: o.Up}
	format := find(data[:min(len(data), 1024)], name)
	if format == nil {
		return nil, diag.List{diag.GeometryFormatUnknown.At(f.Start(), "%q is neither glTF, GLB, STL nor OBJ", name)}, nil
	}
	var list diag.List
	if named := strings.ToLower(strings.TrimPrefix(path.Ext(name), ".")); named != format.name {
		list.Add(diag.GeometryFormatOther.At(f.Start(), "the file named %q holds %s", path.Base(name), strings.ToUpper(format.name)))
	}
	scene, found, err := format.decode(f)
	list.Add(found...)
	return scene, list, err
}
