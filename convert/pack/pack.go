// Package pack makes one self-contained file of what was issued: a GLB of a step's
// scene, or a zip archive of an edition.
//
// The archive holds the edition's files as they were issued, blobs included, under the
// names that they have in the tree, so that every reference and the edition's own
// SHA256SUMS hold where it is unpacked. Beside each glTF document stands a GLB of it,
// which opens by itself; a SHA256SUMS at the top lists all files. Names are sorted (that
// list comes last), times fixed: the same edition gives the same bytes.
//
// Whatever is read is held against the digests of the edition. The caller verifies the
// edition first, and stores what is written; no path of the machine is known here.
//
// Reference: PKWARE APPNOTE 6.3 (ZIP), by Go's archive/zip.
package pack

import (
	"archive/zip"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"time"

	"planfold/convert/bundle"
	"planfold/convert/glb"
	"planfold/convert/store"
)

// Edition is an issued edition: its folder in the tree, and the sums that it was
// verified against.
type Edition struct {
	Tree   fs.FS
	Folder string
	Sums   bundle.Sums
}

// sumsName is the list of digests, of an edition and of an archive.
const sumsName = "SHA256SUMS"

// GLB makes one file of a glTF document of the edition, named from its folder.
func (e *Edition) GLB(document string) ([]byte, error) {
	text, err := e.read(document)
	if err != nil {
		return nil, err
	}
	return glb.Pack(text, func(uri string) ([]byte, error) { return e.read(path.Join(path.Dir(document), uri)) })
}

// read gives a file as it was issued.
func (e *Edition) read(name string) ([]byte, error) {
	data, err := fs.ReadFile(e.Tree, path.Join(e.Folder, name))
	if err == nil && store.Digest(data) != e.Sums[name] {
		err = fmt.Errorf("%q changed while it was packed", name)
	}
	return data, err
}

// Archive writes the edition as a zip archive and returns how many files it holds.
func (e *Edition) Archive(w io.Writer) (files int, err error) {
	made := map[string]func() ([]byte, error){
		path.Join(e.Folder, sumsName): func() ([]byte, error) { return fs.ReadFile(e.Tree, path.Join(e.Folder, sumsName)) },
	}
	for name := range e.Sums {
		made[path.Join(e.Folder, name)] = func() ([]byte, error) { return e.read(name) }
		if document, is := strings.CutSuffix(name, ".gltf"); is {
			made[path.Join(e.Folder, document+".glb")] = func() ([]byte, error) { return e.GLB(name) }
		}
	}
	z := zip.NewWriter(w)
	var sums strings.Builder
	for _, name := range slices.Sorted(maps.Keys(made)) {
		data, err := made[name]()
		if err != nil {
			return 0, err
		}
		fmt.Fprintf(&sums, "%s  %s\n", store.Digest(data), name)
		if err := add(z, name, data); err != nil {
			return 0, err
		}
	}
	if err := add(z, sumsName, []byte(sums.String())); err != nil {
		return 0, err
	}
	return len(made) + 1, z.Close()
}

// earliest is the first time that a zip archive can hold.
var earliest = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

func add(z *zip.Writer, name string, data []byte) error {
	h := &zip.FileHeader{Name: name, Method: zip.Deflate, Modified: earliest}
	h.SetMode(0o644)
	f, err := z.CreateHeader(h)
	if err == nil {
		_, err = f.Write(data)
	}
	return err
}

// Check reads an archive again and finds in it what its SHA256SUMS lists, and no other
// file.
func Check(r io.ReaderAt, size int64) error {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return err
	}
	text, err := fs.ReadFile(z, sumsName)
	if err != nil {
		return err
	}
	want := map[string]string{}
	for line := range strings.Lines(string(text)) {
		digest, name, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		want[name] = digest
	}
	for _, f := range z.File {
		if f.Name == sumsName {
			continue
		}
		got, err := digestOf(f)
		if err != nil {
			return err
		}
		if got != want[f.Name] {
			return fmt.Errorf("the archive does not give %q back", f.Name)
		}
		delete(want, f.Name)
	}
	if len(want) > 0 {
		return fmt.Errorf("the archive lacks %d files", len(want))
	}
	return nil
}

func digestOf(f *zip.File) (string, error) {
	r, err := f.Open()
	if err != nil {
		return "", err
	}
	defer r.Close()
	digest, _, err := store.DigestOf(r)
	return digest, err
}
