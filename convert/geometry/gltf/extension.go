package gltf

import (
	"fmt"
	"slices"
	"strings"

	"planfold/convert/diag"
)

// harmless are extensions that change nothing we read: a file may require them.
var harmless = []string{
	"EXT_lights_image_based", "EXT_lights_ies", "EXT_texture_avif", "EXT_texture_webp", "KHR_animation_pointer", "KHR_lights_punctual",
	"KHR_texture_basisu", "KHR_texture_transform", "KHR_xmp", "KHR_xmp_json_ld", "MSFT_texture_dds",
}

func isHarmless(name string) bool {
	return slices.Contains(harmless, name) || strings.HasPrefix(name, "KHR_materials_")
}

const (
	quantization = "KHR_mesh_quantization"
	visibility   = "KHR_node_visibility"
	draco        = "KHR_draco_mesh_compression"
	compression  = "EXT_meshopt_compression"
)

func (r *reader) extensions() {
	for _, v := range r.array(r.field(0, "extensionsUsed")) {
		switch name := r.str(v); name {
		case quantization:
			r.quantized = true
		case visibility, compression:
		default:
			r.skipped.extensions = append(r.skipped.extensions, name)
		}
	}
	for _, v := range r.array(r.field(0, "extensionsRequired")) {
		switch name := r.str(v); {
		case r.stopped():
			return
		case name == quantization:
			r.quantized = true
		case name != visibility && name != compression && !isHarmless(name):
			r.fail(diag.GltfExtension, v, "the file cannot be read without the extension %.80q", name)
		}
	}
}

// extension is the object of an extension on v, or -1.
func (r *reader) extension(v int, name string) int {
	return r.field(r.field(v, "extensions"), name)
}

// skipped counts what was met and not read.
type skipped struct {
	extensions []string
	invisible  int // nodes
	shape      int // first node or primitive that is bent: its value, 0 for none
	texture    int // first texture
	primitives int
	primitive  int // the first
	why        string
	attributes int
	attribute  int // the first
}

func (s *skipped) leave(v int, why string) {
	if s.primitives++; s.primitives == 1 {
		s.primitive, s.why = v, why
	}
}

// note reports what was not read, a diagnostic a kind.
func (r *reader) note() {
	s := &r.skipped
	var kinds []string
	count := func(n int, one string) {
		if n > 0 {
			kinds = append(kinds, fmt.Sprintf("%ss: %d", one, n))
		}
	}
	count(len(r.array(r.field(0, "animations"))), "animation")
	count(len(r.array(r.field(0, "cameras"))), "camera")
	count(max(0, len(r.array(r.field(0, "scenes")))-1), "other scene")
	count(s.invisible, "invisible node")
	if len(s.extensions) > 0 {
		kinds = append(kinds, fmt.Sprintf("extensions: %.400s", strings.Join(s.extensions, ", ")))
	}
	if len(kinds) > 0 {
		r.list.Add(diag.GltfIgnored.At(r.at(int(r.values[0].start)), "not read: %s", strings.Join(kinds, "; ")))
	}
	if s.shape > 0 {
		r.list.Add(diag.GltfShape.At(r.at(int(r.values[s.shape].start)), "%s: a skin or morph targets bend the mesh; it is taken at rest", r.pointer(s.shape)))
	}
	if s.texture > 0 {
		r.list.Add(diag.GeometryTexture.At(r.at(int(r.values[s.texture].start)), "%s: a material has textures", r.pointer(s.texture)))
	}
	r.noteDecor()
	if s.primitives > 0 {
		r.list.Add(diag.GltfPrimitive.At(r.at(int(r.values[s.primitive].start)), "%s: %s; primitives left out in all or part: %d", r.pointer(s.primitive), s.why, s.primitives))
	}
}
