package plan

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"planfold/convert/diag"
)

const cdataStart = "<![CDATA["

// characters takes text between tags.
func (r *reader) characters(raw []byte) *fault {
	if len(r.open) == 0 {
		if n := skipSpace(raw); n < len(raw) {
			return r.wrongAt(n, malformed("text outside of the root element"))
		}
		return nil
	}
	if i := bytes.IndexByte(raw, ']'); i >= 0 {
		if n := bytes.Index(raw[i:], []byte("]]>")); n >= 0 {
			return r.wrongAt(i+n, malformed("]]> outside of a CDATA section; write ]]&gt;"))
		}
	}
	built, beside := r.building(), r.open[len(r.open)-1].beside && skipSpace(raw) < len(raw)
	if !built && !beside && bytes.IndexByte(raw, '&') < 0 {
		return nil
	}
	before := len(r.text)
	r.startText(r.at, raw)
	var wrong string
	var at int
	if r.text, at, wrong = appendText(r.text, raw, false); wrong != "" {
		return r.wrongReference(at, wrong)
	}
	if !built {
		r.passBeside(beside, before)
		return nil
	}
	return r.spendText(before)
}

// passBeside hands over a text that is not kept.
func (r *reader) passBeside(wanted bool, before int) {
	if wanted {
		r.beside(r.inner, string(r.text[before:]), r.textStart.line, r.textStart.column)
	}
	r.text = r.text[:before]
}

// cdata takes a CDATA section, with its marks.
func (r *reader) cdata(raw []byte) *fault {
	if len(r.open) == 0 {
		return malformed("a CDATA section outside of the root element")
	}
	raw = raw[len(cdataStart) : len(raw)-len("]]>")]
	built, beside := r.building(), r.open[len(r.open)-1].beside && skipSpace(raw) < len(raw)
	if len(raw) == 0 || !built && !beside {
		return nil
	}
	before := len(r.text)
	r.startText(r.at.after([]byte(cdataStart)), raw)
	if r.text = appendLines(r.text, raw, '\n'); !built {
		r.passBeside(beside, before)
		return nil
	}
	return r.spendText(before)
}

// startText notes where a text starts: at its first character that is not white
// space, if there is one.
func (r *reader) startText(at place, raw []byte) {
	if len(r.text) == 0 {
		r.textStart, r.textBlank = at, true
	}
	if n := skipSpace(raw); r.textBlank && n < len(raw) {
		r.textStart, r.textBlank = at.after(raw[:n]), false
	}
}

func (r *reader) spendText(before int) *fault {
	if len(r.text) > maxText {
		return limit("a text is longer than %d MiB", maxText>>20)
	}
	return r.spend(len(r.text) - before)
}

// endText ends the run of text before a tag.
func (r *reader) endText() {
	if len(r.text) == 0 {
		return
	}
	r.nodes = append(r.nodes, Node{Text: r.names.of(r.text), Line: r.textStart.line, Column: r.textStart.column})
	r.records[len(r.records)-1].cost += textCost
	if r.text = r.text[:0]; cap(r.text) > maxTag {
		r.text = nil
	}
}

// value appends an attribute's value, written at an offset of the token, with
// references replaced and white space normalised (XML 1.0, 3.3.3).
func (r *reader) value(to, raw []byte, offset int) ([]byte, *fault) {
	to, i, wrong := appendText(to, raw, true)
	if wrong != "" {
		return to, r.wrongReference(offset+i, wrong)
	}
	return to, nil
}

// wrongReference places a fault of a reference in the token.
func (r *reader) wrongReference(i int, wrong string) *fault {
	if entity := reference(r.source.token()[i:]); entity != "" {
		return r.wrongAt(i, &fault{diag.PlanEntity, "the entity " + entity + " is not one of XML's own five"})
	}
	return r.wrongAt(i, &fault{diag.PlanMalformed, wrong})
}

// reference is the reference to an entity at the start of text, or "".
func reference(text []byte) string {
	n := NameLength(text[1:])
	if n == 0 || 1+n >= len(text) || text[1+n] != ';' {
		return ""
	}
	return shown(text[:n+2])
}

// appendText appends text with its references replaced. In a value white space
// becomes spaces. It returns where a reference is wrong, and why.
func appendText(to, raw []byte, isValue bool) ([]byte, int, string) {
	lineEnd := byte('\n')
	if isValue {
		lineEnd = ' '
	}
	for i := 0; ; {
		n := bytes.IndexByte(raw[i:], '&')
		if n < 0 {
			return appendLines(to, raw[i:], lineEnd), 0, ""
		}
		to = appendLines(to, raw[i:i+n], lineEnd)
		i += n
		end := bytes.IndexByte(raw[i:], ';')
		if end < 0 {
			return to, i, "an ampersand that starts no reference is written &amp;"
		}
		name := string(raw[i+1 : i+end])
		switch {
		case strings.HasPrefix(name, "#"):
			c := character(name[1:])
			if c < 0 {
				return to, i, fmt.Sprintf("%s is not a reference to a character of XML", shown(raw[i:i+end+1]))
			}
			to = fmt.Appendf(to, "%c", c)
		case entities[name] != 0:
			to = append(to, entities[name])
		default:
			return to, i, "an ampersand that starts no reference is written &amp;"
		}
		i += end + 1
	}
}

var entities = map[string]byte{"lt": '<', "gt": '>', "amp": '&', "apos": '\'', "quot": '"'}

// appendLines appends text with its line ends made one character each (XML 1.0,
// 2.11); where that is a space, other white space is one too.
func appendLines(to, raw []byte, lineEnd byte) []byte {
	if lineEnd == ' ' {
		if !bytes.ContainsAny(raw, "\t\r\n") {
			return append(to, raw...)
		}
	} else if bytes.IndexByte(raw, '\r') < 0 {
		return append(to, raw...)
	}
	for i, b := range raw {
		switch {
		case b == '\r' && i+1 < len(raw) && raw[i+1] == '\n':
			continue
		case b == '\r' || b == '\n':
			b = lineEnd
		case b == '\t' && lineEnd == ' ':
			b = ' '
		}
		to = append(to, b)
	}
	return to
}

// character is the number of a character reference, as written between &# and ;,
// or -1 when there is no such character in XML.
func character(s string) rune {
	base := 10
	if hex, ok := strings.CutPrefix(s, "x"); ok {
		s, base = hex, 16
	}
	n, err := strconv.ParseUint(s, base, 31)
	c := rune(n)
	switch {
	case err != nil:
		return -1
	case c == '\t', c == '\n', c == '\r', c >= 0x20 && c < 0xD800, c >= 0xE000 && c < 0xFFFE, c >= 0x10000 && c <= 0x10FFFF:
		return c
	}
	return -1
}
