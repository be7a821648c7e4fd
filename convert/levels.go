package convert

import (
	"fmt"
	"io/fs"
	"sync"

	"planfold/convert/bundle"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/raster"
	"planfold/convert/scene"
	"planfold/convert/store"
)

// levels are meshes as a device makes them of stored levels, for all plans that are
// being assembled. So many triangles stay in memory; when they are more, all go, and
// come again as they are asked for.
type levels struct {
	load      func(digest string) ([]byte, error)
	lock      sync.Mutex
	kept      map[string]*shown // by blob as it is printed: its layout tells solids of equal bytes apart
	triangles int
	lost      error // what could not be had
}

// shown is one of them.
type shown struct {
	mesh    *mesh.Mesh
	shade   sync.Once
	normals raster.Normals // when they were asked for
}

// keptTriangles take about 36 bytes each, 45 with normals.
const keptTriangles = 4_000_000

// mesh is a level in the frame of its shape, only to be read. It is nil where the level
// cannot be had, and levels.lost says why: what was made without it must not be issued.
func (l *levels) mesh(b scene.Blob) *mesh.Mesh { return l.of(b).mesh }

// shades are the normals that a level is shown with; nil where there is no level.
func (l *levels) shades(b scene.Blob) raster.Normals {
	s := l.of(b)
	s.shade.Do(func() {
		if s.mesh != nil {
			s.normals = raster.PackNormals(glb.Normals(s.mesh))
		}
	})
	return s.normals
}

func (l *levels) of(b scene.Blob) *shown {
	key := fmt.Sprint(b)
	l.lock.Lock()
	s, ok := l.kept[key]
	l.lock.Unlock()
	if ok {
		return s
	}
	s = &shown{}
	data, err := l.load(b.SHA256)
	if err == nil {
		s.mesh, err = b.Layout.Decode(data)
	}
	l.lock.Lock()
	defer l.lock.Unlock()
	if err != nil {
		l.lost = err
		return &shown{}
	}
	if l.triangles > keptTriangles || l.kept == nil {
		l.kept, l.triangles = map[string]*shown{}, 0
	}
	l.triangles += len(s.mesh.Triangles)
	l.kept[key] = s
	return s
}

// lose notes what could not be had.
func (l *levels) lose(err error) {
	l.lock.Lock()
	defer l.lock.Unlock()
	l.lost = err
}

func (l *levels) err() error {
	l.lock.Lock()
	defer l.lock.Unlock()
	return l.lost
}

// loadLevel reads a stored level from the cache, or from the tree.
func (r *run) loadLevel(digest string) ([]byte, error) {
	if data, ok := r.Cache.Get(digest); ok {
		return data, nil
	}
	data, err := fs.ReadFile(r.Store.FS(), bundle.BlobPath(digest, "bin"))
	if err != nil || store.Digest(data) != digest {
		return nil, fmt.Errorf("level %s is lost while the run is using it", digest[:12])
	}
	return data, nil
}
