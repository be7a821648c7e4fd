package convert

import "fmt"

// perPlan is a generous guess of what one edition's documents take, in bytes.
const perPlan = 1 << 20

// checkSpace refuses to begin issuing what the disk cannot hold. It counts every
// attachment and every level that is not there yet, once.
func (r *run) checkSpace() error {
	need := uint64(len(r.plans)) * perPlan
	counted := map[string]bool{}
	count := func(digest, extension string, bytes int64) {
		if !counted[digest] && !r.Store.HasBlob(digest, extension, bytes) {
			need += uint64(bytes)
		}
		counted[digest] = true
	}
	for _, f := range r.files {
		if f.usable() {
			count(f.input.SHA256, f.extension, f.input.Bytes)
		}
	}
	for _, s := range r.shapes {
		for _, l := range s.ladders {
			for _, level := range l.Levels {
				count(level.Blob.SHA256, "bin", level.Blob.Bytes)
			}
		}
	}
	free, err := r.Store.Free()
	if err != nil {
		return err
	}
	if free < need {
		return fmt.Errorf("the output folder's disk has %d MB free and the run may need %d MB; make room, or choose another folder", free>>20, need>>20)
	}
	return nil
}
