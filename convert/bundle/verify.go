package bundle

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"planfold/convert/store"
)

// Verify checks an issued tree: every digest, every document against its schema,
// every reference and total, and that no file stands there that nothing lists.
// Problems come in the order of their paths; the error is of reading the tree itself.
func Verify(tree fs.FS) ([]Problem, error) {
	v := &verifier{tree: tree, listed: map[string]bool{"catalog.json": true, "run.json": true, "run.html": true}, read: map[string]content{}}
	if v.catalog() { // without it everything would be listed nowhere
		if err := v.strays(); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(v.problems, func(a, b Problem) int { return strings.Compare(a.File, b.File) })
	return slices.Compact(v.problems), nil
}

// VerifyEdition checks one edition, by its folder in the tree and without what the catalog
// says of it. With any problem the manifest and the sums must not be used.
func VerifyEdition(tree fs.FS, folder string) (*Manifest, Sums, []Problem) {
	v := &verifier{tree: tree, listed: map[string]bool{}, read: map[string]content{}}
	text, err := fs.ReadFile(tree, folder+"/SHA256SUMS")
	if err != nil {
		v.fault(folder+"/SHA256SUMS", "is missing or cannot be read")
		return nil, nil, v.problems
	}
	sums, _ := v.sums(folder, string(text))
	m := v.manifest(folder, sums)
	if m != nil && (sums.ID() != m.Edition || folder != Folder(m.Plan, m.Revision, m.Edition)) {
		v.fault(folder+"/SHA256SUMS", "makes edition %s, which is not the one that bundle.json or the folder names", sums.ID())
	}
	return m, sums, v.problems
}

type verifier struct {
	tree     fs.FS
	listed   map[string]bool
	read     map[string]content // blobs belong to many editions, and are read once
	problems []Problem
}

// content of a file; without a digest it could not be read.
type content struct {
	digest string
	bytes  int64
}

func (v *verifier) fault(file, format string, args ...any) {
	v.problems = append(v.problems, Problem{file, fmt.Sprintf(format, args...)})
}

// catalog checks all that the catalog leads to, and reports whether there is one.
func (v *verifier) catalog() bool {
	if b, err := fs.ReadFile(v.tree, "run.json"); err == nil {
		v.problems = append(v.problems, CheckDocument("run", "run.json", b)...)
	}
	if _, err := fs.Stat(v.tree, "catalog.json"); err != nil {
		v.fault("catalog.json", "is missing: no run has finished here; run convert, and verify again")
		return false
	}
	c, err := ReadCatalog(v.tree)
	if err != nil {
		v.fault("catalog.json", "cannot be read: %v", err)
		return false
	}
	if !slices.IsSortedFunc(c.Plans, func(a, b *CatalogEntry) int { return cmp.Compare(a.ID, b.ID) }) {
		v.fault("catalog.json", "does not have its plans in the order of their ids")
	}
	for _, p := range c.Plans {
		if current := p.Edition(p.Current); p.Current != "" && (current == nil || current.Held) {
			v.fault("catalog.json", "plan %q has a current edition %q that is held or not listed", p.ID, p.Current)
		}
		for _, e := range p.Editions {
			v.edition(c, p, e)
		}
	}
	return true
}

func (v *verifier) edition(c *Catalog, p *CatalogEntry, e Edition) {
	folder := "plans/" + p.Folder + "/" + e.Folder
	if folder != Folder(p.ID, e.Revision, e.ID) {
		v.fault("catalog.json", "plan %q has edition %q in a folder of another name, %q", p.ID, e.ID, folder)
	}
	text, err := fs.ReadFile(v.tree, folder+"/SHA256SUMS")
	if err != nil {
		v.fault(folder+"/SHA256SUMS", "is missing or cannot be read")
		return
	}
	v.listed[folder+"/SHA256SUMS"] = true
	before := len(v.problems)
	sums, totals := v.sums(folder, string(text))
	if id := sums.ID(); id != e.ID {
		v.fault(folder+"/SHA256SUMS", "makes edition %s, but the catalog says %s", id, e.ID)
	}
	m := v.manifest(folder, sums)
	if m == nil {
		return
	}
	if m.Plan != p.ID || m.Edition != e.ID || m.Held != e.Held || m.Revision != e.Revision || m.Profile.Name != c.Profile || m.Cause != e.Cause {
		v.fault(folder+"/bundle.json", "disagrees with the catalog on plan, revision, edition, held, cause or profile")
	}
	listed := map[string]bool{}
	for _, s := range m.Steps {
		listed[s.Folder] = true
	}
	for path := range sums {
		if name, ok := strings.CutPrefix(path, "steps/"); ok && !listed[name[:max(0, strings.IndexByte(name, '/'))]] {
			v.fault(folder+"/"+path, "belongs to a step that bundle.json does not list")
		}
	}
	totals.Operations, totals.Items = m.Totals.Operations, m.Totals.Items
	for _, s := range m.Steps {
		totals.Triangles += s.Triangles
	}
	if intact := len(v.problems) == before; intact && totals != m.Totals {
		v.fault(folder+"/bundle.json", "gives totals that are not those of the edition's files")
	}
}

// sums reads SHA256SUMS, checks every file that it lists, and counts them.
func (v *verifier) sums(folder, text string) (Sums, Totals) {
	sums := Sums{}
	var t Totals
	for name, digest := range Listed(text) {
		if digest == "" {
			v.fault(folder+"/SHA256SUMS", "has a line that is not a digest and a path: %q", name)
			continue
		}
		v.listed[name] = true
		size := v.digest(name, digest)
		rel, inside := strings.CutPrefix(name, folder+"/")
		switch {
		case !inside:
			rel = toRoot + name
			t.Blobs++
			t.BlobBytes += size
		case strings.HasSuffix(rel, "/scene.gltf"):
			t.SceneBytes += size
		case strings.HasSuffix(rel, "/step.json"):
			t.Steps++
		}
		sums[rel] = digest
	}
	return sums, t
}

// digest checks a file's digest and returns its size.
func (v *verifier) digest(name, want string) int64 {
	got, known := v.read[name]
	if !known {
		f, err := v.tree.Open(name)
		if err == nil {
			got.digest, got.bytes, err = store.DigestOf(f)
			f.Close()
		}
		if err != nil {
			got.digest = ""
			v.fault(name, "is missing or cannot be read")
		}
		v.read[name] = got
	}
	if got.digest != "" && got.digest != want {
		v.fault(name, "does not have the digest that SHA256SUMS gives")
	}
	return got.bytes
}

// manifest checks bundle.json and the documents that it speaks of.
func (v *verifier) manifest(folder string, sums Sums) *Manifest {
	var steps []StepEntry
	var wrong error
	b := v.document(folder, "bundle", func(entry []byte) {
		var s StepEntry
		wrong = cmp.Or(wrong, json.Unmarshal(entry, &s))
		steps = append(steps, s)
	})
	v.document(folder, "origin", nil)
	var m Manifest
	if json.Unmarshal(b, &m) != nil || wrong != nil {
		return nil // the schema has said so
	}
	if len(m.Steps) == 0 {
		m.Steps = steps
	}
	ids := map[string]bool{}
	for _, s := range m.Steps {
		ids[s.ID] = true
	}
	for _, s := range m.Steps {
		doc, err := fs.ReadFile(v.tree, folder+"/steps/"+s.Folder+"/step.json")
		if err != nil {
			v.fault(folder+"/steps/"+s.Folder+"/step.json", "is missing or cannot be read")
			continue
		}
		v.add(folder, CheckStep(s.Folder, doc, v.scene(folder+"/steps/"+s.Folder+"/scene.gltf"), sums, ids))
	}
	if _, held := sums[HeldName]; held != m.Held {
		v.fault(folder+"/bundle.json", "disagrees with SHA256SUMS on whether the edition is held")
	}
	v.shared(folder, "whole.gltf", m.Whole, sums)
	v.shared(folder, "locator.gltf", m.Locator, sums)
	for _, name := range slices.Sorted(maps.Keys(sums)) {
		if strings.HasPrefix(name, "registration/") {
			v.add(folder, CheckScene(name, v.scene(folder+"/"+name), sums))
		}
	}
	return &m
}

// shared checks a scene that stands beside the steps.
func (v *verifier) shared(folder, name string, entry *WholeEntry, sums Sums) {
	doc := v.scene(folder + "/" + name)
	if (doc == nil) != (entry == nil) {
		v.fault(folder+"/bundle.json", "disagrees with %s on whether there is one", name)
	}
	if doc != nil {
		v.add(folder, CheckScene(name, doc, sums))
	}
}

// document holds a document that every edition has against its schema, and returns
// it without the steps, which are handed over. One that cannot be read in pieces is
// returned whole.
func (v *verifier) document(folder, name string, step func(entry []byte)) []byte {
	file := folder + "/" + name + ".json"
	f, err := v.tree.Open(file)
	if err != nil {
		v.fault(file, "is missing or cannot be read")
		return nil
	}
	defer f.Close()
	if rest, problems, err := checkPieces(name, file, f, 0, step); err == nil {
		v.problems = append(v.problems, problems...)
		return rest
	}
	b, err := fs.ReadFile(v.tree, file)
	if err != nil {
		v.fault(file, "is missing or cannot be read")
		return nil
	}
	v.problems = append(v.problems, CheckDocument(name, file, b)...)
	return b
}

// scene reads a scene, or nil where there is none.
func (v *verifier) scene(name string) []byte {
	b, err := fs.ReadFile(v.tree, name)
	if err != nil {
		return nil
	}
	return b
}

func (v *verifier) add(folder string, problems []Problem) {
	for _, p := range problems {
		v.fault(folder+"/"+p.File, "%s", p.Message)
	}
}

// strays names the files that nothing lists. Hidden files at the root are the
// tool's own (lock, cache).
func (v *verifier) strays() error {
	return fs.WalkDir(v.tree, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case name != "." && name[0] == '.':
			if d.IsDir() {
				return fs.SkipDir
			}
		case !d.IsDir() && !v.listed[name]:
			v.fault(name, "is listed nowhere")
		}
		return nil
	})
}
