package compare

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/diag"
)

// Issued is an edition's folder, or a tree.
type Issued struct {
	FS   fs.FS
	Name string // as given by the user, for diagnostics
}

// tree reports whether it is a tree; an edition has a manifest instead.
func (i Issued) tree() (bool, error) {
	if _, err := fs.Stat(i.FS, "catalog.json"); err == nil {
		return true, nil
	}
	if _, err := fs.Stat(i.FS, "bundle.json"); err == nil {
		return false, nil
	}
	return false, &NeitherError{i.Name}
}

// NeitherError says that a folder is neither an edition nor a tree, or that one side is
// an edition and the other a tree.
type NeitherError struct{ Name string }

func (e *NeitherError) Error() string {
	if e.Name == "" {
		return "one side is an edition and the other a tree"
	}
	return fmt.Sprintf("folder %q is neither an edition (it has no bundle.json) nor a tree (no catalog.json)", e.Name)
}

// Issues compares two editions, or the current editions of two trees (of a plan whose
// editions are all held, the last), and hands over each plan's result, in the order of
// their ids. Each file of an edition's folder is held against SHA256SUMS; blobs are not
// read: their names are their digests.
func Issues(old, new Issued, each func(*Result) error) error {
	trees, err := old.tree()
	if err != nil {
		return err
	}
	also, err := new.tree()
	switch {
	case err != nil:
		return err
	case trees != also:
		return &NeitherError{}
	case !trees:
		return each(compareIssued(old, new))
	}
	return compareTrees(old, new, each)
}

func compareTrees(old, new Issued, each func(*Result) error) error {
	var folders [2]map[string]string // of the editions, by plan
	remarks := map[string]diag.List{}
	for side, t := range []Issued{old, new} {
		c, err := bundle.ReadCatalog(t.FS)
		if err != nil {
			return each(&Result{Diagnostics: diag.List{diag.DiffDamaged.At(diag.Position{File: t.Name + "/catalog.json"}, "%v", err)}})
		}
		folders[side] = map[string]string{}
		for _, p := range c.Plans {
			last := p.Editions[len(p.Editions)-1].Folder
			folders[side][p.ID] = "plans/" + p.Folder + "/" + cmp.Or(p.Current, last)
			if held := p.HeldLater(); held != nil {
				at := diag.Position{File: t.Name + "/plans/" + p.Folder + "/" + held.Folder}
				remarks[p.ID] = append(remarks[p.ID], diag.DiffHeldLater.At(at, "this edition of plan %q is held, and was issued after the current one, %s, which is compared", p.ID, p.Current))
			}
		}
	}
	all := maps.Clone(folders[0])
	maps.Copy(all, folders[1])
	// Sorted, since a map has no order.
	for _, id := range slices.Sorted(maps.Keys(all)) {
		r := comparePlans(id, old.at(folders[0][id]), new.at(folders[1][id]))
		r.Diagnostics.Add(remarks[id]...)
		if err := each(r); err != nil {
			return err
		}
	}
	return nil
}

// at is a folder of a tree; without one the FS is nil.
func (i Issued) at(folder string) Issued {
	if folder == "" {
		return Issued{}
	}
	sub, err := fs.Sub(i.FS, folder)
	if err != nil {
		panic("compare: internal error: " + err.Error())
	}
	return Issued{sub, i.Name + "/" + folder}
}

// comparePlans compares an edition of each side; one side may have none.
func comparePlans(id string, old, new Issued) *Result {
	if old.FS != nil && new.FS != nil {
		return compareIssued(old, new)
	}
	kind, there := Added, new
	if new.FS == nil {
		kind, there = Removed, old
	}
	r := &Result{Plan: id}
	e, damaged := readIssued(there)
	if damaged != nil {
		r.Diagnostics.Add(*damaged)
		return r
	}
	w := &walker{base: Change{Plan: id}}
	at, says := place{path: "plan", field: field{class: Safety}}, fmt.Sprintf("revision %s, %s", e.head.Revision, counted(len(e.steps), "step"))
	if kind == Added {
		r.New = e.side
		w.tell(at, kind, nil, says, origin{}, origin{})
	} else {
		r.Old = e.side
		w.tell(at, kind, says, nil, origin{}, origin{})
	}
	r.Changes = w.out
	return r
}

func compareIssued(old, new Issued) *Result {
	a, damagedOld := readIssued(old)
	b, damagedNew := readIssued(new)
	r := &Result{}
	for _, d := range []*diag.Diagnostic{damagedOld, damagedNew} {
		if d != nil {
			r.Diagnostics.Add(*d)
		}
	}
	if len(r.Diagnostics) > 0 {
		return r
	}
	damaged := readOrigins(old, new, a, b)
	r = compareEditions(&a.edition, &b.edition)
	for _, e := range []*issuedEdition{a, b} {
		for _, file := range slices.Sorted(maps.Keys(e.damaged)) { // a map has no order
			r.Diagnostics.Add(*e.damaged[file])
		}
	}
	if damaged != nil {
		r.Diagnostics.Add(*damaged)
	}
	return r
}

// issuedEdition is an edition that is read from its folder.
type issuedEdition struct {
	edition
	from    Issued
	folders []string // by step
	origins *bundle.Origins
	damaged map[string]*diag.Diagnostic // files that are not as they were issued; nothing is read from them
}

func stepFile(folder string) string { return "steps/" + folder + "/step.json" }

// damages are the files of an edition that are not what is listed.
func (i Issued) damages(sums bundle.Sums) map[string]*diag.Diagnostic {
	out := map[string]*diag.Diagnostic{}
	for file, digest := range sums {
		f, err := i.FS.Open(file)
		if err == nil {
			err = bundle.Intact(f, digest)
			f.Close()
		}
		if err != nil {
			out[file] = i.damage(file, err)
		}
	}
	return out
}

// damage is what is wrong with a file of an edition.
func (i Issued) damage(file string, err error) *diag.Diagnostic {
	why := err.Error()
	if errors.Is(err, fs.ErrNotExist) {
		why = "is missing"
	}
	d := diag.DiffDamaged.At(diag.Position{File: i.Name + "/" + file}, "%s", why)
	return &d
}

// decode reads a JSON document that has no member which its structure does not know:
// what it says there would not be compared.
func (i Issued) decode(file string, into any) *diag.Diagnostic {
	text, err := fs.ReadFile(i.FS, file)
	if err == nil {
		d := json.NewDecoder(bytes.NewReader(text))
		d.DisallowUnknownFields()
		if err = d.Decode(into); err == nil && d.More() {
			err = errors.New("more than one JSON value")
		}
	}
	if err != nil {
		return i.damage(file, err)
	}
	return nil
}

func readIssued(i Issued) (*issuedEdition, *diag.Diagnostic) {
	var m bundle.Manifest
	if damaged := i.decode("bundle.json", &m); damaged != nil {
		return nil, damaged
	}
	sums, missing := i.sums(&m)
	if missing != nil {
		return nil, missing
	}
	e := &issuedEdition{from: i, damaged: i.damages(sums)}
	if d := e.damaged["bundle.json"]; d != nil {
		return nil, d
	}
	e.head = head{Revision: m.Revision, Held: m.Held, Effective: m.Effective, Profile: m.Profile.Name, Whole: m.Whole, Locator: m.Locator}
	e.head.Plan.ID.Value, e.head.Plan.Title, e.head.Plan.Status, e.head.Plan.Approver = m.Plan, m.Title, m.Status, m.Approver
	e.whole, e.locator = sums["whole.gltf"], sums["locator.gltf"]
	e.skipped, e.list = m.Skipped, m.Diagnostics
	e.side = Side{m.Revision, m.Edition, len(m.Steps)}
	for _, s := range m.Steps {
		file := stepFile(s.Folder)
		digest := sums[file]
		if e.damaged[file] != nil {
			digest = ""
		}
		e.folders = append(e.folders, s.Folder)
		e.steps = append(e.steps, entry{s.Operation, s.ID, s.Sequence, digest})
	}
	e.open = e.read
	return e, nil
}

// sums are the digests of the files in the edition's folder. A file that is read and not
// listed has none, and so is not what was issued.
func (i Issued) sums(m *bundle.Manifest) (bundle.Sums, *diag.Diagnostic) {
	text, err := fs.ReadFile(i.FS, "SHA256SUMS")
	if err != nil {
		return nil, i.damage("SHA256SUMS", err)
	}
	sums := bundle.Sums{"bundle.json": "", "origin.json": ""}
	for _, s := range m.Steps {
		sums[stepFile(s.Folder)] = ""
	}
	folder := bundle.Folder(m.Plan, m.Revision, m.Edition) + "/"
	for name, digest := range bundle.Listed(string(text)) { // a line that is none is for verify to find
		if rel, inside := strings.CutPrefix(name, folder); inside {
			sums[rel] = digest
		}
	}
	return sums, nil
}

func (e *issuedEdition) read(i int) (*document, *diag.Diagnostic) {
	doc, file := &document{step: &bundle.Step{}}, stepFile(e.folders[i])
	if e.damaged[file] != nil {
		return nil, nil // it has been told
	}
	if damaged := e.from.decode(file, doc.step); damaged != nil {
		return nil, damaged
	}
	if doc.step.Operation == nil {
		return nil, e.from.damage(file, errors.New("has no operation"))
	}
	if e.origins != nil {
		e.origins.Restore(e.folders[i], doc.step)
	}
	return doc, nil
}

// readOrigins reads where the values of those steps come from that are not the same
// on both sides.
func readOrigins(old, new Issued, a, b *issuedEdition) *diag.Diagnostic {
	digests := map[string]bool{}
	for _, s := range a.steps {
		digests[s.digest] = true
	}
	both := map[string]bool{}
	for _, s := range b.steps {
		both[s.digest] = digests[s.digest] && s.digest != ""
	}
	for i, e := range []*issuedEdition{a, b} {
		if e.damaged["origin.json"] != nil {
			continue
		}
		from := []Issued{old, new}[i]
		wanted := map[string]bool{}
		for k, s := range e.steps {
			if !both[s.digest] {
				wanted[e.folders[k]] = true
			}
		}
		f, err := from.FS.Open("origin.json")
		if err != nil {
			return from.damage("origin.json", err)
		}
		e.origins, err = bundle.ReadOrigins(f, wanted)
		f.Close()
		if err != nil {
			return from.damage("origin.json", err)
		}
	}
	return nil
}
