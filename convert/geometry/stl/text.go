package stl

import (
	"bytes"

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
	t := s.triangle()
	for i := range t {
		if !r.expect("vertex") || !r.vertex(&t[i]) {
			return false
		}
	}
	return r.expect("endloop") && r.expect("endfacet")
}

func (r *reader) vertex(p *mesh.Vec) bool {
	r.space()
	start := r.at
	for k := range p {
		r.space()
		v, n := source.Prefix(r.data[r.at:])
		if end := r.at + n; n > 0 && end < len(r.data) && isSpace(r.data[end]) {
			r.at = end
		} else if !r.number(&v) {
			return false
		}
		p[k] = v * r.file.Unit
	}
	if !source.Near(*p) {
		return r.fail(diag.GeometryCoordinate, start, "a corner is at %v", *p)
	}
	return true
}

// number reads any word as a number.
func (r *reader) number(v *float64) bool {
	word, at := r.word()
	if len(word) == 0 {
		return r.unexpected(word, at, "a coordinate")
	}
	x, code, err := source.Coordinate(word)
	if err != nil {
		return r.fail(code, at, "a coordinate is %.40q: %v", word, err)
	}
	*v = x
	return true
}

func (r *reader) expect(keyword string) bool {
	r.space()
	if end := r.at + len(keyword); end < len(r.data) && isSpace(r.data[end]) && string(r.data[r.at:end]) == keyword {
		r.at = end
		return true
	}
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
	l.space()
	start := l.at
	for l.at < len(l.data) && !isSpace(l.data[l.at]) {
		l.at++
	}
	return l.data[start:l.at], start
}

func (l *lexer) space() {
	for l.at < len(l.data) && isSpace(l.data[l.at]) {
		l.at++
	}
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

func isSpace(c byte) bool { return c <= ' ' && (c == ' ' || '\t' <= c && c <= '\r') }
