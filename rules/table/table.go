// Package table reads the CSV tables that stand beside rule files: torques by
// thread, hazard statements by substance. A table is rows of texts, each found by
// its key; what the texts mean is up to the rules. Faults are collected with the
// line and column of the CSV.
package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"planfold/convert/diag"
	"planfold/rules/document"
)

const maxBytes = 16 << 20

// Table is a table with its key.
type Table struct {
	Columns []string
	Rows    []*Row // in the order of the file
	byKey   map[string]*Row
}

// Row is one row of a table.
type Row struct {
	Key   string
	Cells []string // beside Columns, without white space around them
	Place diag.Position
}

// Row is the row of a key, or nil.
func (t *Table) Row(key string) *Row { return t.byKey[key] }

// reader reads one table.
type reader struct {
	name   string
	lines  [][]byte
	csv    *csv.Reader
	faults *document.Faults
}

// Read reads CSV (RFC 4180; separated by commas, semicolons or tabs, whichever the
// first line has first) in UTF-8. The first line names the columns, of which one is
// the key. It returns nil if there is a fault.
func Read(name string, data []byte, key string, faults *document.Faults) *Table {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	r := &reader{name: name, lines: bytes.Split(data, []byte("\n")), faults: faults}
	switch {
	case len(data) > maxBytes:
		r.malformed(1, 1, "the table has %d bytes, more than %d", len(data), maxBytes)
		return nil
	case !utf8.Valid(data):
		r.notUTF8()
		return nil
	}
	r.csv = csv.NewReader(bytes.NewReader(data))
	r.csv.Comma, r.csv.FieldsPerRecord, r.csv.ReuseRecord = separator(r.lines[0]), -1, true
	head, ok := r.next()
	if !ok || head == nil {
		if ok {
			r.malformed(1, 1, "the table is empty; its first line names the columns")
		}
		return nil
	}
	t := &Table{Columns: slices.Clone(head), byKey: map[string]*Row{}}
	at := r.keyColumn(t.Columns, key)
	if at < 0 || !r.rows(t, at) {
		return nil
	}
	return t
}

// separator is what the first line separates its columns by.
func separator(head []byte) rune {
	if i := bytes.IndexAny(head, ",;\t"); i >= 0 {
		return rune(head[i])
	}
	return ','
}

// notUTF8 reports the first bytes that are no character: the file is in another
// encoding, and its letters would be wrong.
func (r *reader) notUTF8() {
	for i, l := range r.lines {
		if utf8.Valid(l) {
			continue
		}
		column := 1
		for {
			c, n := utf8.DecodeRune(l)
			if c == utf8.RuneError && n == 1 {
				r.malformed(i+1, column, "the table is not in UTF-8; save it as CSV in UTF-8")
				return
			}
			l, column = l[n:], column+1
		}
	}
}

// next is the next line's cells, nil at the end; false when it cannot be read.
func (r *reader) next() ([]string, bool) {
	cells, err := r.csv.Read()
	var wrong *csv.ParseError
	switch {
	case errors.Is(err, io.EOF):
		return nil, true
	case errors.As(err, &wrong):
		r.malformed(wrong.Line, r.character(wrong.Line, wrong.Column), "%v", wrong.Err)
		return nil, false
	case err != nil:
		r.malformed(1, 1, "%v", err)
		return nil, false
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells, true
}

// place is where a cell of the line read last stands.
func (r *reader) place(cell int) diag.Position {
	line, column := r.csv.FieldPos(cell)
	return diag.Position{File: r.name, Line: line, Column: r.character(line, column)}
}

// character turns a column in bytes into one in characters, both from 1.
func (r *reader) character(line, column int) int {
	if line < 1 || line > len(r.lines) {
		return column
	}
	l := r.lines[line-1]
	return 1 + utf8.RuneCount(l[:min(max(column-1, 0), len(l))])
}

func (r *reader) malformed(line, column int, format string, args ...any) {
	r.faults.Raise(diag.RuleTableMalformed.At(diag.Position{File: r.name, Line: line, Column: column}, format, args...))
}

// keyColumn checks the names of the columns and finds the key among them.
func (r *reader) keyColumn(columns []string, key string) int {
	good := true
	for i, c := range columns {
		switch p := r.place(i); {
		case c == "":
			r.malformed(p.Line, p.Column, "column %d has no name", i+1)
			good = false
		case slices.Index(columns, c) < i:
			r.malformed(p.Line, p.Column, "a column named %q stands here already", c)
			good = false
		}
	}
	at := slices.Index(columns, key)
	if at < 0 {
		r.faults.Raise(diag.RuleTableKey.At(r.place(0), "the table has no column %q, which is to be its key%s", key, document.Instead(key, "it has", columns)))
	}
	if !good {
		return -1
	}
	return at
}

// rows reads what follows the names of the columns.
func (r *reader) rows(t *Table, key int) bool {
	good := true
	for {
		cells, ok := r.next()
		if !ok || cells == nil {
			return ok && good
		}
		if len(cells) != len(t.Columns) {
			p := r.place(min(len(cells)-1, len(t.Columns)))
			r.malformed(p.Line, p.Column, "the row has %d cells, and the table %d columns", len(cells), len(t.Columns))
			good = false
			continue
		}
		p, k := r.place(key), cells[key]
		switch first := t.byKey[k]; {
		case k == "":
			r.faults.Raise(diag.RuleTableKey.At(p, "the row has no key"))
			good = false
		case first != nil:
			r.faults.Raise(diag.RuleTableKey.At(p, "the key %q stands in line %d already", k, first.Place.Line))
			good = false
		default:
			row := &Row{Key: k, Cells: slices.Clone(cells), Place: p}
			t.Rows, t.byKey[k] = append(t.Rows, row), row
		}
	}
}
