package store

import (
	"crypto/sha256"
	"os"
	"path/filepath"
)

// Cache keeps what can be computed again, by key. An entry that is missing, cut
// short or altered is simply not there. It needs no lock: entries appear whole.
type Cache struct{ root string }

// Cache keeps entries in the given folder, made if need be; "" is ".cache" in the
// store's own.
func (s *Store) Cache(dir string) (*Cache, error) {
	if dir == "" {
		dir = s.path(".cache")
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
	sum := sha256.Sum256(b[sha256.Size:])
	return b[sha256.Size:], string(sum[:]) == string(b[:sha256.Size])
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
	sum := sha256.Sum256(data)
	_, err = tmp.Write(append(sum[:], data...))
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

func (c *Cache) path(key string) string { return filepath.Join(c.root, key[:2], key) }
