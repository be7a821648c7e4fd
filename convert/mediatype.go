package convert

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"net/http"
	"path"
	"slices"
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
	"video/webm":        {"webm", ".webm"},
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
	if !names(known.names, named) && (f.mediaType != "text/plain" || namesAny(named)) {
		f.fail(diag.FileType, "%q is named %q but holds %s", f.path, named, f.mediaType)
	}
}

// names reports whether an extension is one of a list.
func names(list, extension string) bool {
	return extension != "" && slices.Contains(strings.Fields(list), extension)
}

// namesAny holds for the extensions of types: text may have any other.
func namesAny(extension string) bool {
	for _, known := range mediaTypes {
		if names(known.names, extension) {
			return true
		}
	}
	return false
}

func sniff(head []byte, size int64) string {
	switch film := sniffFilm(head); {
	case film != "":
		return film
	case bytes.HasPrefix(head, []byte("glTF")):
		return "model/gltf-binary"
	case len(head) >= 84 && size == 84+50*int64(binary.LittleEndian.Uint32(head[80:])):
		return "model/stl" // binary; an ASCII one is told by its first words
	case bytes.HasPrefix(bytes.TrimLeft(head, " \t\r\n"), []byte("solid ")) && bytes.Contains(head, []byte("facet")):
		return "model/stl"
	}
	kind, _, _ := strings.Cut(http.DetectContentType(head), ";")
	if strings.HasPrefix(kind, "text/") || kind == "application/octet-stream" {
		switch {
		case bytes.Contains(head[:min(len(head), 1024)], []byte("%PDF-")): // ISO 32000: not always at the start
			return "application/pdf"
		case bytes.Contains(head, []byte("<svg")): // it may hold scripts
			return "image/svg+xml"
		}
	}
	return kind
}

// brands of files that begin with a file type box (ISO/IEC 14496-12) and are no film that
// a device is sure to play. Others are.
var brands = map[string]string{
	"qt  ": "video/quicktime", "M4A ": "audio/mp4", "M4B ": "audio/mp4",
	"heic": "image/heic", "heix": "image/heic", "mif1": "image/heif", "msf1": "image/heif", "avif": "image/avif",
}

// sniffFilm tells containers apart by the kind that they say they are.
func sniffFilm(head []byte) string {
	switch {
	case len(head) >= 12 && string(head[4:8]) == "ftyp":
		return cmp.Or(brands[string(head[8:12])], "video/mp4")
	case !bytes.HasPrefix(head, []byte("\x1a\x45\xdf\xa3")): // EBML (RFC 8794)
		return ""
	case bytes.Contains(head[:min(len(head), 128)], []byte("\x42\x82\x84webm")): // its document type
		return "video/webm"
	}
	return "video/matroska"
}
