package store

import (
	"crypto/sha256"
	"io"
	"os"
	"path/filepath"
)

// Cache keeps what can be computed again, by key. An entry that is missing, cut
// short, altered or another key's is simply not there. It needs no lock: entries appear whole.
type Cache struct{ root string }

// Cache keeps entries in the given folder, made if need be; "" is ".cache" in the
// store's own.
func (s *Store) Cache(dir string) (*Cache, error) {
	if dir == "" {
		dir = s.path(cacheName)
	}
	if err := os.MkdirAll(filepath.Join(dir, making), 0o777); err != nil {
		return nil, err
	}
	return &Cache{dir}, nil
}

// Get returns the entry of a key (hexadecimal).
func (c *Cache) Get(key string) ([]byte, bool) {
	b, err := os.ReadFile(c.path(key))
	if err != nil || len(b) < sha256.Size {
		return nil, false
	}
	data := b[sha256.Size:]
	return data, string(seal(key, data)) == string(b[:sha256.Size])
}

// Put stores the entry of a key. The cache is a help, not a promise: no sync.
func (c *Cache) Put(key string, data []byte) error {
	target := c.path(key)
	if err := os.MkdirAll(filepath.Dir(target), 0o777); err != nil {
		return err
	}
	tmp, err := os.CreateTemp(filepath.Join(c.root, making), "*")
	if err != nil {
		return err
	}
	_, err = tmp.Write(append(seal(key, data), data...))
	if e := tmp.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(tmp.Name(), target)
	}
	if err != nil {
		os.Remove(tmp.Name())
	}
	return err
}

// seal is what an entry begins with.
func seal(key string, data []byte) []byte {
	h := sha256.New()
	io.WriteString(h, key+"\n")
	h.Write(data)
	return h.Sum(nil)
}

func (c *Cache) path(key string) string { return filepath.Join(c.root, key[:2], key) }
