package convert

import (
	"bytes"
	"encoding/gob"
	"errors"
	"fmt"
	"runtime"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/picture"
	"planfold/convert/store"
)

// mostPicture is how many bytes a picture may have to be scaled.
const mostPicture = 256 << 20

// issued is what is carried of a file: itself, or the picture that was made of it.
func (f *file) issued() bundle.Input {
	if f.scaled.SHA256 != "" {
		return f.scaled
	}
	return f.input
}

// fittedKey depends on the picture, the longest edge, and what scales and compresses it.
func (r *run) fittedKey(f *file) string {
	return store.Digest(fmt.Appendf(nil, "fitted %s %s %d\n%s\n", picture.Version, runtime.Version(), r.Profile.PictureEdge, f.input.SHA256))
}

// fitted is what the cache keeps of a picture that was looked at.
type fitted struct {
	Scaled bundle.Input // no digest: it is carried as it is
	Why    string       // it could not be scaled
	Huge   bool
	unread bool // for a reason of this run's: nothing is known of the picture
}

// fitPicture makes a picture no larger than the profile says. One that cannot be scaled
// is carried as it is, and said.
func (r *run) fitPicture(f *file, folder *Folder) error {
	key := r.fittedKey(f)
	var made fitted
	if b, ok := r.Cache.Get(key); !ok || gob.NewDecoder(bytes.NewReader(b)).Decode(&made) != nil || !r.hasPicture(made, f.extension) {
		var err error
		if made, err = r.scalePicture(f, folder); err != nil {
			return err
		}
		if !made.unread {
			if err := r.remember(key, made); err != nil {
				return err
			}
		}
	}
	switch f.scaled = made.Scaled; {
	case made.Huge:
		f.fail(diag.FilePictureHuge, "%q has %s", f.path, made.Why)
	case made.Why != "":
		f.fail(diag.FilePictureKept, "%q is not scaled to %d pixels: %s", f.path, r.Profile.PictureEdge, made.Why)
	}
	return nil
}

func (r *run) hasPicture(p fitted, extension string) bool {
	if p.Scaled.SHA256 == "" || r.Store.HasBlob(p.Scaled.SHA256, extension, p.Scaled.Bytes) {
		return true
	}
	_, ok := r.Cache.Get(p.Scaled.SHA256)
	return ok
}

func (r *run) scalePicture(f *file, folder *Folder) (fitted, error) {
	if f.input.Bytes > mostPicture {
		return fitted{Why: fmt.Sprintf("%d bytes are too many", f.input.Bytes)}, nil
	}
	data, err := f.read(folder)
	if err != nil {
		return fitted{Why: cause(err).Error(), unread: true}, nil
	}
	out, err := picture.Fit(data, r.Profile.PictureEdge)
	switch {
	case err != nil:
		return fitted{Why: err.Error(), Huge: errors.Is(err, picture.ErrHuge)}, nil
	case out == nil:
		return fitted{}, nil
	}
	in := bundle.Input{Name: f.path, SHA256: store.Digest(out), Bytes: int64(len(out))}
	if err := r.Cache.Put(in.SHA256, out); err != nil {
		return fitted{}, fmt.Errorf("cache: %w", err)
	}
	return fitted{Scaled: in}, nil
}
