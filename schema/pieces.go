package schema

import (
	"bytes"
	"cmp"
	"io"
	"strconv"
	"strings"
)

const pieceSize = 1 << 20

// List checks the entries of a list, or of a mapping, that is too large to stand in
// memory, many at a time as a part of its document.
type List struct {
	Schema        string
	Before, After string // what is around the entries in a document that has nothing else
	Size          int    // of what is checked at once, in bytes; 0: enough

	piece    bytes.Buffer
	first, n int // entry in the piece, and of all so far
	problems []Problem
}

// Check takes the next entry, as it stands in the document.
func (l *List) Check(entry []byte) {
	if l.n > l.first {
		l.piece.WriteByte(',')
	}
	l.piece.Write(entry)
	if l.n++; l.piece.Len() > cmp.Or(l.Size, pieceSize) {
		l.flush()
	}
}

func (l *List) flush() {
	for _, p := range CheckPart(l.Schema, []byte(l.Before+l.piece.String()+l.After)) {
		p.Where = l.whole(p.Where)
		l.problems = append(l.problems, p)
	}
	l.piece.Reset()
	l.first = l.n
}

// End checks the last entries and lists what is wrong with all of them.
func (l *List) End() []Problem {
	l.flush()
	return l.problems
}

// whole is a place in the document, where one in the piece is given: the entries of a
// list at its top are counted through.
func (l *List) whole(where string) string {
	parts := strings.SplitN(where, ".", 3)
	if strings.Count(l.Before, "[") == 1 && len(parts) > 1 {
		if n, err := strconv.Atoi(parts[1]); err == nil {
			parts[1] = strconv.Itoa(l.first + n)
		}
	}
	return strings.Join(parts, ".")
}

// Writer writes a document whose lists are too large to stand in memory, as Encode
// would write it, and checks the entries as they are written.
type Writer struct {
	to       io.Writer
	err      error
	problems []Problem
}

// NewWriter begins a document.
func NewWriter(to io.Writer) *Writer { return &Writer{to: to} }

// Text writes text as it is.
func (w *Writer) Text(text []byte) {
	if w.err == nil {
		_, w.err = w.to.Write(text)
	}
}

// List writes the entries that each yields, with that indentation, between brackets
// that are written already.
func (w *Writer) List(l List, indent string, each func(yield func(entry []byte))) {
	each(func(entry []byte) {
		lead := ",\n" + indent
		if l.n == 0 {
			lead = lead[1:]
		}
		l.Check(entry)
		w.Text([]byte(lead))
		w.Text(entry)
	})
	if l.n > 0 {
		w.Text([]byte("\n" + indent[2:]))
	}
	w.problems = append(w.problems, l.End()...)
}

// End returns what is wrong with the entries that were written, and what went wrong
// with writing.
func (w *Writer) End() ([]Problem, error) { return w.problems, w.err }

// Entry is a value as Encode writes it, to stand at that indentation.
func (w *Writer) Entry(v any, indent string) []byte {
	text, err := Encode(v)
	if err != nil && w.err == nil {
		w.err = err
	}
	return bytes.ReplaceAll(bytes.TrimSuffix(text, []byte{'\n'}), []byte{'\n'}, []byte("\n"+indent))
}

// Empty finds an empty list or mapping of a document that Encode wrote, a member at
// the top, and returns what is before its closing bracket, and the rest.
func Empty(text []byte, member string) (before, rest []byte) {
	// A line end stands in no JSON string, and deeper members have more space before them.
	mark := []byte("\n  \"" + member + "\": ")
	at := bytes.Index(text, mark) + len(mark) + 1
	return text[:at], text[at:]
}
