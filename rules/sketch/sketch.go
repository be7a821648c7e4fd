// Package sketch proposes reading rules for a plan export that no one has written
// rules for yet, from the structure of its XML alone: what is repeated, what is
// unique, what refers to what, where text stands.
//
//	export ──survey──▶ tree of paths, with what their values look like
//	                       ──guess──▶ which paths are operations, steps, items, parts …
//	                                      ──write──▶ a rule file, with the reason of each guess
//
// The sketch is a beginning for an engineer, not rules to use unread: it says why it
// took each path and lists what it did not take. It never guesses hazards, limits or
// sign-offs; they are proposed as comments. The export is streamed twice, and what
// is kept is bounded, however large it is.
package sketch

import (
	"io"

	"planfold/convert/diag"
)

// Rules is the text of a rule file for the export, which open opens anew for each of
// the two passes. The list says why there is none: the export cannot be read, or
// nothing in it looks like an operation.
func Rules(open func() (io.ReadCloser, error), name string) ([]byte, diag.List, error) {
	s := newSurvey()
	for _, pass := range []func(io.Reader, string) (diag.List, error){s.structure, s.texts} {
		f, err := open()
		if err != nil {
			return nil, nil, err
		}
		faults, err := pass(f, name)
		f.Close()
		if err != nil || faults.HasError() {
			return nil, faults, err
		}
	}
	g := guessed(s)
	if g.operation == nil {
		return nil, diag.List{diag.SketchEmpty.At(diag.Position{File: name},
			"of its %d paths of elements none looks like an operation: repeated, with an id or text", s.paths)}, nil
	}
	w := writer{survey: s, guess: g}
	return w.file(), nil, nil
}
