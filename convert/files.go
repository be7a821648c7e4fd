package convert

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"golang.org/x/text/unicode/norm"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/convert/store"
)

// fileKey is a reference to a file, as the plan writes it.
type fileKey struct {
	folder *Folder
	ref    string
}

// file is what became of a reference. With a problem that is an error there is no
// file; with a lesser one there is.
type file struct {
	path      string
	input     bundle.Input
	mediaType string
	extension string       // of its blob
	scaled    bundle.Input // a picture that was made smaller: what is issued instead, kept in the cache
	problems  []problem
}

// problem is raised anew at each place that refers to the file.
type problem struct {
	code    *diag.Code
	message string
}

func (f *file) fail(c *diag.Code, format string, args ...any) *file {
	f.problems = append(f.problems, problem{c, fmt.Sprintf(format, args...)})
	return f
}

func (f *file) usable() bool {
	return !slices.ContainsFunc(f.problems, func(p problem) bool { return p.code.Severity == diag.Error })
}

// at raises the problems at a reference.
func (f *file) at(p diag.Position) diag.List {
	var out diag.List
	for _, problem := range f.problems {
		out.Add(problem.code.At(p, "%s", problem.message))
	}
	return out
}

// named raises the problems at a reference of the plan, or of a rule.
func (f *file) named(ref step.Text, base string) diag.List {
	out := f.at(ref.Origin.At(base))
	for i := range out {
		if ref.Origin.Line == 0 {
			out[i].Message += "; the rule " + strconv.Quote(ref.Origin.Rule) + " names it"
		}
	}
	return out
}

// findFiles finds and measures each attachment that a plan of the run names.
func (r *run) findFiles() error {
	var jobs []job
	for _, p := range r.plans {
		for _, ref := range p.attachments {
			key := fileKey{p.source.Attachments, ref.Value}
			if r.files[key] != nil {
				continue
			}
			f := &file{}
			r.files[key] = f
			jobs = append(jobs, job{
				memory: 640 << 20, // 40 million pixels of a progressive JPEG, with their coefficients
				do:     func() error { return r.findFile(f, key) },
				panicked: func(v any, where string) {
					f.fail(diag.RunPanic, "internal error on %q: %v (%s)", key.ref, v, where)
				},
			})
		}
	}
	return r.runPhase("find attachments", jobs)
}

// file is what became of a reference. One that no plan but a rule has made is looked
// for when it is first asked for.
func (r *run) file(folder *Folder, ref string) *file {
	r.finding.Lock()
	defer r.finding.Unlock()
	key := fileKey{folder, ref}
	f := r.files[key]
	if f == nil {
		f = &file{}
		if err := r.findFile(f, key); err != nil {
			r.levels.lose(err)
		}
		r.files[key] = f
	}
	return f
}

// findFile tells what a reference leads to. The error is of the cache.
func (r *run) findFile(f *file, key fileKey) error {
	if !r.finder.find(f, key) {
		return nil
	}
	var head []byte
	var err error
	if f.input, head, err = measure(key.folder.FS, f.path); err != nil {
		f.fail(diag.FileUnreadable, "cannot read %q: %v", key.ref, cause(err))
		return nil
	}
	f.identify(head)
	if f.usable() && strings.HasPrefix(f.mediaType, "image/") {
		err = r.fitPicture(f, key.folder)
	}
	if limit := r.Profile.AttachmentBytes; f.usable() && limit > 0 && f.issued().Bytes > limit {
		f.fail(diag.FileTooLarge, "%q has %d bytes; the profile allows %d", key.ref, f.issued().Bytes, limit)
	}
	return err
}

// measure reads a file through and returns its head too.
func measure(fsys fs.FS, name string) (in bundle.Input, head []byte, err error) {
	in.Name = name
	f, err := fsys.Open(name)
	if err != nil {
		return in, nil, err
	}
	defer f.Close()
	if head, err = io.ReadAll(io.LimitReader(f, 4096)); err != nil {
		return in, nil, err
	}
	digest, size, err := store.DigestOf(io.MultiReader(bytes.NewReader(head), f))
	if err != nil {
		return in, nil, err
	}
	return bundle.Input{Name: name, SHA256: digest, Bytes: size}, head, nil
}

// finder resolves references below folders. It keeps folder listings, since many
// references go to few folders.
type finder struct {
	mu     sync.Mutex
	listed map[fileKey][]string
}

// find fills in the path of a reference, exact or else ignoring letter case.
func (s *finder) find(f *file, key fileKey) bool {
	name := strings.ReplaceAll(strings.TrimSpace(key.ref), `\`, "/")
	clean := path.Clean(name)
	if strings.HasPrefix(name, "/") || strings.Contains(name, ":") || !fs.ValidPath(clean) || clean == "." {
		f.fail(diag.FileOutside, "%q does not name a file below the input folder", key.ref)
		return false
	}
	if info, err := fs.Stat(key.folder.FS, clean); err == nil && info.Mode().IsRegular() {
		f.path = clean
		return true
	}
	actual, ok := s.fold(key.folder, clean)
	switch {
	case ok && actual != clean:
		f.path = actual
		if norm.NFC.String(actual) == norm.NFC.String(clean) { // they look alike
			f.fail(diag.FileCase, "%q is there with its accents composed otherwise", key.ref)
		} else {
			f.fail(diag.FileCase, "%q is there as %q", key.ref, actual)
		}
		return true
	case ok:
		f.fail(diag.FileUnreadable, "%q is not a file that may be read here", key.ref)
	default:
		f.fail(diag.FileMissing, "%q is not there", key.ref)
	}
	return false
}

// fold looks a path up ignoring letter case and how accents are composed (a file
// system may take letters with accents apart), folder by folder.
func (s *finder) fold(folder *Folder, clean string) (string, bool) {
	at := "."
	for _, want := range strings.Split(clean, "/") {
		names := s.list(folder, at)
		i := slices.Index(names, want)
		if i < 0 {
			i = slices.IndexFunc(names, func(n string) bool { return strings.EqualFold(norm.NFC.String(n), norm.NFC.String(want)) })
		}
		if i < 0 {
			return "", false
		}
		at = path.Join(at, names[i])
	}
	return at, true
}

func (s *finder) list(folder *Folder, dir string) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	key := fileKey{folder, dir}
	names, ok := s.listed[key]
	if !ok {
		entries, _ := fs.ReadDir(folder.FS, dir)
		for _, e := range entries {
			names = append(names, e.Name())
		}
		slices.Sort(names)
		s.listed[key] = names
	}
	return names
}
