// Package source is a geometry file as a decoder sees it: its bytes, the folder
// it may read side files from, what the plan declares about it, and positions
// in it for diagnostics.
//
// It opens nothing outside the fs.FS it is given. It knows no format.
package source

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"unicode/utf8"

	"planfold/convert/diag"
)

// File is one geometry file.
type File struct {
	FS   fs.FS
	Name string // slash-separated, in FS
	Data []byte
	Unit float64 // metres a unit, for formats that carry none; 0: not declared
	Up   byte    // the plan's up axis, 'X', 'Y' or 'Z'; 0 is 'Z'

	// Where Text stopped counting, so that positions asked for in order cost one
	// pass together.
	counted struct{ at, lines, start int }
}

// Limit is the most bytes read of one file, so that indices fit 32 bits.
const Limit = 2 << 30

// Read reads a file whole. The first result that counts is the diagnostic: a
// file that the input lacks or must not name. The error is the machine's.
func Read(fsys fs.FS, name string) ([]byte, *diag.Diagnostic, error) {
	here := diag.Position{File: name}
	if !isPath(name) {
		d := diag.GeometryPath.At(here, "%q is not a path below the input folder", name)
		return nil, &d, nil
	}
	info, err := fs.Stat(fsys, name)
	if err != nil {
		return refusal(fsys, name, err)
	}
	if !info.Mode().IsRegular() {
		d := diag.GeometryMissing.At(here, "%q is not a file", name)
		return nil, &d, nil
	}
	if info.Size() > Limit {
		d := diag.GeometryLimit.At(here, "the file has %d bytes; at most %d are read", info.Size(), int64(Limit))
		return nil, &d, nil
	}
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return refusal(fsys, name, err)
	}
	return data, nil, nil
}

// isPath refuses what no file can be called anywhere, which a disk would report
// as its own fault.
func isPath(name string) bool {
	if !fs.ValidPath(name) || name == "." || strings.ContainsRune(name, 0) {
		return false
	}
	for element := range strings.SplitSeq(name, "/") {
		if len(element) > 255 {
			return false
		}
	}
	return true
}

func refusal(fsys fs.FS, name string, err error) ([]byte, *diag.Diagnostic, error) {
	var d diag.Diagnostic
	switch {
	case errors.Is(err, fs.ErrNotExist) || throughFile(fsys, name):
		d = diag.GeometryMissing.At(diag.Position{File: name}, "%q is not there", name)
	case throughLink(fsys, name):
		d = diag.GeometryPath.At(diag.Position{File: name}, "%q is a symbolic link that leaves the input folder or leads nowhere", name)
	default:
		return nil, nil, fmt.Errorf("read %q: %w", name, err)
	}
	return nil, &d, nil
}

// throughLink tells a link that a rooted file system refuses to follow, an
// input's fault, from a disk's fault.
func throughLink(fsys fs.FS, name string) bool {
	for i := range len(name) + 1 {
		if i < len(name) && name[i] != '/' {
			continue
		}
		info, err := fs.Lstat(fsys, name[:i])
		if err == nil && info.Mode()&fs.ModeSymlink != 0 {
			return true
		}
	}
	return false
}

// throughFile reports whether a folder of the path is a file.
func throughFile(fsys fs.FS, name string) bool {
	for i := range len(name) {
		if name[i] == '/' {
			if info, err := fs.Stat(fsys, name[:i]); err == nil && !info.IsDir() {
				return true
			}
		}
	}
	return false
}

// Start is the position of the file as a whole.
func (f *File) Start() diag.Position { return diag.Position{File: f.Name} }

// Byte is a position in a binary file.
func (f *File) Byte(offset int) diag.Position {
	return diag.Position{File: f.Name, Offset: int64(offset), Binary: true}
}

// Text is a position in a text file, as line and column. Lines end with LF, CR
// or both.
func (f *File) Text(offset int) diag.Position {
	offset = min(offset, len(f.Data))
	c := &f.counted
	if offset < c.at || c.at == 0 {
		c.at, c.lines, c.start = 0, 0, len(BOM(f.Data))
	}
	for ; c.at < offset; c.at++ {
		b := f.Data[c.at]
		if b == '\n' || b == '\r' && (c.at+1 == len(f.Data) || f.Data[c.at+1] != '\n') {
			c.lines, c.start = c.lines+1, c.at+1
		}
	}
	column := 1
	if c.start < offset {
		column += utf8.RuneCount(f.Data[c.start:offset])
	}
	return diag.Position{File: f.Name, Line: c.lines + 1, Column: column}
}

// BOM is the UTF-8 byte order mark that data starts with, or nothing.
func BOM(data []byte) []byte {
	const mark = "\xef\xbb\xbf"
	if bytes.HasPrefix(data, []byte(mark)) {
		return data[:len(mark)]
	}
	return nil
}

// String is a name from a text file. Exporters write names in the code page of
// their machine: bytes that are not UTF-8 are taken as Latin-1.
func String(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	runes := make([]rune, len(b))
	for i, c := range b {
		runes[i] = rune(c)
	}
	return string(runes)
}

// Removed says how many triangles welding left out of the file's meshes.
func (f *File) Removed(degenerate, duplicate int) (list diag.List) {
	if degenerate > 0 {
		list.Add(diag.GeometryDegenerate.At(f.Start(), "triangles with two corners in one place: %d", degenerate))
	}
	if duplicate > 0 {
		list.Add(diag.GeometryDuplicate.At(f.Start(), "triangles that repeat another: %d", duplicate))
	}
	return list
}

// Empty says that the file shows nothing.
func (f *File) Empty() diag.Diagnostic {
	return diag.GeometryEmpty.At(f.Start(), "the file has no triangle that can be drawn")
}
