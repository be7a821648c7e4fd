package profile

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strconv"
	"unicode/utf8"

	"planfold/convert/diag"
)

// member is one member of the object, in the file's order.
type member struct {
	key   string
	value any // json.Token: string, json.Number, bool, nil; json.Delim for an object or array
	at    diag.Position
}

// members reads one JSON object token by token: unmarshalling would take the last
// of two members without a word, and would lose positions.
func members(file string, b []byte) ([]member, diag.List) {
	d := json.NewDecoder(bytes.NewReader(b))
	d.UseNumber()
	malformed := func(what string) diag.List {
		return diag.List{diag.ProfileMalformed.At(position(file, b, d.InputOffset()), "%s", what)}
	}
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return nil, malformed("a profile is one JSON object")
	}
	var out []member
	var list diag.List
	for d.More() {
		start := d.InputOffset()
		key, err := d.Token()
		if err != nil {
			return nil, malformed(reason(err))
		}
		m := member{key: key.(string), at: position(file, b, start+int64(len(b[start:])-len(bytes.TrimLeft(b[start:], " \t\r\n,"))))}
		for _, o := range out {
			if o.key == m.key {
				list.Add(diag.ProfileKeyTwice.At(m.at, "member %q is given twice", m.key))
			}
		}
		var value any
		if err := d.Decode(&value); err != nil {
			return nil, malformed(reason(err))
		}
		m.value = value
		out = append(out, m)
	}
	if _, err := d.Token(); err != nil {
		return nil, malformed(reason(err))
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, malformed("something follows the object")
	}
	return out, list
}

func reason(err error) string {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return "the file ends within the object"
	}
	return err.Error()
}

// position counts lines and characters up to a byte offset.
func position(file string, b []byte, offset int64) diag.Position {
	before := b[:max(0, min(offset, int64(len(b))))]
	line := bytes.Count(before, []byte("\n")) + 1
	start := bytes.LastIndexByte(before, '\n') + 1
	return diag.Position{File: file, Line: line, Column: utf8.RuneCount(before[start:]) + 1}
}

// reader takes members out one by one and collects what is wrong with them.
type reader struct {
	file    string
	members []member
	list    diag.List
}

func (r *reader) take(key string) (member, bool) {
	for i, m := range r.members {
		if m.key == key {
			r.members = append(r.members[:i:i], r.members[i+1:]...)
			return m, true
		}
	}
	r.list.Add(diag.ProfileKeyMissing.At(diag.Position{File: r.file}, "member %q is missing", key))
	return member{}, false
}

func (r *reader) text(key string, to *string) {
	m, ok := r.take(key)
	if !ok {
		return
	}
	s, ok := m.value.(string)
	if !ok || s == "" || len(s) > 80 {
		r.list.Add(diag.ProfileValueWrong.At(m.at, "%q must be a text of 1 to 80 bytes", key))
	}
	*to = s
}

func (r *reader) count(key string, to *int, low, high int) {
	m, ok := r.take(key)
	if !ok {
		return
	}
	number, _ := m.value.(json.Number)
	n, err := strconv.Atoi(number.String())
	if err != nil || n < low || n > high {
		r.list.Add(diag.ProfileValueWrong.At(m.at, "%q must be a whole number from %d to %d", key, low, high))
		return
	}
	*to = n
}

func (r *reader) flag(key string, to *bool) {
	m, ok := r.take(key)
	if !ok {
		return
	}
	if *to, ok = m.value.(bool); !ok {
		r.list.Add(diag.ProfileValueWrong.At(m.at, "%q must be true or false", key))
	}
}

// rest reports the members that nobody took.
func (r *reader) rest() {
	for _, m := range r.members {
		r.list.Add(diag.ProfileKeyUnknown.At(m.at, "a profile has no member %q", m.key))
	}
}
