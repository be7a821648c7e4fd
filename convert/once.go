package convert

import (
	"bytes"
	"encoding/gob"
	"fmt"

	"planfold/convert/store"
)

// once fills v with what the cache keeps under a key, or has it made and keeps it.
func (r *run) once(key string, v any, make func()) {
	key = r.onceKey(key)
	if b, ok := r.Cache.Get(key); ok && gob.NewDecoder(bytes.NewReader(b)).Decode(v) == nil {
		return
	}
	make()
	if r.levels.err() != nil {
		return // it was made without what could not be had
	}
	if err := r.remember(key, v); err != nil {
		r.levels.lose(err)
	}
}

// onceKey depends on all that the key says, and on the program: what an older one found is
// found again.
func (r *run) onceKey(key string) string {
	return store.Digest(fmt.Appendf(nil, "once %s %s\n%s", r.Tool.Name, r.Tool.Version, key))
}
