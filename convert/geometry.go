package convert

import (
	"bytes"
	"cmp"
	"encoding/gob"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/geometry"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/reduce"
	"planfold/convert/scene"
	"planfold/convert/step"
	"planfold/convert/store"
)

// shapeKey is a geometry file as one plan sees it: frame is how the plan's dialect
// writes lengths and axes.
type shapeKey struct {
	fileKey
	frame string
}

// shapes is what became of a geometry file.
type shapes struct {
	file
	folder      *Folder
	format      string
	frame       step.Frame
	record      sceneRecord
	ladders     []*scene.Ladder // by mesh of the record
	diagnostics diag.List       // of the file itself, positions within it
}

// sceneRecord is what the cache keeps of a decoded file, its meshes aside.
type sceneRecord struct {
	Side        []bundle.Input // files that it pulled in
	Bodies      []body
	Surfaces    []surface
	Meshes      []string // digests; those of the surfaces come last
	Triangles   int      // of the distinct meshes
	Diagnostics []diag.Diagnostic
}

func frameKey(f step.Frame) string {
	var b strings.Builder
	fmt.Fprintf(&b, "up %c", f.Up)
	for _, format := range slices.Sorted(maps.Keys(f.Units)) {
		fmt.Fprintf(&b, " %s %g", format, f.Units[format])
	}
	return b.String()
}

func (p *planJob) shapeKey(g step.Geometry) shapeKey {
	return shapeKey{fileKey{p.source.Geometry, g.File.Value}, frameKey(p.frame)}
}

// reduceGeometry decodes each distinct geometry file and reduces each distinct
// mesh, largest file first so that the last job is a small one.
func (r *run) reduceGeometry() error {
	for _, p := range r.plans {
		for _, use := range p.geometry {
			if r.geometry[use.key] != nil {
				continue
			}
			s := &shapes{frame: p.frame, folder: use.key.folder}
			r.geometry[use.key] = s
			if r.finder.find(&s.file, use.key.fileKey) {
				if info, err := fs.Stat(s.folder.FS, s.path); err == nil {
					s.input.Bytes = info.Size()
				}
			}
			r.shapes = append(r.shapes, s)
		}
	}
	bySize := slices.SortedStableFunc(slices.Values(r.shapes), func(a, b *shapes) int { return cmp.Compare(b.input.Bytes, a.input.Bytes) })
	var jobs []job
	for _, s := range bySize {
		if !s.usable() {
			continue
		}
		jobs = append(jobs, job{
			memory:   s.input.Bytes * 40, // positions, quadrics and links take far more than the file
			do:       func() error { return r.loadShapes(s) },
			panicked: func(v any, where string) { s.fail(diag.RunPanic, "internal error on %q: %v (%s)", s.path, v, where) },
		})
	}
	return r.runPhase("reduce geometry", jobs)
}

func (r *run) loadShapes(s *shapes) error {
	var head []byte
	var err error
	if s.input, head, err = measure(s.folder.FS, s.path); err != nil {
		s.fail(diag.FileUnreadable, "cannot read %q: %v", s.path, cause(err))
		return nil
	}
	s.format = geometry.FormatOf(head, s.path)
	key := sceneKey(s)
	if !r.recall(s, key) {
		if err := r.decode(s, key); err != nil {
			return err
		}
	}
	s.diagnostics = s.record.Diagnostics
	if s.usable() && len(s.record.Bodies) == 0 {
		s.fail(diag.ItemGeometryUnusable, "%q could not be used: %s", s.path, firstError(s.diagnostics))
	}
	return nil
}

func firstError(list diag.List) string {
	for _, d := range list {
		if d.Severity == diag.Error {
			return d.Code + ": " + d.Message
		}
	}
	return "it holds no triangles"
}

// sceneKey depends on all that decoding depends on: the file and its name (which
// stands in diagnostics), the frame, and the version of the readers.
func sceneKey(s *shapes) string {
	return store.Digest(fmt.Appendf(nil, "scene 2 %s\n%s\n%s\n%s\n", geometry.Version, s.input.SHA256, s.path, frameKey(s.frame)))
}

// ladderKey depends on the mesh, on the version of the reducer and the writer, and on
// whether levels are compressed.
func (r *run) ladderKey(mesh string) string {
	return store.Digest(fmt.Appendf(nil, "ladder %s %s %t\n%s\n", reduce.Version, glb.Version, r.Profile.Compression, mesh))
}

// recall takes a file's record and ladders from the cache, if all is there and
// the files it pulled in are as they were.
func (r *run) recall(s *shapes, key string) bool {
	b, ok := r.Cache.Get(key)
	if !ok || gob.NewDecoder(bytes.NewReader(b)).Decode(&s.record) != nil {
		return false
	}
	for _, side := range s.record.Side {
		if now, _, err := measure(s.folder.FS, side.Name); err != nil || now != side {
			return false
		}
	}
	ladders := make([]*scene.Ladder, len(s.record.Meshes))
	for i, digest := range s.record.Meshes {
		if ladders[i] = r.recallLadder(digest); ladders[i] == nil {
			return false
		}
	}
	s.ladders = ladders
	return true
}

func (r *run) recallLadder(digest string) *scene.Ladder {
	b, ok := r.Cache.Get(r.ladderKey(digest))
	var l scene.Ladder
	if !ok || gob.NewDecoder(bytes.NewReader(b)).Decode(&l) != nil {
		return nil
	}
	for _, level := range l.Levels {
		if r.Store.HasBlob(level.Blob.SHA256, "bin", level.Blob.Bytes) {
			continue // it need not be read from the cache, whole, to know that it is there
		}
		if _, ok := r.Cache.Get(level.Blob.SHA256); !ok {
			return nil
		}
	}
	return &l
}

func (r *run) decode(s *shapes, key string) error {
	fsys := &recorder{FS: s.folder.FS}
	sc, list, err := geometry.Decode(fsys, s.path, geometry.Options{Unit: s.frame.Units[s.format], Up: s.frame.Up})
	if err != nil {
		s.record = sceneRecord{Diagnostics: diag.List{diag.FileUnreadable.At(diag.Position{File: s.path}, "cannot read: %v", cause(err))}}
		return nil
	}
	if now, _, err := measure(s.folder.FS, s.path); err != nil || now != s.input {
		s.fail(diag.FileUnreadable, "%q changed while the run was reading it", s.path)
		return nil // and nothing is remembered under the digest that it had
	}
	s.record = sceneRecord{Diagnostics: list, Side: fsys.inputs(s.path)}
	if sc != nil {
		if err := r.fill(s, sc); err != nil {
			return err
		}
	}
	return r.remember(key, s.record)
}

func (r *run) fill(s *shapes, sc *mesh.Scene) error {
	var node []int
	s.record.Bodies, node = bodies(sc)
	models := make([]model, len(sc.Meshes))
	for i, m := range sc.Meshes {
		m.DropTexCoords() // no texture is carried into a bundle
		models[i] = model{m, m.Bounds().Centre()}
		s.record.Triangles += len(m.Triangles)
	}
	for _, p := range sc.Patches() {
		models = s.record.addSurface(&p, sc, node, models)
	}
	for _, m := range models {
		digest := m.digest()
		ladder := r.recallLadder(digest)
		if ladder == nil {
			var err error
			if ladder, err = r.ladder(m, digest); err != nil {
				return err
			}
		}
		s.record.Meshes = append(s.record.Meshes, digest)
		s.ladders = append(s.ladders, ladder)
	}
	return nil
}

// ladder reduces a mesh and keeps its levels in the cache.
func (r *run) ladder(m model, digest string) (*scene.Ladder, error) {
	l := &scene.Ladder{Bounds: m.mesh.Bounds()}
	for _, level := range reduce.Ladder(m.mesh, m.centre) {
		b, layout := r.encode(level, m.centre)
		blob := scene.Blob{SHA256: store.Digest(b), Bytes: int64(len(b)), Layout: layout}
		if err := r.Cache.Put(blob.SHA256, b); err != nil {
			return nil, fmt.Errorf("cache: %w", err)
		}
		l.Levels = append(l.Levels, scene.Level{Triangles: len(level.Mesh.Triangles), Deviation: level.Deviation + layout.Error(), Blob: blob})
	}
	return l, r.remember(r.ladderKey(digest), *l)
}

func (r *run) encode(level reduce.Level, centre mesh.Vec) ([]byte, glb.Layout) {
	if r.Profile.Compression {
		return glb.CompressMesh(level.Mesh, centre, level.Deviation)
	}
	return glb.EncodeMesh(level.Mesh, centre)
}

func (r *run) remember(key string, v any) error {
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(v); err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	if err := r.Cache.Put(key, b.Bytes()); err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	return nil
}

// recorder notes which files are opened.
type recorder struct {
	fs.FS
	opened []string
}

func (r *recorder) Open(name string) (fs.File, error) {
	if !slices.Contains(r.opened, name) {
		r.opened = append(r.opened, name)
	}
	return r.FS.Open(name)
}

// inputs measures the files opened beside the main one. One that is not there has
// no digest, so that the record is not used again.
func (r *recorder) inputs(main string) []bundle.Input {
	var out []bundle.Input
	for _, name := range r.opened {
		if name == main {
			continue
		}
		in, _, _ := measure(r.FS, name) // the name alone if it cannot be read
		out = append(out, in)
	}
	return out
}
