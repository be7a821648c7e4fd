package bundle

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"planfold/schema"
)

// bundle.json and origin.json have an entry a step and grow with the plan. They are
// written and checked in pieces, so that they never stand in memory: all but the
// entries of "steps" as a document, and the entries, many at a time, as parts of one.

const pieceSize = 4 << 20

// entries holds the entries of a document's steps against its schema.
type entries struct {
	schema, file string
	size         int    // of what is checked at once, in bytes
	brackets     string // "{}" or "[]"
	piece        bytes.Buffer
	first, n     int // entry in the piece, and of all so far
	problems     []Problem
}

// check takes the next entry, as it stands in the document.
func (e *entries) check(entry []byte) {
	if e.n > e.first {
		e.piece.WriteByte(',')
	}
	e.piece.Write(entry)
	if e.n++; e.piece.Len() > e.size {
		e.flush()
	}
}

func (e *entries) flush() {
	doc := fmt.Appendf(nil, `{"steps": %c%s%c}`, e.brackets[0], e.piece.Bytes(), e.brackets[1])
	for _, p := range schema.CheckPart(e.schema, doc) {
		p.Where = e.whole(p.Where)
		e.problems = append(e.problems, Problem{e.file, p.String()})
	}
	e.piece.Reset()
	e.first = e.n
}

// whole is a place in the document, where one in the piece is given.
func (e *entries) whole(where string) string {
	if e.brackets != "[]" {
		return where
	}
	steps, rest, _ := strings.Cut(where, ".")
	index, rest, inside := strings.Cut(rest, ".")
	i, err := strconv.Atoi(index)
	if steps != "steps" || err != nil {
		return where
	}
	where = "steps." + strconv.Itoa(e.first+i)
	if inside {
		where += "." + rest
	}
	return where
}

// pieces writes a document.
type pieces struct {
	to       io.Writer
	entries  entries
	tail     []byte // what is behind the steps
	problems []Problem
}

// newPieces begins a document of the named schema; doc is the document without its
// steps.
func newPieces(to io.Writer, name string, doc any) (*pieces, error) {
	text, err := schema.Encode(doc)
	if err != nil {
		return nil, err
	}
	p := &pieces{to: to, entries: entries{schema: name, file: name + ".json", size: pieceSize}}
	p.problems = CheckDocument(name, p.entries.file, text)
	// A line end stands in no JSON string, and deeper members have more space before them.
	const member = "\n  \"steps\": "
	at := bytes.Index(text, []byte(member)) + len(member)
	p.entries.brackets = string(text[at : at+2])
	p.tail = text[at+1:]
	_, err = to.Write(text[:at+1])
	return p, err
}

// add writes and checks an entry, indented as it is to stand.
func (p *pieces) add(entry []byte) error {
	lead := ",\n    "
	if p.entries.n == 0 {
		lead = lead[1:]
	}
	p.entries.check(entry)
	_, err := io.WriteString(p.to, lead)
	if err == nil {
		_, err = p.to.Write(entry)
	}
	return err
}

// end writes the rest and returns what is wrong with the document.
func (p *pieces) end() ([]Problem, error) {
	p.entries.flush()
	if p.entries.n > 0 {
		p.tail = slices.Concat([]byte("\n  "), p.tail)
	}
	_, err := p.to.Write(p.tail)
	return append(p.problems, p.entries.problems...), err
}

// checkPieces holds a document that was issued against its schema. It is false if
// the document is not made as it must be to be read in pieces.
func checkPieces(name, file string, r io.Reader, size int) ([]Problem, bool) {
	d := json.NewDecoder(r)
	e := entries{schema: name, file: file, size: size}
	head := []byte{'{'}
	if expect(d, '{') != nil {
		return nil, false
	}
	for d.More() {
		member, err := d.Token()
		if err != nil {
			return nil, false
		}
		var value json.RawMessage
		if member == "steps" && e.brackets == "" {
			if value, err = e.read(d); err != nil {
				return nil, false
			}
		} else if d.Decode(&value) != nil {
			return nil, false
		}
		if len(head) > 1 {
			head = append(head, ',')
		}
		head = append(append(append(head, quoted(member.(string))...), ':'), value...)
	}
	if expect(d, '}') != nil {
		return nil, false
	}
	return append(CheckDocument(name, file, append(head, '}')), e.problems...), true
}

// read takes the steps, and gives their brackets.
func (e *entries) read(d *json.Decoder) ([]byte, error) {
	opening, err := d.Token()
	if err != nil {
		return nil, err
	}
	e.brackets = map[json.Token]string{json.Delim('{'): "{}", json.Delim('['): "[]"}[opening]
	if e.brackets == "" {
		return nil, fmt.Errorf("%v where steps are due", opening)
	}
	for d.More() {
		var entry []byte
		if e.brackets == "{}" {
			key, err := d.Token()
			if err != nil {
				return nil, err
			}
			entry = append(quoted(key.(string)), ':')
		}
		var value json.RawMessage
		if err := d.Decode(&value); err != nil {
			return nil, err
		}
		e.check(append(entry, value...))
	}
	e.flush()
	_, err = d.Token()
	return []byte(e.brackets), err
}
