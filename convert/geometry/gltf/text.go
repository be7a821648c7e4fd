package gltf

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"
	"unicode/utf8"

	"planfold/convert/diag"
)

// text is a JSON text (RFC 8259) and its values in one flat list, in the order
// of the text: an object is followed by its keys, each followed by its value.
// Sixteen bytes a value, whatever the file claims.
type text struct {
	data   []byte
	base   int // where data begins in the file
	values []value
}

type value struct {
	kind       byte // '{', '[', '"', '0' for numbers, 't', 'f', 'n'
	start, end uint32
	next       int32 // the value after this one and all inside it
}

const (
	mostDepth  = 128
	mostValues = 1 << 23
)

// parse checks the whole text and lists its values. A name that is twice in one
// object is refused, because readers disagree which one counts.
func (r *reader) parse() {
	p := parser{text: &r.text}
	if !utf8.Valid(r.data) {
		at := 0
		for {
			c, n := utf8.DecodeRune(r.data[at:])
			if c == utf8.RuneError && n <= 1 {
				break
			}
			at += n
		}
		r.failAt(diag.GltfJSON, r.at(at), "the text is not UTF-8")
		return
	}
	p.space()
	if p.value(0); p.fault == "" {
		if p.space(); p.pos < len(p.data) {
			p.fail("more text follows the value")
		}
	}
	switch {
	case p.limit:
		r.failAt(diag.GltfLimit, r.at(p.pos), "%s", p.fault)
	case p.fault != "":
		r.failAt(diag.GltfJSON, r.at(p.pos), "%s", p.fault)
	case r.values[0].kind != '{':
		r.failAt(diag.GltfJSON, r.at(0), "the text is not an object")
	}
}

type parser struct {
	*text
	pos   int
	fault string // at pos
	limit bool
}

func (p *parser) fail(what string) bool {
	if p.fault == "" {
		p.fault = what
	}
	return false
}

func (p *parser) space() {
	for p.pos < len(p.data) && (p.data[p.pos] == ' ' || p.data[p.pos] == '\n' || p.data[p.pos] == '\r' || p.data[p.pos] == '\t') {
		p.pos++
	}
}

// peek is the byte here, 0 at the end.
func (p *parser) peek() byte {
	if p.pos < len(p.data) {
		return p.data[p.pos]
	}
	return 0
}

func (p *parser) value(depth int) bool {
	if depth > mostDepth || len(p.values) >= mostValues {
		p.limit = true
		return p.fail("values nest more than 128 deep or are more than 8,388,608")
	}
	c := p.peek()
	n := len(p.values)
	kind := c
	if c == '-' || c-'0' <= 9 {
		kind = '0'
	}
	p.values = append(p.values, value{kind: kind, start: uint32(p.pos)})
	ok := false
	switch kind {
	case '{':
		ok = p.members(depth, n)
	case '[':
		ok = p.elements(depth)
	case '"':
		ok = p.quoted()
	case '0':
		ok = p.number()
	case 't':
		ok = p.literal("true")
	case 'f':
		ok = p.literal("false")
	case 'n':
		ok = p.literal("null")
	case 0:
		ok = p.fail("the text ends inside a value")
	default:
		ok = p.fail("no value starts here")
	}
	p.values[n].end = uint32(p.pos)
	p.values[n].next = int32(len(p.values))
	return ok
}

func (p *parser) members(depth, object int) bool {
	p.pos++
	if p.space(); p.peek() == '}' {
		p.pos++
		return true
	}
	for {
		if p.space(); p.peek() != '"' {
			return p.fail("a member's name is missing")
		}
		if !p.value(depth + 1) {
			return false
		}
		if p.space(); p.peek() != ':' {
			return p.fail("a colon is missing")
		}
		p.pos++
		if p.space(); !p.value(depth + 1) {
			return false
		}
		p.space()
		switch p.peek() {
		case ',':
			p.pos++
			continue
		case '}':
			p.pos++
			return p.distinct(object)
		}
		return p.fail("a comma or closing brace is missing")
	}
}

func (p *parser) elements(depth int) bool {
	p.pos++
	if p.space(); p.peek() == ']' {
		p.pos++
		return true
	}
	for {
		if p.space(); !p.value(depth + 1) {
			return false
		}
		p.space()
		switch p.peek() {
		case ',':
			p.pos++
			continue
		case ']':
			p.pos++
			return true
		}
		return p.fail("a comma or closing bracket is missing")
	}
}

func (p *parser) quoted() bool {
	for p.pos++; p.pos < len(p.data); p.pos++ {
		switch c := p.data[p.pos]; {
		case c == '"':
			p.pos++
			return true
		case c < ' ':
			return p.fail("a control character stands in a string")
		case c == '\\':
			p.pos++
			if !p.escape() {
				return p.fail("a string has a wrong escape")
			}
		}
	}
	return p.fail("a string does not end")
}

func (p *parser) escape() bool {
	if p.peek() != 'u' {
		return p.peek() != 0 && strings.IndexByte(`"\/bfnrt`, p.peek()) >= 0
	}
	for range 4 {
		p.pos++
		if c := p.peek(); c-'0' > 9 && (c|0x20 < 'a' || c|0x20 > 'f') {
			return false
		}
	}
	return true
}

func (p *parser) number() bool {
	if p.peek() == '-' {
		p.pos++
	}
	switch {
	case p.peek() == '0':
		p.pos++
	case !p.digits():
		return p.fail("a number has no digits")
	}
	if p.peek() == '.' {
		if p.pos++; !p.digits() {
			return p.fail("a number has no digits after its point")
		}
	}
	if p.peek()|0x20 == 'e' {
		if p.pos++; p.peek() == '+' || p.peek() == '-' {
			p.pos++
		}
		if !p.digits() {
			return p.fail("a number has no digits in its exponent")
		}
	}
	return true
}

func (p *parser) digits() bool {
	start := p.pos
	for p.peek()-'0' <= 9 {
		p.pos++
	}
	return p.pos > start
}

func (p *parser) literal(word string) bool {
	if !bytes.HasPrefix(p.data[p.pos:], []byte(word)) {
		return p.fail("no value starts here")
	}
	p.pos += len(word)
	return true
}

// distinct compares names as they are written; where one has an escape, it
// compares what they stand for.
func (p *parser) distinct(object int) bool {
	var few [16][]byte
	names := few[:0]
	many := map[string]bool(nil)
	for k := object + 1; k < len(p.values); k = int(p.values[k+1].next) {
		name := p.data[p.values[k].start+1 : p.values[k].end-1]
		if bytes.IndexByte(name, '\\') >= 0 {
			name = []byte(p.unquote(k))
		}
		twice := many[string(name)]
		for _, n := range names {
			twice = twice || bytes.Equal(n, name)
		}
		switch {
		case twice:
			p.pos = int(p.values[k].start)
			return p.fail("the name " + strconv.Quote(string(name)) + " is twice in one object")
		case len(names) < len(few):
			names = append(names, name)
		case many == nil:
			many = map[string]bool{}
			fallthrough
		default:
			many[string(name)] = true
		}
	}
	return true
}

// unquote is the string of a value of kind '"'.
func (t *text) unquote(v int) string {
	raw := t.data[t.values[v].start:t.values[v].end]
	if bytes.IndexByte(raw, '\\') < 0 {
		return string(raw[1 : len(raw)-1])
	}
	var s string
	if json.Unmarshal(raw, &s) != nil {
		panic("gltf: internal error: a checked string does not unquote")
	}
	return s
}

// field is the value of a member of object v, or -1.
func (t *text) field(v int, name string) int {
	if v < 0 || t.values[v].kind != '{' {
		return -1
	}
	for k := v + 1; k < int(t.values[v].next); k = int(t.values[k+1].next) {
		raw := t.data[t.values[k].start+1 : t.values[k].end-1]
		if string(raw) == name || bytes.IndexByte(raw, '\\') >= 0 && t.unquote(k) == name {
			return k + 1
		}
	}
	return -1
}

// pointer is the JSON pointer (RFC 6901) of a value.
func (t *text) pointer(v int) string {
	var b strings.Builder
	for at := 0; at != v; {
		object := t.values[at].kind == '{'
		for k, i := at+1, 0; ; i++ {
			child, name := k, strconv.Itoa(i)
			if object {
				child, name = k+1, t.unquote(k)
				if k == v {
					child = k
				}
			}
			if v < int(t.values[child].next) {
				b.WriteString("/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(name))
				at = child
				break
			}
			k = int(t.values[child].next)
		}
	}
	return b.String()
}
