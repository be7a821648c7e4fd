package plan

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"strings"
	"unicode/utf8"

	"planfold/convert/diag"
)

// errStop says that the source has stopped; why stands in it.
var errStop = errors.New("plan: stopped")

// source gives the export as UTF-8, without byte order mark and declaration. It
// holds the token being read; what is before is forgotten.
type source struct {
	in      *bufio.Reader
	decode  decoder
	raw     []byte // read, not decoded yet
	window  []byte // decoded
	start   int    // in the window: where the token starts
	stopped *fault // found at the end of the window
	failed  error  // of the input, at the end of the window; io.EOF at the end of the file
}

// fault is something wrong with the export, at a place yet to be found.
type fault struct {
	code    *diag.Code
	message string
}

const headSize = 4096 // bytes in which a declaration must end

// newSource opens the export and reads its declaration. It returns where the
// text behind the declaration starts.
func newSource(r io.Reader) (*source, place, *fault) {
	s := &source{in: bufio.NewReaderSize(r, 64<<10), raw: make([]byte, 0, 64<<10), decode: utf8Decoder}
	start := place{1, 1}
	head, err := s.in.Peek(headSize)
	if err != nil && err != io.EOF {
		s.failed = err
		return s, start, nil
	}
	order, mark := sniff(head)
	if strings.HasPrefix(string(head), "\xFF\xFE\x00\x00") || strings.HasPrefix(string(head), "\x00\x00\xFE\xFF") {
		return s, start, &fault{diag.PlanEncoding, "UTF-32 is not read"}
	}
	s.in.Discard(mark) // was peeked at
	head = head[mark:]
	if order != nil {
		s.decode = utf16Decoder(order)
		head, _, _ = s.decode(nil, head)
	}
	length, encoding, ok := declaration(head)
	if !ok {
		return s, start, &fault{diag.PlanMalformed, "the XML declaration is not as it must be: version, encoding and standalone, in that order"}
	}
	if order == nil {
		if s.decode, ok = byteDecoder(encoding); !ok {
			return s, start, &fault{diag.PlanEncoding, "the encoding " + encoding + " is declared, which is not read (or not what the bytes are)"}
		}
	}
	for len(s.window) < length && s.fill() == nil {
	}
	start = start.after(s.window[:length])
	s.start = length
	return s, start, nil
}

// token is what is at hand of the export from the start of the token on.
func (s *source) token() []byte { return s.window[s.start:] }

// index finds a byte of the token, from an offset on, as far as it takes. Without
// one it returns where the export ends, and why.
func (s *source) index(from int, b byte) (int, error) {
	for {
		t := s.token()
		if i := bytes.IndexByte(t[from:], b); i >= 0 {
			return from + i, nil
		}
		from = len(t)
		if err := s.fill(); err != nil {
			return from, err
		}
	}
}

// starts reports whether the token starts with a prefix, reading on if need be.
func (s *source) starts(prefix string) (bool, error) {
	for {
		t := s.token()
		n := min(len(t), len(prefix))
		if string(t[:n]) != prefix[:n] {
			return false, nil
		}
		if n == len(prefix) {
			return true, nil
		}
		if err := s.fill(); err != nil {
			return false, err
		}
	}
}

// limit is the number of bytes that the token may have.
func (s *source) limit() (int, string) {
	t := s.token()
	if len(t) > 1 && t[0] == '<' && (t[1] != '!' || len(t) > 2 && t[2] == 'D') {
		return maxTag, "a tag, a processing instruction or a document type is longer than 1 MiB"
	}
	return maxText, "a text, a CDATA section or a comment is longer than 16 MiB"
}

// fill appends at least one more character to the window.
func (s *source) fill() error {
	if s.stopped != nil {
		return errStop
	}
	if n, what := s.limit(); len(s.window)-s.start > n {
		s.stopped = &fault{diag.PlanLimit, what}
		return errStop
	}
	if s.start > 0 {
		s.window = s.window[:copy(s.window, s.window[s.start:])]
		s.start = 0
	}
	for have := len(s.window); len(s.window) == have; {
		if s.failed == nil {
			var n int
			n, s.failed = s.in.Read(s.raw[len(s.raw):cap(s.raw)])
			s.raw = s.raw[:len(s.raw)+n]
		}
		s.take()
		if s.stopped != nil && len(s.window) == have {
			return errStop
		}
		if s.failed != nil && len(s.window) == have {
			return s.end()
		}
	}
	return nil
}

// end is the end of the input: the file's, or of what could be read of it.
func (s *source) end() error {
	if s.failed == io.EOF && len(s.raw) > 0 {
		s.stopped = &fault{diag.PlanEncoding, "the file ends inside a character"}
		return errStop
	}
	return s.failed
}

// take decodes what is in raw and checks that it is characters of XML.
func (s *source) take() {
	have := len(s.window)
	decoded, taken, wrong := s.decode(s.window, s.raw)
	s.window = decoded
	s.raw = s.raw[:copy(s.raw, s.raw[taken:])]
	if wrong != "" {
		s.stopped = &fault{diag.PlanEncoding, wrong}
	}
	if at := illegal(s.window[have:]); at >= 0 {
		s.stopped = &fault{diag.PlanMalformed, "a character that XML does not allow"}
		s.window = s.window[:have+at]
	}
}

// illegal finds the first character that is not one of XML 1.0's (production 2)
// in valid UTF-8, or -1. Surrogates do not occur in it.
func illegal(text []byte) int {
	for i, b := range text {
		if b < ' ' && b != '\n' && b != '\t' && b != '\r' {
			return i
		}
		if b == 0xEF && i+2 < len(text) && text[i+1] == 0xBF && text[i+2] >= 0xBE {
			if r, _ := utf8.DecodeRune(text[i:]); r == 0xFFFE || r == 0xFFFF {
				return i
			}
		}
	}
	return -1
}
