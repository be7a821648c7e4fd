package bundle

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"maps"
	"slices"
	"strings"

	"planfold/convert/store"
)

// Sums are the files that an edition consists of, with their digests, by path
// relative to the edition's folder; a blob stands at "../../../blobs/…".
type Sums map[string]string

const toRoot = "../../../" // from an edition's folder to the tree's

// HeldName is the file that stands in a held edition and says why it is.
const HeldName = "HELD"

// BlobPath is the path of a blob from an edition's folder.
func BlobPath(digest, ext string) string { return toRoot + store.BlobName(digest, ext) }

// ID identifies an edition by what it consists of: the first 12 hex digits of the
// SHA-256 over its sorted sums. bundle.json and origin.json are not among them:
// they say how it was made.
func (s Sums) ID() string {
	h := sha256.New()
	for _, path := range slices.Sorted(maps.Keys(s)) {
		if path != "bundle.json" && path != "origin.json" {
			fmt.Fprintf(h, "%s  %s\n", s[path], path)
		}
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
}

// Write writes SHA256SUMS in coreutils' format, with paths from the tree's root.
func (s Sums) Write(w io.Writer, folder string) error {
	for _, rel := range slices.Sorted(maps.Keys(s)) {
		path, blob := strings.CutPrefix(rel, toRoot)
		if !blob {
			path = folder + "/" + rel
		}
		if _, err := fmt.Fprintf(w, "%s  %s\n", s[rel], path); err != nil {
			return err
		}
	}
	return nil
}

// Listed are the paths that the text of SHA256SUMS lists, from the tree's root, with their
// digests. A line that is not a digest and a path is given as it is, with none.
func Listed(text string) iter.Seq2[string, string] {
	return func(yield func(path, digest string) bool) {
		for line := range strings.Lines(text) {
			line = strings.TrimSuffix(line, "\n")
			digest, path, ok := strings.Cut(line, "  ")
			if !ok || !fs.ValidPath(path) {
				digest, path = "", line
			}
			if !yield(path, digest) {
				return
			}
		}
	}
}

// Intact holds a file against the digest that SHA256SUMS lists for it.
func Intact(file io.Reader, listed string) error {
	digest, _, err := store.DigestOf(file)
	if err == nil && digest != listed {
		err = errors.New("is not as it was issued; planfold verify names all that differs")
	}
	return err
}

// Folder is where an edition stands in the tree.
func Folder(plan, revision, edition string) string {
	return "plans/" + Name(plan) + "/" + EditionName(revision, edition)
}

// EditionName is the name of an edition's own folder.
func EditionName(revision, edition string) string { return Name(revision) + "@" + edition }
