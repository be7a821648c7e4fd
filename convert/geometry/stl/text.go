package stl

import (
	"bytes"
	"errors"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
)

func decodeText(f *source.File, s *solids) diag.List {
	r := reader{lexer: lexer{data: f.Data, at: len(source.BOM(f.Data))}, file: f}
	for solids := 0; ; solids++ {
		word, at := r.word()
		switch {
		case is(word, "solid"):
		case len(word) == 0:
			return nil
		default:
			// Some programs pad the file or end it with a control character.
			return diag.List{diag.GeometryTrailing.At(f.Text(at), "%.20q follows the last solid", word)}
		}
		s.begin(source.String(bytes.TrimSpace(r.line())))
		for r.facet(s) {
		}
		if r.fault != nil {
			return diag.List{*r.fault}
		}
	}
}

// reader reads facets and keeps the first fault.
type reader struct {
	lexer
	file  *source.File
	fault *diag.Diagnostic
}

func (r *reader) fail(c *diag.Code, at int, format string, args ...any) bool {
	if r.fault == nil {
		d := c.At(r.file.Text(at), format, args...)
		r.fault = &d
	}
	return false
}

// facet reads one facet, or the solid's end: then it reports false.
func (r *reader) facet(s *solids) bool {
	word, at := r.word()
	if is(word, "endsolid") {
		r.line()
		return false
	}
	if !is(word, "facet") {
		return r.unexpected(word, at, "facet")
	}
	// The normal is often "nan nan nan"; it is not read.
	if !r.expect("normal") || !r.skip(3) || !r.expect("outer") || !r.expect("loop") {
		return false
	}
	var t [3]mesh.Vec
	for i := range t {
		if !r.expect("vertex") || !r.vertex(&t[i]) {
			return false
		}
	}
	if !r.expect("endloop") || !r.expect("endfacet") {
		return false
	}
	s.triangle(t)
	return true
}

func (r *reader) vertex(p *mesh.Vec) bool {
	_, start := r.peek()
	for k := range p {
		word, at := r.word()
		if len(word) == 0 {
			return r.unexpected(word, at, "a coordinate")
		}
		v, err := source.Number(word)
		switch {
		case errors.Is(err, source.ErrCoordinate):
			return r.fail(diag.GeometryCoordinate, at, "a coordinate is %.40q: %v", word, err)
		case err != nil:
			return r.fail(diag.GeometrySyntax, at, "a coordinate is %.40q: %v", word, err)
		}
		p[k] = v * r.file.Unit
	}
	if !source.Near(*p) {
		return r.fail(diag.GeometryCoordinate, start, "a corner is at %v", *p)
	}
	return true
}

func (r *reader) expect(keyword string) bool {
	word, at := r.word()
	return is(word, keyword) || r.unexpected(word, at, keyword)
}

func (r *reader) skip(words int) bool {
	for range words {
		if word, at := r.word(); len(word) == 0 {
			return r.unexpected(word, at, "a number")
		}
	}
	return true
}

func (r *reader) unexpected(word []byte, at int, wanted string) bool {
	if len(word) == 0 {
		return r.fail(diag.GeometryTruncated, at, "the file ends where %q should follow", wanted)
	}
	return r.fail(diag.GeometrySyntax, at, "%.40q stands where %q should", word, wanted)
}

// lexer splits text at white space.
type lexer struct {
	data []byte
	at   int
}

// word is the next word and where it starts; empty at the end.
func (l *lexer) word() ([]byte, int) {
	start, end := l.next()
	l.at = end
	return l.data[start:end], start
}

func (l *lexer) peek() ([]byte, int) {
	start, end := l.next()
	return l.data[start:end], start
}

func (l *lexer) next() (start, end int) {
	start = l.at
	for start < len(l.data) && isSpace(l.data[start]) {
		start++
	}
	end = start
	for end < len(l.data) && !isSpace(l.data[end]) {
		end++
	}
	return start, end
}

// line is the rest of the line.
func (l *lexer) line() []byte {
	rest := l.data[l.at:]
	n := bytes.IndexAny(rest, "\r\n")
	if n < 0 {
		n = len(rest)
	}
	l.at += n
	return rest[:n]
}

func isSpace(c byte) bool { return c == ' ' || '\t' <= c && c <= '\r' }
