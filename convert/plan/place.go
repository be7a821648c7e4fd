package plan

import (
	"bytes"
	"unicode/utf8"
)

// place is a position in the export, in lines and characters, from 1. A line ends
// with a line feed; a carriage return before it belongs to the line.
type place struct{ line, column int }

// after is the place behind text that starts at p.
func (p place) after(text []byte) place {
	if n := bytes.Count(text, []byte{'\n'}); n > 0 {
		p.line += n
		p.column = 1
		text = text[bytes.LastIndexByte(text, '\n')+1:]
	}
	p.column += utf8.RuneCount(text)
	return p
}

// skipSpace is the number of white-space bytes at the start of text.
func skipSpace(text []byte) int {
	for i, b := range text {
		if !isSpace(b) {
			return i
		}
	}
	return len(text)
}

func isSpace(b byte) bool { return b == ' ' || b == '\n' || b == '\t' || b == '\r' }
