package obj

import (
	"bytes"

	"planfold/convert/geometry/source"
)

// lines goes through a text line by line and word by word. A backslash at the
// end of a line continues it; "#" at the start of a word begins a comment.
type lines struct {
	data []byte
	at   int
	eol  byte // CR in files that have no LF
	line int  // where the present line starts
}

func newLines(data []byte) lines {
	l := lines{data: data, eol: '\n', line: -1}
	l.at = len(source.BOM(data))
	if bytes.IndexByte(data, '\n') < 0 {
		l.eol = '\r'
	}
	return l
}

// next goes to the next line, skipping what is left of the present one.
func (l *lines) next() bool {
	if l.line >= 0 {
		l.rest()
		l.at++ // the end of line
	}
	l.line = l.at
	return l.at < len(l.data)
}

// word is the next word of the line and where it starts; empty at its end.
func (l *lines) word() ([]byte, int) {
	for l.at < len(l.data) {
		c := l.data[l.at]
		if n := l.continuation(c); n > 0 {
			l.at += n
		} else if c != l.eol && isBlank(c) {
			l.at++
		} else {
			break
		}
	}
	start := l.at
	if start < len(l.data) && l.data[start] == '#' {
		return nil, start
	}
	for l.at < len(l.data) {
		if c := l.data[l.at]; c == l.eol || isBlank(c) || l.continuation(c) > 0 {
			break
		}
		l.at++
	}
	return l.data[start:l.at], start
}

// plain skips blanks and is what follows, as long as no word there is continued.
func (l *lines) plain() []byte {
	for l.at < len(l.data) && (l.data[l.at] == ' ' || l.data[l.at] == '\t') {
		l.at++
	}
	return l.data[l.at:]
}

// take moves over n bytes if a word ends there.
func (l *lines) take(n int) bool {
	end := l.at + n
	if n == 0 || end >= len(l.data) || l.data[end] != l.eol && !isBlank(l.data[end]) {
		return false
	}
	l.at = end
	return true
}

// rest is the rest of the line, trimmed.
func (l *lines) rest() []byte {
	start := l.at
	for {
		n := bytes.IndexByte(l.data[l.at:], l.eol)
		if n < 0 {
			l.at = len(l.data)
			break
		}
		l.at += n
		if !l.continued() || isComment(l.data[start:l.at]) {
			break
		}
		l.at++
	}
	return bytes.TrimSpace(l.data[start:l.at])
}

// continued reports whether the end of line at l.at is taken back by a backslash before it.
func (l *lines) continued() bool {
	i := l.at - 1
	if l.eol == '\n' && i >= l.line && l.data[i] == '\r' {
		i--
	}
	return i >= l.line && l.data[i] == '\\'
}

// continuation is the length of a backslash, which c is then, and end of line here, or 0.
func (l *lines) continuation(c byte) int {
	if c != '\\' {
		return 0
	}
	return l.continues()
}

func (l *lines) continues() int {
	rest := l.data[l.at:]
	switch {
	case len(rest) < 2:
		return 0
	case rest[1] == l.eol:
		return 2
	case len(rest) > 2 && rest[1] == '\r' && rest[2] == l.eol:
		return 3
	}
	return 0
}

// isComment reports whether a comment begins in b, a path with a backslash at its end, say.
func isComment(b []byte) bool {
	i := bytes.IndexByte(b, '#')
	return i == 0 || i > 0 && isBlank(b[i-1])
}

func isBlank(c byte) bool {
	return c <= ' ' && (c == ' ' || c == '\t' || c == '\r' || c == '\v' || c == '\f')
}
