package convert

import (
	"bytes"
	"encoding/binary"
	"net/http"
	"path"
	"strings"

	"planfold/convert/diag"
)

// mediaTypes are the types that an attachment may have, with the extension of
// their blob and the extensions that a file of that type may have.
var mediaTypes = map[string]struct{ extension, names string }{
	"image/jpeg":        {"jpg", ".jpg .jpeg .jpe .jfif"},
	"image/png":         {"png", ".png"},
	"image/gif":         {"gif", ".gif"},
	"image/webp":        {"webp", ".webp"},
	"image/bmp":         {"bmp", ".bmp .dib"},
	"application/pdf":   {"pdf", ".pdf"},
	"video/mp4":         {"mp4", ".mp4 .m4v .mov"},
	"video/webm":        {"webm", ".webm .mkv"},
	"model/stl":         {"stl", ".stl"},
	"model/gltf-binary": {"glb", ".glb"},
	"text/plain":        {"txt", ".txt .text .csv .md .log .nc"},
}

// identify tells the type of a file by its content, never by its name alone.
func (f *file) identify(head []byte) {
	f.mediaType = sniff(head, f.input.Bytes)
	known, ok := mediaTypes[f.mediaType]
	if !ok {
		f.fail(diag.FileTypeUnknown, "%q is of type %q, which cannot be shown", f.path, f.mediaType)
		return
	}
	f.extension = known.extension
	named := strings.ToLower(path.Ext(f.path))
	if !strings.Contains(" "+known.names+" ", " "+named+" ") && f.mediaType != "text/plain" {
		f.fail(diag.FileType, "%q is named %q but holds %s", f.path, named, f.mediaType)
	}
}

func sniff(head []byte, size int64) string {
	switch {
	case bytes.HasPrefix(head, []byte("glTF")):
		return "model/gltf-binary"
	case len(head) >= 84 && size == 84+50*int64(binary.LittleEndian.Uint32(head[80:])):
		return "model/stl" // binary; an ASCII one is told by its first words
	case bytes.HasPrefix(bytes.TrimLeft(head, " \t\r\n"), []byte("solid ")) && bytes.Contains(head, []byte("facet")):
		return "model/stl"
	}
	kind, _, _ := strings.Cut(http.DetectContentType(head), ";")
	return kind
}
