package convert

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/bundle"
	"planfold/testdata/open"
)

func TestTypesAreToldByContent(t *testing.T) {
	for head, want := range map[string]string{
		"\x00\x00\x00\x18ftypisom\x00\x00\x02\x00isomiso2":                                                                     "video/mp4",
		"\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00mp42avc1":                                                                     "video/mp4",
		"\x00\x00\x00\x14ftypqt  \x00\x00\x00\x00qt  ":                                                                         "video/quicktime",
		"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic":                                                                     "image/heic",
		"\x1a\x45\xdf\xa3\x9f\x42\x86\x81\x01\x42\xf7\x81\x01\x42\xf2\x81\x04\x42\xf3\x81\x08\x42\x82\x84webm\x42\x87\x81\x04": "video/webm",
		"\x1a\x45\xdf\xa3\xa3\x42\x86\x81\x01\x42\x82\x88matroska\x42\x87\x81\x04":                                             "video/matroska",
		"%PDF-2.0\n": "application/pdf",
		"\n  junk that a mail program put before\n%PDF-1.7\n":        "application/pdf",
		"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>":    "image/svg+xml",
		"<?xml version='1.0'?>\n<!-- drawn by hand -->\n<svg></svg>": "image/svg+xml",
		"RIFF\x24\x00\x00\x00WEBPVP8 ":                               "image/webp",
		"Tighten all bolts.\n":                                       "text/plain",
	} {
		assert.Equal(t, want, sniff([]byte(head), int64(len(head))), "%q", head)
	}
}

// A name that says another type is told, also where the content is plain text.
func TestNamesAreHeldAgainstTypes(t *testing.T) {
	for name, c := range map[string]struct{ head, code string }{
		"torque.nc":   {"G1 X2\n", ""},
		"README":      {"read me\n", ""},
		"torque.pdf":  {"not there yet\n", "FILE_TYPE"},
		"film.webm":   {"\x00\x00\x00\x18ftypisom\x00\x00\x02\x00isomiso2", "FILE_TYPE"},
		"film.MP4":    {"\x00\x00\x00\x18ftypisom\x00\x00\x02\x00isomiso2", ""},
		"film.mov":    {"\x00\x00\x00\x14ftypqt  \x00\x00\x00\x00qt  ", "FILE_TYPE_UNKNOWN"},
		"drawing.svg": {"<svg/>", "FILE_TYPE_UNKNOWN"},
	} {
		f := &file{path: name, input: bundle.Input{Bytes: int64(len(c.head))}}
		f.identify([]byte(c.head))
		var got string
		for _, p := range f.problems {
			got += p.code.Name
		}
		assert.Equal(t, c.code, got, name)
	}
}

// PDF 2.0 example files of the PDF Association.
func TestExamplePDFsAreToldAsSuch(t *testing.T) {
	dir := open.Path(t, "pdf20")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	n := 0
	for _, e := range entries {
		if filepath.Ext(e.Name()) != ".pdf" {
			continue
		}
		f := &file{path: e.Name()}
		var head []byte
		f.input, head, err = measure(os.DirFS(dir), e.Name())
		require.NoError(t, err)
		if f.identify(head); f.mediaType == "application/pdf" {
			n++
			assert.Empty(t, f.problems, e.Name())
		}
	}
	assert.Equal(t, 7, n)
}
