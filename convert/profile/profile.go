// Package profile holds output profiles: what a kind of device takes. A profile is
// a JSON object with the members of the type Profile, all of them; two are built in.
//
// A profile changes bytes of the result, so it is part of an edition's making;
// how to run (workers, cache) is not in here.
package profile

import (
	"embed"
	"fmt"

	"planfold/convert/diag"
)

// Profile is what one kind of device takes.
type Profile struct {
	Name            string `json:"name"`
	StepTriangles   int    `json:"stepTriangles"`   // drawn in one step's scene
	WholeTriangles  int    `json:"wholeTriangles"`  // drawn in the finished product's scene
	PictureEdge     int    `json:"pictureEdge"`     // pixels of a picture's longer edge
	AttachmentBytes int64  `json:"attachmentBytes"` // of one attachment
	Compression     bool   `json:"compression"`     // scenes need EXT_meshopt_compression and KHR_mesh_quantization; else plain glTF
}

//go:embed *.json
var builtIn embed.FS

// Named is a built-in profile.
func Named(name string) (Profile, bool) {
	b, err := builtIn.ReadFile(name + ".json")
	if err != nil {
		return Profile{}, false
	}
	p, list := Parse(name+".json", b)
	if len(list) > 0 {
		panic(fmt.Sprintf("profile: internal error: %v", list[0]))
	}
	return p, true
}

// Parse reads a profile; name is its file's, for diagnostics. A profile with any
// diagnostic must not be used.
func Parse(name string, b []byte) (Profile, diag.List) {
	members, list := members(name, b)
	if len(list) > 0 {
		return Profile{}, list
	}
	var p Profile
	r := reader{file: name, members: members}
	r.text("name", &p.Name)
	r.count("stepTriangles", &p.StepTriangles, 12, 100_000_000)
	r.count("wholeTriangles", &p.WholeTriangles, 12, 100_000_000)
	r.count("pictureEdge", &p.PictureEdge, 16, 65_535)
	bytes := 0
	r.count("attachmentBytes", &bytes, 1, 1<<40)
	p.AttachmentBytes = int64(bytes)
	r.flag("compression", &p.Compression)
	r.rest()
	return p, r.list
}
