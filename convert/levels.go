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
	meshes    map[string]*mesh.Mesh     // by blobKey
	normals   map[string]raster.Normals // of some of them
	digests   map[*mesh.Mesh]string     // of some of them
	triangles int
	lost      error // what could not be had
}

// keptTriangles take about 36 bytes each, 45 with normals.
const keptTriangles = 4_000_000

// blobKey tells meshes apart. Equal bytes show solids of several sizes and places: the
// layout says how large a step of the grid is, and where its centre.
func blobKey(b scene.Blob) string { return fmt.Sprint(b.SHA256, b.Layout) }

// mesh is a level in the frame of its shape, only to be read. It is nil where the level
// cannot be had, and levels.lost says why: what was made without it must not be issued.
func (l *levels) mesh(b scene.Blob) *mesh.Mesh {
	key := blobKey(b)
	l.lock.Lock()
	m, ok := l.meshes[key]
	l.lock.Unlock()
	if ok {
		return m
	}
	data, err := l.load(b.SHA256)
	if err == nil {
		m, err = b.Layout.Decode(data)
	}
	l.lock.Lock()
	defer l.lock.Unlock()
	if err != nil {
		l.lost = err
		return nil
	}
	if l.triangles > keptTriangles || l.meshes == nil {
		l.meshes, l.normals, l.digests, l.triangles = map[string]*mesh.Mesh{}, map[string]raster.Normals{}, map[*mesh.Mesh]string{}, 0
	}
	l.triangles += len(m.Triangles)
	l.meshes[key] = m
	return m
}

// shades are the normals that a level is shown with; nil where there is no level.
func (l *levels) shades(b scene.Blob) raster.Normals {
	m, key := l.mesh(b), blobKey(b)
	l.lock.Lock()
	n, ok := l.normals[key]
	l.lock.Unlock()
	if ok || m == nil {
		return n
	}
	n = raster.PackNormals(glb.Normals(m))
	l.lock.Lock()
	defer l.lock.Unlock()
	l.normals[key] = n
	return n
}

// digest identifies a level by its content.
func (l *levels) digest(m *mesh.Mesh) string {
	l.lock.Lock()
	d, ok := l.digests[m]
	l.lock.Unlock()
	if ok {
		return d
	}
	d = model{mesh: m}.digest()
	l.lock.Lock()
	defer l.lock.Unlock()
	l.digests[m] = d
	return d
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
